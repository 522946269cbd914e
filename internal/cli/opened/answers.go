package opened

import (
	"fmt"
	"io"
	"maps"
	"slices"

	"slatewright/internal/book"
	"slatewright/internal/cli/verb"
)

// Question is one of the mill's own questions: answered once, and printed with every verdict that used the answer.
type Question struct {
	Key   string   // in the book, in a file of answers, and as a flag
	Asks  string   // as a person is asked
	Words []string // the answers there are, the usual one first
	Help  string
}

// Questions are what a verdict and the route must know of the mill and no reading tells.
var Questions = []Question{
	{"flatness-state", "In which state is flatness promised?", book.AnswerWords("flatness-state"),
		"laid: as it lies on a bench or frame; free: as the stone is by itself, with gravity taken away by computing"},
	{"lining-layout", "How is the lining laid out under a piece?", book.AnswerWords("lining-layout"),
		"it bends the piece when it dries, and covers the bottom face; no set is packed before its lining has cured. none: no piece goes to the lining"},
	{"surfacing", "Is the playing face surfaced before or after the room?", book.AnswerWords("surfacing"),
		"stone moves in the room. before: no piece enters the room unsurfaced; after: the last pass follows the room"},
	{"supports", "On what is a piece read?", book.AnswerWords("supports"),
		"bench: lies on it everywhere; lines: two lines at 0.22 of its length; points: as the specification says"},
}

// PrintAnswers writes the mill's answers that a verdict used, each after its question; what was settled besides comes after them.
func PrintAnswers(w io.Writer, answers map[string]string) {
	if len(answers) > 0 {
		verb.Section(w, "The mill's answers")
	}
	known := map[string]bool{}
	for _, q := range Questions {
		if known[q.Key] = true; answers[q.Key] != "" {
			fmt.Fprintf(w, "  %-55s  %s\n", q.Asks, answers[q.Key])
		}
	}
	for _, key := range slices.Sorted(maps.Keys(answers)) {
		if !known[key] {
			fmt.Fprintf(w, "  %-55s  %s\n", key, answers[key])
		}
	}
}

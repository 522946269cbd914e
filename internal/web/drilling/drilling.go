// Package drilling is where the mill asks about a bed's drawing and the holes that were drilled by it: what a pattern file draws, what two revisions of it differ
// in, and whether a drilled bed is as drawn and all its bolts pass. Files are pasted or uploaded; each answer is one sentence, one picture and its figures.
//
// It computes nothing, the rooms under slatewright/bed do, and gives the same JSON as the command line. It writes nothing into the book, and it moves no drill.
package drilling

import (
	"embed"
	"net/http"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/patternfile"
	"slatewright/internal/book"
	"slatewright/internal/caution"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
)

//go:embed all:examples
var examples embed.FS

//go:embed pages
var pages embed.FS

const at = "/drilling"

// mostAtOnce is how many questions are worked out side by side: the others wait.
const mostAtOnce = 1

// care is what can hurt where holes are drilled.
func care() []caution.Topic {
	return []caution.Topic{caution.Machines, caution.Dust, caution.Lifting, caution.Wet}
}

// questions are those of the room, in the order of the list.
func questions() []shell.Question { return []shell.Question{drilled(), drawn(), compared()} }

// Add puts the room's pages on a mux.
func Add(s *shell.Shell, mux *http.ServeMux) error {
	if err := s.Pages("drilling", pages, "pages"); err != nil {
		return err
	}
	room := shell.Asks{Here: string(book.Drilling), Turn: shell.NewTurn(mostAtOnce), Examples: examples, Questions: questions(),
		Back: func(v *shell.Visit) shell.Anchor { return shell.Anchor{Path: at, Says: v.Say("drilling.title")} }}
	s.Ask(mux, room)
	s.Add(mux, []shell.Route{{Method: http.MethodGet, Path: at, Least: book.Visitor, Do: func(v *shell.Visit) error {
		return v.ShowIndex(string(book.Drilling), shell.Index{Title: v.Say("drilling.title"), Text: v.Say("drilling.text"), Lines: room.Lines(v)})
	}}})
	return nil
}

// mostHoles is how many holes a page shows and draws on sheets, in half a second each.
const mostHoles = 1000

// patternIn reads the pattern file of a field.
func patternIn(a shell.Asked, field string) (name string, p pattern.Pattern, err error) {
	list, err := a.List(field)
	if err != nil {
		return "", p, err
	}
	if p, err = patternfile.Read(list.Name, list.Reader()); err == nil {
		err = few(a, field, p)
	}
	return list.Name, p, err
}

// few refuses patterns that have more holes than a page takes.
func few(a shell.Asked, field string, p pattern.Pattern) error {
	if len(p.Holes) > mostHoles {
		return problem.New("too-large", field, a.Say("drilling.too-many", "n", mostHoles), a.Say("drilling.too-many-next", "command", "slatewright bed check"))
	}
	return nil
}

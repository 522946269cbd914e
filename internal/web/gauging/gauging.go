// Package gauging is where the mill asks whether its measuring is good enough for the promise: how well an instrument repeats, whether people
// agree, what a better instrument is worth, what the doubt of a reading is made of, when a calibration is due, what an instrument's own error is,
// and what is left when the bench's own shape is taken off. A list is pasted or uploaded; the answer is one sentence, one picture and its figures.
//
// It computes nothing, package gauge/answers and those behind it do, and gives the same JSON as the command line. A question writes nothing into
// the book; only a study that somebody keeps with its instrument does.
package gauging

import (
	"embed"
	"net/http"

	"slatewright/internal/book"
	"slatewright/internal/web/shell"
)

//go:embed examples
var examples embed.FS

const at = "/gauging"

// mostAtOnce is how many questions are computed side by side: the others wait.
const mostAtOnce = 2

// Add puts the room's pages on a mux.
func Add(s *shell.Shell, mux *http.ServeMux) error {
	room := shell.Asks{Here: "gauging", Turn: shell.NewTurn(mostAtOnce), Examples: examples, Questions: questions()}
	s.Ask(mux, room)
	s.Add(mux, []shell.Route{{Method: http.MethodGet, Path: at, Least: book.Visitor, Do: func(v *shell.Visit) error { return index(v, room) }}})
	return nil
}

// rows are the questions of other rooms that belong to the same list, by the page's address and the beginning of its words.
var rows = []struct{ path, asks, about string }{{"/levels", "proof.levels", "proof.levels-about"}, {"/feelers", "proof.feelers", "proof.feelers-about"}, {"/sag", "bend.sag", "bend.sag-about"}}

func index(v *shell.Visit, room shell.Asks) error {
	list := room.Lines(v)
	for _, other := range rows {
		list = append(list, shell.IndexLine{Path: other.path, Asks: v.Say(other.asks), About: v.Say(other.about)})
	}
	return v.ShowIndex(room.Here, shell.Index{Title: v.Say("gauging.title"), Text: v.Say("gauging.text"), Lines: list, Foot: v.Say("gauging.no-safety")})
}

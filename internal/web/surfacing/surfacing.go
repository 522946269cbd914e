// Package surfacing is where the mill asks about the surfacing machine: how much comes off which face, in which passes, what the work then took
// off, and whether disc and machine are true. Lists are pasted or uploaded; each answer is one sentence, one picture and its figures.
//
// It computes nothing, the answers of the rooms under slatewright/surfacing do, and gives the same JSON as the command line. It writes nothing
// into the book, and it moves no machine.
package surfacing

import (
	"embed"
	"net/http"

	"slatewright/internal/book"
	"slatewright/internal/web/shell"
)

//go:embed all:examples
var examples embed.FS

const at = "/surfacing"

// mostAtOnce is how many lists are worked out side by side: the others wait.
const mostAtOnce = 1

// questions are all of them, in the order of the list.
func questions() []shell.Question {
	return []shell.Question{
		cleanupSlab(),
		cleanupSet(),
		cleanupRough(),
		planned(),
		workedOff(),
		discs(),
		worn(),
		toolMarks(),
	}
}

// Add puts the room's pages on a mux.
func Add(s *shell.Shell, mux *http.ServeMux) error {
	room := shell.Asks{Here: string(book.Surfacing), Turn: shell.NewTurn(mostAtOnce), Examples: examples, Questions: questions(),
		Back: func(v *shell.Visit) shell.Anchor { return shell.Anchor{Path: at, Says: v.Say("surfacing.title")} }}
	s.Ask(mux, room)
	s.Add(mux, []shell.Route{{Method: http.MethodGet, Path: at, Least: book.Visitor, Do: func(v *shell.Visit) error {
		return v.ShowIndex(room.Here, shell.Index{Title: v.Say("surfacing.title"), Text: v.Say("surfacing.text"), Lines: room.Lines(v)})
	}}})
	return nil
}

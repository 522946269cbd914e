// Package cutting is where the mill asks how stone is cut: a quarry layer into blocks, a block into leaves, a slab into pieces, and what is lost on the way from
// rock to stone. Lists are pasted or uploaded, a slab may be drawn over a photo; each answer is one sentence, one picture and its figures.
//
// It computes nothing, the rooms under slatewright/cutting do, and gives the same JSON as the command line. It writes nothing into the book, and it moves no saw.
package cutting

import (
	"embed"
	"net/http"
	"slices"

	"slatewright/internal/book"
	"slatewright/internal/web/shell"
)

//go:embed all:examples
var examples embed.FS

const at = "/cutting"

// mostAtOnce is how many questions are worked out side by side: the others wait.
const mostAtOnce = 1

// inQuarry are the questions that are asked in the quarry, in the order of the list.
func inQuarry() []shell.Question {
	return []shell.Question{}
}

// atSaw are those that are asked at the saw.
func atSaw() []shell.Question {
	return []shell.Question{
		markingOut(),
	}
}

// questions are all of them.
func questions() []shell.Question { return slices.Concat(inQuarry(), atSaw()) }

// Add puts the room's pages on a mux.
func Add(s *shell.Shell, mux *http.ServeMux) error {
	turn := shell.NewTurn(mostAtOnce)
	var rooms []shell.Asks
	for _, r := range []struct {
		here      book.Station
		questions []shell.Question
	}{{book.Quarry, inQuarry()}, {book.Saw, atSaw()}} {
		room := shell.Asks{Here: string(r.here), Turn: turn, Examples: examples, Questions: r.questions,
			Back: func(v *shell.Visit) shell.Anchor { return shell.Anchor{Path: at, Says: v.Say("cutting.title")} }}
		s.Ask(mux, room)
		rooms = append(rooms, room)
	}
	s.Add(mux, []shell.Route{{Method: http.MethodGet, Path: at, Least: book.Visitor, Do: func(v *shell.Visit) error {
		index := shell.Index{Title: v.Say("cutting.title"), Text: v.Say("cutting.text")}
		for _, room := range rooms {
			index.Lines = append(index.Lines, room.Lines(v)...)
		}
		return v.ShowIndex(string(book.Saw), index)
	}}})
	return nil
}

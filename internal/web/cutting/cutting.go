// Package cutting is where the mill asks how stone is cut: a quarry layer into blocks, a block into leaves, a slab into pieces, and what is lost on the way from
// rock to stone. Lists are pasted or uploaded, a slab may be drawn over a photo; each answer is one sentence, one picture and its figures.
//
// It computes nothing, the rooms under slatewright/cutting do, and gives the same JSON as the command line. It writes nothing into the book, and it moves no saw.
package cutting

import (
	"embed"
	"net/http"
	"slices"

	"slatewright/cutting/sawing"
	"slatewright/internal/book"
	"slatewright/internal/tongue"
	"slatewright/internal/web/shell"
)

//go:embed all:examples
var examples embed.FS

//go:embed pages
var pages embed.FS

// Printer prints a sawing order as PDF, in the words of its reader, or in others where it has no letters for those: it asks for the sheet in the words that
// it prints.
type Printer func(func(tongue.Words) sawing.Sheet, tongue.Words) ([]byte, error)

const at = "/cutting"

// mostAtOnce is how many questions are worked out side by side: the others wait.
const mostAtOnce = 1

// inQuarry are the questions that are asked in the quarry, in the order of the list.
func inQuarry() []shell.Question {
	return []shell.Question{layered(), recovered()}
}

// atSaw are those that are asked at the saw; without a printer they offer no paper.
func atSaw(print Printer) []shell.Question {
	return []shell.Question{
		leafed(),
		markingOut(print),
	}
}

// questions are all of them.
func questions() []shell.Question { return slices.Concat(inQuarry(), atSaw(nil)) }

// Add puts the room's pages on a mux; print may be nil.
func Add(s *shell.Shell, mux *http.ServeMux, print Printer) error {
	if err := s.Pages("cutting", pages, "pages"); err != nil {
		return err
	}
	turn := shell.NewTurn(mostAtOnce)
	var rooms []shell.Asks
	for _, r := range []struct {
		here      book.Station
		questions []shell.Question
	}{{book.Quarry, inQuarry()}, {book.Saw, atSaw(print)}} {
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

// Package matching is where the mill asks which three pieces make a set: the racks as the stone stands, the sets that are proposed with what every
// exchange would cost, what is left over and why, and what the lay-ups have taught. A tap proposes a set: it becomes an act of the book.
//
// It chooses nothing and foretells nothing, slatewright/sets does; it lays nothing up, the bench does. What is tapped to keep pieces together or apart
// stands in the page's address and nowhere else.
package matching

import (
	"embed"
	"net/http"
	"sync"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/measured"
	"slatewright/internal/measured/kept"
	"slatewright/internal/waiting"
	"slatewright/internal/web/shell"
	"slatewright/sets"
)

//go:embed pages
var pages embed.FS

//go:embed all:examples
var examples embed.FS

// Queue tells which stock waits in the house as it stands now.
type Queue interface {
	Racks(now time.Time) []waiting.Rack
	Fault() error // why that may be behind the book
}

const at = "/racks"

// room is what the pages of this room share.
type room struct {
	measured *measured.Room
	queue    Queue
	desk     *desk
	lessons  *lessons
	layers   *sync.Map // of each piece, by number, once it was asked for
}

const (
	// mostKept is what answers may take, bytes.
	mostKept = 64 << 20
	// mostAtOnce is how many matchings are computed side by side: each uses every core.
	mostAtOnce = 1
)

// Add puts the room's pages on a mux.
func Add(s *shell.Shell, mux *http.ServeMux, m *measured.Room, queue Queue) error {
	if err := s.Pages("matching", pages, "pages"); err != nil {
		return err
	}
	newRoom(m, queue, lay).add(s, mux)
	s.Ask(mux, shell.Asks{Here: string(book.Sets), Turn: shell.NewTurn(mostAtOnce), Examples: examples, Questions: []shell.Question{listed()},
		Back: func(v *shell.Visit) shell.Anchor { return shell.Anchor{Path: at, Says: v.Say("racks.asks")} }})
	return nil
}

func newRoom(m *measured.Room, queue Queue, lay func(sets.Question) (reckoner, error)) room {
	return room{m, queue, &desk{shelf: kept.New(mostKept, mostAtOnce), lay: lay}, &lessons{}, &sync.Map{}}
}

// add puts the pages that are about the book on a mux.
func (r room) add(s *shell.Shell, mux *http.ServeMux) {
	s.Add(mux, []shell.Route{
		{Method: http.MethodGet, Path: at, Least: book.Visitor, Do: r.racks},
		{Method: http.MethodGet, Path: onLearned, Least: book.Visitor, Do: r.learned},
		{Method: http.MethodPost, Path: at, Least: book.Hand, Do: r.propose},
	})
}

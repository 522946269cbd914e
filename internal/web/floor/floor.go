// Package floor is the mill floor's pages: what waits for a decision, what stands at each station and what comes next for it, the
// jump from a scanned code to its page, finding, and a plain form for every act. It decides nothing: what waits and what is
// recommended is asked of package waiting, what may be done of the book.
package floor

import (
	"embed"
	"net/http"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/waiting"
	"slatewright/internal/web/shell"
)

//go:embed all:pages
var pages embed.FS

// Queue tells what waits and what comes next as the house stands now, and why that may be behind the book.
type Queue interface {
	Ask(now time.Time) []waiting.Question
	Coming(now time.Time) []waiting.Coming
	NextFor(now time.Time, things ...book.Ref) []waiting.Sentence
	Fault() error
}

// room is what the pages of this room share.
type room struct{ queue Queue }

// Add puts the room's pages on a mux.
func Add(s *shell.Shell, mux *http.ServeMux, queue Queue) error {
	if err := s.Pages("floor", pages, "pages"); err != nil {
		return err
	}
	r := room{queue}
	s.Add(mux, []shell.Route{
		{Method: http.MethodGet, Path: "/{$}", Least: book.Visitor, Do: r.waiting},
		{Method: http.MethodGet, Path: "/station/{station}", Least: book.Visitor, Do: r.station},
		{Method: http.MethodGet, Path: "/scan", Least: book.Visitor, Do: scan},
		{Method: http.MethodGet, Path: "/find", Least: book.Visitor, Do: find},
		{Method: http.MethodGet, Path: "/lost", Least: book.Visitor, Do: searchLost},
		{Method: http.MethodGet, Path: "/thing/{kind}/{number}", Least: book.Visitor, Do: r.thing},
		{Method: http.MethodGet, Path: "/do/{act}", Least: book.Hand, Do: r.blankForm},
		{Method: http.MethodPost, Path: "/do/{act}", Least: book.Hand, Do: r.handIn},
		{Method: http.MethodGet, Path: "/conflicts", Least: book.Visitor, Do: conflicts},
		{Method: http.MethodGet, Path: "/unsent", Least: book.Visitor, Do: unsent},
	})
	return nil
}

// unsent is where the scripts list what the tablet has not sent yet.
func unsent(v *shell.Visit) error {
	return v.Show(shell.Page{Name: "floor/unsent", Title: v.Say("floor.unsent"), Keep: true})
}

// Package bending is the page that asks how a piece must be supported: how far it sags on the supports that the mill uses and on the best
// ones, what a slip beside the mark costs, and, with a weight and a dial, how stiff the stone is.
//
// It computes nothing, package plate does, and gives the same JSON as the command line. It writes nothing into the book. Shapes that were
// measured are freed of gravity at the command line only.
package bending

import (
	"embed"
	"net/http"

	"slatewright/internal/book"
	"slatewright/internal/web/shell"
)

//go:embed all:pages
var pages embed.FS

// mostAtOnce is how many questions are computed side by side: the others wait.
const mostAtOnce = 1

type room struct{ turn shell.Turn }

// Add puts the page on a mux.
func Add(s *shell.Shell, mux *http.ServeMux) error {
	if err := s.Pages("bending", pages, "pages"); err != nil {
		return err
	}
	r := room{turn: shell.NewTurn(mostAtOnce)}
	s.Add(mux, []shell.Route{
		{Method: http.MethodGet, Path: "/sag", Least: book.Visitor, Do: r.sag},
		{Method: http.MethodGet, Path: "/sag.svg", Least: book.Visitor, Do: r.picture, Data: true},
	})
	return nil
}

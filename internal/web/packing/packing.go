// Package packing is the packing bench's page: three codes are scanned, in any order, and one sentence says whether the set packs, and if not, why. It also
// hands out the labels of a set's marks.
//
// It decides nothing (package sets/marks does), writes nothing into the book (the act pack does), and draws no label.
package packing

import (
	"embed"
	"net/http"

	"slatewright/internal/book"
	"slatewright/internal/tongue"
	"slatewright/internal/web/shell"
	"slatewright/sets/marks"
)

//go:embed all:pages
var pages embed.FS

// Printer prints labels as PDF, in the words of their reader, or in others where it has no letters for those.
type Printer func(marks.Sheet, tongue.Words) ([]byte, error)

// room is what the pages of this room share.
type room struct{ print Printer }

// Add puts the room's pages on a mux; without a printer they offer no paper.
func Add(s *shell.Shell, mux *http.ServeMux, print Printer) error {
	if err := s.Pages("packing", pages, "pages"); err != nil {
		return err
	}
	r := room{print}
	routes := []shell.Route{
		{Method: http.MethodGet, Path: "/packing", Least: book.Visitor, Do: check},
		{Method: http.MethodGet, Path: "/set/{number}/labels", Least: book.Visitor, Do: r.labels},
		{Method: http.MethodGet, Path: "/set/{number}/labels.pdf", Least: book.Visitor, Do: r.paper, Data: true},
	}
	for _, e := range examples() {
		routes = append(routes, shell.Route{Method: http.MethodGet, Path: e.path, Least: book.Visitor, Do: e.show, Alone: true})
	}
	s.Add(mux, routes)
	return nil
}

// Package proof is where readings become proof: how flat the stations of a level walk are, between which bounds the zone lies that a
// straightedge read, and what is believed of a whole face and to be done with its piece. Each page asks one question and answers it with one
// sentence, one picture and its figures; what the command line prints as JSON can be taken away from it.
//
// It computes nothing: traverse/answers does for lists, package believed for faces. It writes nothing into the book. A question that takes
// longer than a page may is given up, and the page says how to ask it at the command line.
package proof

import (
	"embed"
	"net/http"

	"slatewright/internal/book"
	"slatewright/internal/web/shell"
)

//go:embed all:pages
var pages embed.FS

//go:embed examples
var examples embed.FS

// mostAtOnce is how many lists are computed with side by side: the others wait, so that the mill's pages stay quick.
const mostAtOnce = 1

// room is what the pages share.
type room struct {
	turn chan struct{}
}

// Add puts the room's pages on a mux.
func Add(s *shell.Shell, mux *http.ServeMux) error {
	if err := s.Pages("proof", pages, "pages"); err != nil {
		return err
	}
	r := room{turn: make(chan struct{}, mostAtOnce)}
	var routes []shell.Route
	add := func(method, path string, do func(*shell.Visit) error) {
		routes = append(routes, shell.Route{Method: method, Path: path, Least: book.Visitor, Do: do})
	}
	for _, q := range questions() {
		add(http.MethodGet, q.path(), func(v *shell.Visit) error { return q.show(v, q.blank(v), 0) })
		add(http.MethodPost, q.path(), func(v *shell.Visit) error { return r.answer(v, q) })
		add(http.MethodGet, q.path()+"/example", func(v *shell.Visit) error { return r.example(v, q) })
	}
	add(http.MethodGet, "/feelers/table", r.table)
	add(http.MethodPost, "/feelers/table", r.takeTable)
	s.Add(mux, routes)
	return nil
}

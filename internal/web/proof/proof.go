// Package proof is where readings become proof: how flat the stations of a level walk are, between which bounds the zone lies that a
// straightedge read, and what is believed of a whole face and to be done with its piece. Each page asks one question and answers it with one
// sentence, one picture and its figures; what the command line prints as JSON can be taken away from it.
//
// It computes nothing: traverse/answers does for lists, wholeface and wholeface/advice do for faces. It writes nothing into the book. A question that takes
// longer than a page may is given up, and the page says how to ask it at the command line.
package proof

import (
	"embed"
	"net/http"

	"slatewright/internal/book"
	"slatewright/internal/measured"
	"slatewright/internal/web/shell"
	"slatewright/judge/ways/costfile"
	"slatewright/wholeface"
)

//go:embed all:pages
var pages embed.FS

//go:embed examples
var examples embed.FS

// mostAtOnce is how many lists are computed with side by side: the others wait, so that the mill's pages stay quick.
const mostAtOnce = 1

// room is what the pages share.
type room struct {
	turn    chan struct{}
	beliefs *beliefs
}

// Add puts the room's pages on a mux. Prior is what the mill has learned from its own scans, costs are its own ways and prices; nil: none.
func Add(s *shell.Shell, mux *http.ServeMux, m *measured.Room, prior *wholeface.Prior, costs *costfile.Costs) error {
	if err := s.Pages("proof", pages, "pages"); err != nil {
		return err
	}
	r := room{turn: make(chan struct{}, mostAtOnce), beliefs: &beliefs{measured: m, prior: prior, costs: costs, kept: map[string]*believed{}}}
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
	add(http.MethodGet, "/piece/{number}/judge-face", r.judgeFace)
	routes = append(routes, shell.Route{Method: http.MethodGet, Path: "/piece/{number}/judge-face.json", Least: book.Visitor, Do: r.judgeFile, Data: true})
	s.Add(mux, routes)
	return nil
}

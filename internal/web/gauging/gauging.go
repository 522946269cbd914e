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

//go:embed all:pages
var pages embed.FS

//go:embed examples
var examples embed.FS

// mostAtOnce is how many questions are computed side by side: the others wait, so that the mill's pages stay quick.
const mostAtOnce = 2

// Add puts the room's pages on a mux.
func Add(s *shell.Shell, mux *http.ServeMux) error {
	if err := s.Pages("gauging", pages, "pages"); err != nil {
		return err
	}
	r := room{turn: make(chan struct{}, mostAtOnce)}
	routes := []shell.Route{{Method: http.MethodGet, Path: "/gauging", Least: book.Visitor, Do: index}}
	for _, q := range questions() {
		routes = append(routes,
			shell.Route{Method: http.MethodGet, Path: q.path(), Least: book.Visitor, Do: func(v *shell.Visit) error { return r.ask(v, q) }},
			shell.Route{Method: http.MethodPost, Path: q.path(), Least: book.Visitor, Do: func(v *shell.Visit) error { return r.answer(v, q) }},
			shell.Route{Method: http.MethodGet, Path: q.path() + "/example", Least: book.Visitor, Do: func(v *shell.Visit) error { return r.example(v, q) }})
	}
	s.Add(mux, routes)
	return nil
}

// line is a question in the list of them.
type line struct{ Path, Asks, About string }

// rows are the questions of other rooms that belong to the same list, by the page's address and the beginning of its words.
var rows = []struct{ path, asks, about string }{{"/levels", "proof.levels", "proof.levels-about"}, {"/feelers", "proof.feelers", "proof.feelers-about"}, {"/sag", "bend.sag", "bend.sag-about"}}

func index(v *shell.Visit) error {
	var list []line
	for _, q := range questions() {
		list = append(list, line{q.path(), v.Say("gauging.asks-" + q.name), v.Say("gauging.about-" + q.name)})
	}
	for _, other := range rows {
		list = append(list, line{other.path, v.Say(other.asks), v.Say(other.about)})
	}
	return v.Show(shell.Page{Name: "gauging/index", Title: v.Say("shell.gauging"), Here: "gauging", Data: list})
}

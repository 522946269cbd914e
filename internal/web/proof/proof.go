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

// mostAtOnce is how many lists and faces are computed with side by side: the others wait.
const mostAtOnce = 1

// room is what the pages share.
type room struct {
	asks    shell.Asks
	beliefs *beliefs
}

// Add puts the room's pages on a mux. Prior is what the mill has learned from its own scans, costs are its own ways and prices; nil: none.
func Add(s *shell.Shell, mux *http.ServeMux, m *measured.Room, prior *wholeface.Prior, costs *costfile.Costs) error {
	if err := s.Pages("proof", pages, "pages"); err != nil {
		return err
	}
	turn := shell.NewTurn(mostAtOnce)
	r := room{asks: shell.Asks{Here: "gauging", Turn: turn, Examples: examples, Questions: []shell.Question{askLevels(), askFeelers()}},
		beliefs: &beliefs{measured: m, prior: prior, costs: costs, turn: turn, kept: map[string]*believed{}}}
	s.Ask(mux, r.asks)
	s.Add(mux, []shell.Route{
		{Method: http.MethodGet, Path: tablePath, Least: book.Visitor, Do: r.table},
		{Method: http.MethodPost, Path: tablePath, Least: book.Visitor, Do: r.takeTable},
		{Method: http.MethodGet, Path: "/piece/{number}/judge-face", Least: book.Visitor, Do: r.judgeFace},
		{Method: http.MethodGet, Path: "/piece/{number}/judge-face.json", Least: book.Visitor, Do: r.judgeFile, Data: true},
	})
	return nil
}

// Package bench is the inspector's bench: measuring a face number by number, laying a set up dry, judging it and certifying it.
// Numbers that are measured go into the book as readings files with the act read; what a set is found to be is composed by package
// measured exactly as the command line composes it. What is believed of the face between its readings is asked of package wholeface.
//
// It computes no flatness and decides no verdict of its own, and checks no passphrase: the gate does.
package bench

import (
	"embed"
	"net/http"
	"time"

	"slatewright/certificate"
	"slatewright/internal/book"
	"slatewright/internal/measured"
	"slatewright/internal/waiting"
	"slatewright/internal/web/shell"
	"slatewright/wholeface"
)

//go:embed all:pages
var pages embed.FS

// Key gives the mill's secret key; without one it is trouble that says how to get one.
type Key func() (certificate.Key, error)

// Queue tells what waits as the house stands now.
type Queue interface {
	Ask(now time.Time) []waiting.Question
	Racks(now time.Time) []waiting.Rack
}

// room is what the pages of this room share.
type room struct {
	measured *measured.Room
	queue    Queue
	key      Key
	beliefs  *beliefs
}

// Add puts the room's pages on a mux. The prior is what the mill has learned from its own scans; nil: nothing.
func Add(s *shell.Shell, mux *http.ServeMux, m *measured.Room, queue Queue, key Key, prior *wholeface.Prior) error {
	if err := s.Pages("bench", pages, "pages"); err != nil {
		return err
	}
	r := room{m, queue, key, newBeliefs(prior)}
	s.Add(mux, []shell.Route{
		{Method: http.MethodGet, Path: "/bench", Least: book.Visitor, Do: r.waiting},
		{Method: http.MethodGet, Path: "/bench/{number}", Least: book.Hand, Do: r.measure},
		{Method: http.MethodPost, Path: "/bench/{number}/so-far", Least: book.Hand, Do: r.soFar},
		{Method: http.MethodPost, Path: "/bench/{number}", Least: book.Hand, Do: r.takeFile},
		{Method: http.MethodGet, Path: "/set/{number}/lay-up", Least: book.Hand, Do: r.layUp},
		{Method: http.MethodPost, Path: "/set/{number}/lay-up", Least: book.Hand, Do: r.takeLayUp},
		{Method: http.MethodGet, Path: "/lay-up", Least: book.Hand, Do: r.layUp},
		{Method: http.MethodPost, Path: "/lay-up", Least: book.Hand, Do: r.takeLayUp},
		{Method: http.MethodGet, Path: "/set/{number}/judge", Least: book.Inspector, Do: r.judge},
		{Method: http.MethodPost, Path: "/set/{number}/judge", Least: book.Inspector, Do: r.takeJudgement},
		{Method: http.MethodGet, Path: "/set/{number}/certify", Least: book.Inspector, Do: r.certify},
		{Method: http.MethodPost, Path: "/set/{number}/certify", Least: book.Inspector, Do: r.takeCertificate},
	})
	return nil
}

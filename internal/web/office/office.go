// Package office is where people come in and where the mill's own things are looked after: signing in, people, instruments, orders,
// the mill's answers and its route; and the public view of a certificate, which anybody may open who has its number. It checks no
// passphrase, the gate does; what a role may do stands in the book; whether a certificate holds is asked of package certificate.
package office

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

// Queue tells what waits as the house stands now.
type Queue interface {
	Ask(now time.Time) []waiting.Question
}

// Add puts the room's pages on a mux. Without a printer certificates have no PDF.
func Add(s *shell.Shell, mux *http.ServeMux, queue Queue, print Printer, trust Trust) error {
	if err := s.Pages("office", pages, "pages"); err != nil {
		return err
	}
	sold := orders{queue}
	p := &proofs{print: print, clock: s.Clock, misses: map[string]*missed{}}
	s.Add(mux, []shell.Route{
		{Method: http.MethodGet, Path: "/sign-in", Least: shell.Anybody, Do: showSignIn},
		{Method: http.MethodPost, Path: "/sign-in", Least: shell.Anybody, Do: signIn},
		{Method: http.MethodPost, Path: "/switch", Least: shell.Anybody, Do: switchPerson},
		{Method: http.MethodPost, Path: "/sign-out", Least: book.Visitor, Do: signOut},
		{Method: http.MethodGet, Path: "/me", Least: book.Visitor, Do: showMe},
		{Method: http.MethodPost, Path: "/me/pin", Least: book.Visitor, Do: setPIN},
		{Method: http.MethodPost, Path: "/me/passphrase", Least: book.Visitor, Do: setPassphrase},
		{Method: http.MethodGet, Path: "/people", Least: book.Visitor, Do: showPeople},
		{Method: http.MethodPost, Path: "/people/passphrase", Least: book.Lead, Do: resetPassphrase},
		{Method: http.MethodGet, Path: "/instruments", Least: book.Visitor, Do: showInstruments},
		{Method: http.MethodGet, Path: "/instrument/{number}", Least: book.Visitor, Do: showInstrument},
		{Method: http.MethodGet, Path: "/orders", Least: book.Visitor, Do: sold.all},
		{Method: http.MethodGet, Path: "/order/{number}", Least: book.Visitor, Do: sold.one},
		{Method: http.MethodGet, Path: "/mill", Least: book.Visitor, Do: showMill},
		{Method: http.MethodPost, Path: "/mill", Least: book.Lead, Do: settle},
		{Method: http.MethodGet, Path: "/trust", Least: shell.Anybody, Do: trust.show},
		{Method: http.MethodGet, Path: "/trust/root.crt", Least: shell.Anybody, Do: trust.root, Data: true},
		{Method: http.MethodGet, Path: "/certificate/{number}", Least: shell.Anybody, Do: p.show},
		{Method: http.MethodGet, Path: "/certificate/{number}/json", Least: shell.Anybody, Do: p.json, Data: true},
		{Method: http.MethodGet, Path: "/certificate/{number}/pdf", Least: shell.Anybody, Do: p.pdf, Data: true},
	})
	return nil
}

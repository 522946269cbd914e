// Package office is where people come in and where the mill's own things are looked after: signing in, switching a shared tablet
// with a PIN, and who is who. It checks no passphrase, the gate does; what a role may do stands in the book.
package office

import (
	"embed"
	"net/http"

	"slatewright/internal/book"
	"slatewright/internal/web/shell"
)

//go:embed all:pages
var pages embed.FS

// Add puts the room's pages on a mux.
func Add(s *shell.Shell, mux *http.ServeMux) error {
	if err := s.Pages("office", pages, "pages"); err != nil {
		return err
	}
	s.Add(mux, []shell.Route{
		{Method: http.MethodGet, Path: "/sign-in", Least: shell.Anybody, Do: showSignIn},
		{Method: http.MethodPost, Path: "/sign-in", Least: shell.Anybody, Do: signIn},
		{Method: http.MethodPost, Path: "/switch", Least: shell.Anybody, Do: switchPerson},
		{Method: http.MethodPost, Path: "/sign-out", Least: book.Visitor, Do: signOut},
		{Method: http.MethodGet, Path: "/me", Least: book.Visitor, Do: showMe},
		{Method: http.MethodPost, Path: "/me/pin", Least: book.Visitor, Do: setPIN},
		{Method: http.MethodPost, Path: "/me/passphrase", Least: book.Visitor, Do: setPassphrase},
	})
	return nil
}

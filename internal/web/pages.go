package web

import (
	"net/http"

	"slatewright/internal/web/office"
	"slatewright/internal/web/script"
	"slatewright/internal/web/shell"
)

// addPages puts the pages on a mux, room by room.
func addPages(mux *http.ServeMux, c Config) (*shell.Shell, error) {
	s, err := shell.New(shell.Config{Ledger: c.Ledger, Blobs: c.Blobs, Gate: c.Gate, Clock: c.Clock, Log: c.Log, Mill: c.Mill, Demo: c.Demo, MaxUpload: c.MaxUpload, Scripts: script.Bundle{}})
	if err != nil {
		return nil, err
	}
	s.AddOwn(mux)
	for _, add := range []func(*shell.Shell, *http.ServeMux) error{office.Add} {
		if err := add(s, mux); err != nil {
			return nil, err
		}
	}
	return s, nil
}

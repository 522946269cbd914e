package web

import (
	"context"
	"net/http"

	"slatewright/internal/measured"
	"slatewright/internal/waiting"
	"slatewright/internal/web/floor"
	"slatewright/internal/web/live"
	"slatewright/internal/web/office"
	"slatewright/internal/web/script"
	"slatewright/internal/web/shell"
)

// addPages puts the pages on a mux, room by room. What follows the book does so until the context ends.
func addPages(ctx context.Context, mux *http.ServeMux, c Config) (*shell.Shell, error) {
	room := measured.New(c.Blobs, measured.Options{Program: "slatewright " + c.Version})
	files := newKnown(room, c.Demo)
	q := follow(ctx, c.Ledger, files, c.Log)
	hub := live.New(c.Ledger, c.Log)
	go hub.Run(ctx)
	go files.run(ctx)
	context.AfterFunc(ctx, room.Close)
	s, err := shell.New(shell.Config{Ledger: c.Ledger, Blobs: c.Blobs, Gate: c.Gate, Clock: c.Clock, Log: c.Log, Mill: c.Mill, Demo: c.Demo, MaxUpload: c.MaxUpload,
		Scripts: script.Bundle{}, Head: hub.Head, Waiting: func() int { return len(waiting.Ask(q.House(), c.Clock())) }})
	if err != nil {
		return nil, err
	}
	s.AddOwn(mux)
	live.Add(s, mux, hub)
	for _, add := range []func() error{
		func() error { return office.Add(s, mux) },
		func() error { return floor.Add(s, mux, q) },
	} {
		if err := add(); err != nil {
			return nil, err
		}
	}
	return s, nil
}

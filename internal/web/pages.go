package web

import (
	"context"
	"net/http"

	"slatewright/internal/measured"
	"slatewright/internal/web/bench"
	"slatewright/internal/web/bending"
	"slatewright/internal/web/cutting"
	"slatewright/internal/web/drilling"
	"slatewright/internal/web/drying"
	"slatewright/internal/web/floor"
	"slatewright/internal/web/gauging"
	"slatewright/internal/web/gluing"
	"slatewright/internal/web/live"
	"slatewright/internal/web/matching"
	"slatewright/internal/web/office"
	"slatewright/internal/web/packing"
	"slatewright/internal/web/proof"
	"slatewright/internal/web/script"
	"slatewright/internal/web/shell"
	"slatewright/internal/web/stone"
	"slatewright/internal/web/surfacing"
)

// newFiles is what the files behind readings say, computed until the context ends.
func newFiles(ctx context.Context, c Config) *known {
	room := measured.New(c.Blobs, measured.Options{Program: "slatewright " + c.Version})
	files := newKnown(room, c.Demo)
	context.AfterFunc(ctx, func() { room.Close(); files.answers.Close() })
	go files.run(ctx)
	return files
}

// addPages puts the pages on a mux, room by room. What follows the book does so until the context ends.
func addPages(ctx context.Context, mux *http.ServeMux, c Config, files *known) (*shell.Shell, error) {
	q := follow(ctx, c.Ledger, files, c.Log)
	hub := live.New(c.Ledger, c.Log)
	go hub.Run(ctx)
	s, err := shell.New(shell.Config{Ledger: c.Ledger, Blobs: c.Blobs, Gate: c.Gate, Clock: c.Clock, Log: c.Log, Mill: c.Mill, Demo: c.Demo, SelfMade: c.Trust.How == SelfMade, Specimen: string(c.specimen), MaxUpload: c.MaxUpload,
		Scripts: script.Bundle{}, Answers: files.answers, Head: hub.Head, Waiting: func() int { return len(q.Ask(c.Clock())) }})
	if err != nil {
		return nil, err
	}
	s.AddOwn(mux)
	live.Add(s, mux, hub)
	for _, add := range []func() error{
		func() error { return office.Add(s, mux, q, c.Print, c.Trust) },
		func() error { return floor.Add(s, mux, q) },
		func() error { return stone.Add(s, mux, files.room, q) },
		func() error { return gauging.Add(s, mux) },
		func() error { return bending.Add(s, mux) },
		func() error { return gluing.Add(s, mux) },
		func() error { return drying.Add(s, mux) },
		func() error { return cutting.Add(s, mux, c.Saw) },
		func() error { return surfacing.Add(s, mux) },
		func() error { return packing.Add(s, mux, c.Labels) },
		func() error { return drilling.Add(s, mux) },
		func() error { return matching.Add(s, mux, files.room, q) },
		func() error { return proof.Add(s, mux, files.room, c.Prior, c.Costs) },
		func() error { return bench.Add(s, mux, files.room, q, c.key, c.Prior) },
	} {
		if err := add(); err != nil {
			return nil, err
		}
	}
	return s, nil
}

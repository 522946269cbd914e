package work

import (
	"context"

	"slatewright/internal/jobs"
	"slatewright/internal/ledger"
)

// Queue is the queue of an open book.
type Queue struct {
	jobs.Queue
	close func()
}

// Close lets go of what the queue itself opened. The book stays open; Run must have returned.
func (q *Queue) Close() { q.close() }

// Open opens the queue of a book. On SQLite it works within this program, and Run queues again what an earlier program left
// unfinished. On PostgreSQL it shares the work with every program that opened the same mill's book and calls Run; a program
// that does not call Run can submit, ask and cancel.
func Open(ctx context.Context, h ledger.Handles, o jobs.Options, workers ...jobs.Worker) (*Queue, error) {
	s := NewStore(h)
	if !h.Postgres {
		return &Queue{jobs.InHouse(s, o, workers...), func() {}}, nil
	}
	return openRiver(ctx, h, s, o, workers)
}

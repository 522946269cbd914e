package web

import (
	"context"
	"log/slog"
	"sync/atomic"
	"time"

	"slatewright/bed"
	"slatewright/internal/book"
	"slatewright/internal/waiting"
)

// again is how long it takes until a house that could not be read is tried again.
const again = 30 * time.Second

// queue is what is in the house, followed for the pages. A book that cannot be read whole leaves it empty and says why: the other
// pages are there all the same.
type queue struct {
	watcher atomic.Pointer[waiting.Watcher]
	fault   atomic.Pointer[error]
	empty   *waiting.House
}

// follow reads the house and keeps it until the context ends.
func follow(ctx context.Context, l book.Ledger, files waiting.Measured, log *slog.Logger) *queue {
	q := &queue{empty: &waiting.House{}}
	if q.try(ctx, l, files, log) {
		return q
	}
	go func() {
		t := time.NewTicker(again)
		defer t.Stop()
		for {
			select {
			case <-t.C:
				if q.try(ctx, l, files, log) {
					return
				}
			case <-ctx.Done():
				return
			}
		}
	}()
	return q
}

func (q *queue) try(ctx context.Context, l book.Ledger, files waiting.Measured, log *slog.Logger) bool {
	w, err := waiting.Follow(ctx, l, bed.NineFoot(), files)
	if err != nil {
		if q.fault.Swap(&err) == nil {
			log.Warn("what waits cannot be told", "cause", err)
		}
		return false
	}
	q.watcher.Store(w)
	q.fault.Store(nil)
	return true
}

// House is the house as it stands now.
func (q *queue) House() *waiting.House {
	if w := q.watcher.Load(); w != nil {
		return w.House()
	}
	return q.empty
}

// Fault is why the house may be behind the book.
func (q *queue) Fault() error {
	if w := q.watcher.Load(); w != nil {
		return w.Fault()
	}
	if err := q.fault.Load(); err != nil {
		return *err
	}
	return nil
}

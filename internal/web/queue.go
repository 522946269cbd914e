package web

import (
	"context"
	"log/slog"
	"sync"
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
	asking  sync.Mutex // one asks for all
	asked   asked
}

// asked is what waited in a house at a time. Every page shows how many questions there are, and the answer changes only with the
// house, with what was measured since, and with time.
type asked struct {
	house *waiting.House
	at    time.Time
	all   []waiting.Question
}

// stale is how long an answer of the same house holds.
const stale = 10 * time.Second

// follow reads the house and keeps it until the context ends.
func follow(ctx context.Context, l book.Ledger, files waiting.Measured, log *slog.Logger) *queue {
	q := &queue{}
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

// house is the house as it stands now, nil while it could not be read.
func (q *queue) house() *waiting.House {
	if w := q.watcher.Load(); w != nil {
		return w.House()
	}
	return nil
}

// Ask lists what waits, the costliest waiting first. The list is shared and must not be changed.
func (q *queue) Ask(now time.Time) []waiting.Question {
	house := q.house()
	if house == nil {
		return nil
	}
	q.asking.Lock()
	defer q.asking.Unlock()
	if house = q.house(); q.asked.house != house || now.Sub(q.asked.at).Abs() >= stale {
		q.asked = asked{house, now, waiting.Ask(house, now)}
	}
	return q.asked.all
}

// Racks lists the stock that waits to be matched.
func (q *queue) Racks(now time.Time) []waiting.Rack {
	if house := q.house(); house != nil {
		return waiting.Racks(house, now)
	}
	return nil
}

// Coming lists what will be asked next, the soonest first.
func (q *queue) Coming(now time.Time) []waiting.Coming {
	if house := q.house(); house != nil {
		return waiting.Next(house, now)
	}
	return nil
}

// NextFor says for each of some things what comes next for it; nothing where that is not known.
func (q *queue) NextFor(now time.Time, things ...book.Ref) []waiting.Sentence {
	if house := q.house(); house != nil {
		return house.NextFor(now, things...)
	}
	return make([]waiting.Sentence, len(things))
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

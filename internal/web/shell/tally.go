package shell

import (
	"context"
	"sync"

	"slatewright/internal/book"
)

// tally is how many things stand where. Every page shows it, and it changes only with the book: one counts for all.
type tally struct {
	mu      sync.Mutex
	changed <-chan struct{} // closed when the book has changed since; nil: not counted yet
	counted map[book.Station]map[book.Kind]int
}

// count returns what is not to be changed.
func (t *tally) count(ctx context.Context, l book.Ledger) (map[book.Station]map[book.Kind]int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.changed != nil {
		select {
		case <-t.changed:
		default:
			return t.counted, nil
		}
	}
	changed := l.Changed() // before the count: what comes meanwhile makes it old
	counted, err := l.Stations(ctx)
	if err != nil {
		return nil, err
	}
	t.changed, t.counted = changed, counted
	return counted, nil
}

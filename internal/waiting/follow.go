package waiting

import (
	"context"
	"slices"
	"sync/atomic"

	"slatewright/bed"
	"slatewright/internal/book"
	"slatewright/internal/waiting/house"
)

// Watcher keeps a house as the book has it.
type Watcher struct {
	*house.Watcher
	last atomic.Pointer[House]
}

// Follow reads the house of a book and keeps it current until the context is done. The specification says what is held against limits; m
// may be nil.
func Follow(ctx context.Context, ledger book.Ledger, spec bed.Spec, m Measured) (*Watcher, error) {
	w, answers := &Watcher{}, newMemory()
	ready := func(next *house.House) {
		h := &House{next, m, spec, answers}
		if before := w.last.Load(); before == nil || !slices.Equal(before.Furniture(), h.Furniture()) {
			Ask(h, h.Latest()) // the book is asked about every set: better here than when a page is wanted
		}
		w.last.Store(h)
	}
	var err error
	w.Watcher, err = house.Follow(ctx, ledger, ready)
	return w, err
}

// House returns the house as it stands now. What is returned does not change any more.
func (w *Watcher) House() *House { return w.last.Load() }

package house

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"slatewright/internal/book"
)

// Watcher keeps a house as the book has it, with few reads: after a commit it reads again what the new entries touched.
type Watcher struct {
	ledger book.Ledger
	ready  func(*House)
	house  atomic.Pointer[House]
	seq    int64 // the last entry that the house knows
	fault  atomic.Pointer[error]
	mu     sync.Mutex // one catches up at a time
	next   chan struct{}
	notice sync.Mutex // guards next
}

const (
	// page is how many rows are read at once.
	page = 1000
	// tail is how many entries back a match is looked for that may still be open.
	tail = 2000
	// most is how many new entries are followed one by one; after more the house is read anew.
	most = 2000
)

// Follow reads the house of a book and keeps it current until the context is done. Each new house is shown to ready, if that is not nil,
// before anybody else sees it.
func Follow(ctx context.Context, ledger book.Ledger, ready func(*House)) (*Watcher, error) {
	if ready == nil {
		ready = func(*House) {}
	}
	w := &Watcher{ledger: ledger, ready: ready, next: make(chan struct{})}
	changed := ledger.Changed()
	if err := w.readAll(ctx); err != nil {
		return nil, err
	}
	go w.watch(ctx, changed)
	return w, nil
}

// House returns the house as it stands now. What is returned does not change any more.
func (w *Watcher) House() *House { return w.house.Load() }

// Seq is the last entry that the house knows.
func (w *Watcher) Seq() int64 {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.seq
}

// Changed returns a channel that is closed when the house changes next.
func (w *Watcher) Changed() <-chan struct{} {
	w.notice.Lock()
	defer w.notice.Unlock()
	return w.next
}

// Fault is why the house could not be kept current, and nil when it could.
func (w *Watcher) Fault() error {
	if err := w.fault.Load(); err != nil {
		return *err
	}
	return nil
}

// again is how long the watcher waits after something went wrong.
const again = time.Second

func (w *Watcher) watch(ctx context.Context, changed <-chan struct{}) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-changed:
		}
		for {
			changed = w.ledger.Changed()
			err := w.Catch(ctx)
			if w.note(err); err == nil {
				break
			}
			select {
			case <-ctx.Done():
				return
			case <-time.After(again):
			}
		}
	}
}

func (w *Watcher) note(err error) {
	if err == nil {
		w.fault.Store(nil)
		return
	}
	w.fault.Store(&err)
}

// Catch reads what came since, and makes the house current. The watcher does so by itself at each commit; who has just handed in an act may
// call it, so that the next page shows what it did.
func (w *Watcher) Catch(ctx context.Context) error {
	w.mu.Lock()
	defer w.mu.Unlock()
	for {
		list, err := w.ledger.Entries(ctx, w.seq, most)
		if err != nil || len(list) == 0 {
			return err
		}
		if len(list) == most {
			if err = w.readAll(ctx); err != nil {
				return err
			}
		} else if err = w.follow(ctx, list); err != nil {
			return err
		}
		w.announce()
	}
}

func (w *Watcher) announce() {
	w.notice.Lock()
	defer w.notice.Unlock()
	close(w.next)
	w.next = make(chan struct{})
}

// readAll reads the house from the ground. The last entry is found first: what is committed while it reads is read again afterwards.
func (w *Watcher) readAll(ctx context.Context) error {
	seq, err := w.last(ctx)
	if err != nil {
		return err
	}
	var things []book.Thing
	for _, f := range filters() {
		list, err := pages(func(cursor string) (book.Page[book.Thing], error) { return w.ledger.Things(ctx, f, cursor, page) })
		if err != nil {
			return err
		}
		things = append(things, list...)
	}
	conflicts, err := w.conflicts(ctx)
	if err != nil {
		return err
	}
	entries, err := w.ledger.Entries(ctx, max(0, seq-tail), tail)
	if err != nil {
		return err
	}
	entries = slices.DeleteFunc(entries, func(p book.Placed) bool { return p.Seq > seq })
	h, err := New(w.ledger.Site(), things, conflicts, entries)
	if err != nil {
		return err
	}
	w.ready(h)
	w.house.Store(h)
	w.seq = seq
	return nil
}

// filters are the lists that a house is read from: what stands somewhere in the house, the sets that were shipped, and their shipments.
func filters() (list []book.Filter) {
	for _, s := range book.Stations() {
		if s != book.Away && s != book.Heap {
			list = append(list, book.Filter{Station: s})
		}
	}
	return append(list, book.Filter{Kind: book.KindSet, Station: book.Away}, book.Filter{Kind: book.KindShipment})
}

// last finds the last entry. They are numbered without gaps, so a few looks do: ever further ahead, then halving what is left.
func (w *Watcher) last(ctx context.Context) (int64, error) {
	there := func(seq int64) (bool, error) {
		list, err := w.ledger.Entries(ctx, seq-1, 1)
		return len(list) > 0, err
	}
	low, high := int64(0), int64(1) // low is there, or nothing is
	for {
		yes, err := there(high)
		if err != nil {
			return 0, err
		}
		if !yes {
			break
		}
		low, high = high, 2*high
	}
	for high-low > 1 {
		middle := low + (high-low)/2
		yes, err := there(middle)
		if err != nil {
			return 0, err
		}
		if yes {
			low = middle
		} else {
			high = middle
		}
	}
	return low, nil
}

func pages[T any](read func(cursor string) (book.Page[T], error)) (all []T, err error) {
	for cursor := ""; ; {
		p, err := read(cursor)
		if err != nil {
			return nil, err
		}
		all = append(all, p.Items...)
		if cursor = p.Next; cursor == "" {
			return all, nil
		}
	}
}

func (w *Watcher) conflicts(ctx context.Context) ([]book.Placed, error) {
	return pages(func(cursor string) (book.Page[book.Placed], error) { return w.ledger.Conflicts(ctx, cursor, page) })
}

// follow makes a new house of the present one and what the new entries touched.
func (w *Watcher) follow(ctx context.Context, list []book.Placed) error {
	old := w.House()
	h := *old
	h.kinds, h.sent, h.proposals = maps.Clone(old.kinds), maps.Clone(old.sent), slices.Clone(old.proposals)
	conflicts, err := w.conflicts(ctx)
	if err != nil {
		return err
	}
	h.conflicts = conflicts
	r := &rereading{ledger: w.ledger, house: &h, old: old, fresh: map[book.Kind]bool{}, seen: map[book.Ref]bool{}}
	for _, p := range list {
		if err := r.entry(ctx, p); err != nil {
			return err
		}
	}
	for _, c := range old.conflicts { // one that is none any more was applied, or struck out
		if slices.ContainsFunc(conflicts, func(p book.Placed) bool { return p.Seq == c.Seq }) {
			continue
		}
		if c, err = w.ledger.Entry(ctx, c.ID); err != nil {
			return err
		}
		if err := r.entry(ctx, c); err != nil {
			return err
		}
	}
	if err := r.things(ctx); err != nil {
		return err
	}
	h.furnish()
	h.forget(list[len(list)-1].Seq - tail)
	w.ready(&h)
	w.house.Store(&h)
	w.seq = list[len(list)-1].Seq
	return nil
}

// forget drops proposals of entries up to one.
func (h *House) forget(seq int64) {
	h.proposals = slices.DeleteFunc(h.proposals, func(p Proposal) bool { return p.Seq <= seq })
	slices.SortFunc(h.proposals, func(a, b Proposal) int { return cmp.Compare(a.Seq, b.Seq) })
}

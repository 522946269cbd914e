package waiting

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"maps"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"slatewright/bed"
	"slatewright/internal/book"
	"slatewright/trouble"
)

// Watcher keeps a house as the book has it, with few reads: after a commit it reads again what the new entries touched.
type Watcher struct {
	ledger book.Ledger
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

// Follow reads the house of a book and keeps it current until the context is done. The specification says what is held against limits; m
// may be nil.
func Follow(ctx context.Context, ledger book.Ledger, spec bed.Spec, m Measured) (*Watcher, error) {
	w := &Watcher{ledger: ledger, next: make(chan struct{})}
	changed := ledger.Changed()
	if err := w.readAll(ctx, spec, m); err != nil {
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
			h := w.House()
			if err = w.readAll(ctx, h.spec, h.measured); err != nil {
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
func (w *Watcher) readAll(ctx context.Context, spec bed.Spec, m Measured) error {
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
	h, err := NewHouse(w.ledger.Site(), things, conflicts, entries, spec, m)
	if err != nil {
		return err
	}
	Ask(h, h.latest) // so that the first page need not ask the book about everything
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
	if !slices.Equal(h.furniture, old.furniture) {
		Ask(&h, h.latest) // all the book's answers are asked for anew: better here than when a page is wanted
	}
	w.house.Store(&h)
	w.seq = list[len(list)-1].Seq
	return nil
}

// forget drops proposals of entries up to one.
func (h *House) forget(seq int64) {
	h.proposals = slices.DeleteFunc(h.proposals, func(p proposal) bool { return p.seq <= seq })
	slices.SortFunc(h.proposals, func(a, b proposal) int { return cmp.Compare(a.seq, b.seq) })
}

// rereading reads things again, and what hangs together with them.
type rereading struct {
	ledger book.Ledger
	house  *House
	old    *House
	fresh  map[book.Kind]bool // lists that are this house's own already
	seen   map[book.Ref]bool
	queue  []book.Ref
}

// entry takes up what an entry touched; a correction also what was touched by those that it strikes out.
func (r *rereading) entry(ctx context.Context, p book.Placed) error {
	for {
		r.enqueue(r.house.touchedBy(p.Entry)...)
		r.proposal(p)
		if p.Act != "correct" {
			return nil
		}
		var c book.Correct
		if err := json.Unmarshal(p.Body, &c); err != nil {
			return err
		}
		before, err := r.ledger.Entry(ctx, c.Entry)
		if gone(err) {
			return nil
		} else if err != nil {
			return err
		}
		p = before
	}
}

// proposal notes whether an entry proposes something, as it stands now.
func (r *rereading) proposal(p book.Placed) {
	r.house.proposals = slices.DeleteFunc(r.house.proposals, func(o proposal) bool { return o.entry == p.ID })
	r.house.propose(p)
}

func (r *rereading) enqueue(list ...book.Ref) {
	for _, x := range list {
		if kept[x.Kind] && !r.seen[x] {
			r.seen[x] = true
			r.queue = append(r.queue, x)
		}
	}
}

// things reads what is in the queue, and then what each of it belongs to, before and now.
func (r *rereading) things(ctx context.Context) error {
	for len(r.queue) > 0 {
		next := r.queue[0]
		r.queue = r.queue[1:]
		if t, there := r.old.Thing(next); there {
			r.enqueue(kin(t.State)...)
		}
		t, err := r.ledger.Thing(ctx, next)
		if err != nil && !gone(err) {
			return err
		}
		r.drop(next)
		if err != nil {
			continue
		}
		if err := r.take(t); err != nil {
			return err
		}
	}
	return nil
}

// drop takes a thing out of the house.
func (r *rereading) drop(x book.Ref) {
	h := r.house
	if !r.fresh[x.Kind] {
		r.fresh[x.Kind] = true
		h.kinds[x.Kind] = slices.Clone(h.kinds[x.Kind])
	}
	h.kinds[x.Kind] = slices.DeleteFunc(h.kinds[x.Kind], func(t *Thing) bool { return t.ID == x.ID })
	if x.Kind == book.KindSet {
		delete(h.sent, x.ID)
	}
}

// take puts a thing into the house where its number belongs.
func (r *rereading) take(t book.Thing) error {
	state, err := book.StateOf(t)
	if err != nil {
		return err
	}
	r.enqueue(kin(state)...)
	h := r.house
	if err := h.put(t); err != nil {
		return err
	}
	slices.SortFunc(h.kinds[t.Kind], func(a, b *Thing) int { return cmp.Compare(a.ID, b.ID) })
	return nil
}

// kin are the things that change with one: a set with its pieces, and a piece with the sets that it is or was in.
func kin(state any) (list []book.Ref) {
	switch s := state.(type) {
	case *book.PieceState:
		for _, id := range append(slices.Clone(s.Sets), s.Set) {
			if id != "" {
				list = append(list, book.Ref{Kind: book.KindSet, ID: id})
			}
		}
	case *book.SetState:
		for _, id := range s.Pieces {
			list = append(list, book.Ref{Kind: book.KindPiece, ID: id})
		}
	}
	return list
}

// gone tells that the book has no such thing or entry.
func gone(err error) bool {
	var t *trouble.Trouble
	return errors.As(err, &t) && (t.Code == "no-such-thing" || t.Code == "no-such-entry")
}

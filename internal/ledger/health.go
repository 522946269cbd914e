package ledger

import (
	"errors"
	"fmt"
	"slices"
	"sync"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// health is what is known to be wrong with the book. What is wrong is blocked: it is not shown, and nothing is built on it.
type health struct {
	mu       sync.RWMutex
	rebuilds int64 // the making of the tables that it tells of: the chain counts them, whichever program makes them anew
	looked   bool  // the count was read
	found    findings
	closed   error // why nothing can be written at all
}

// findings are what a check has found.
type findings struct {
	faults []book.Fault
	things map[book.Ref]bool
	reach  map[book.Ref]bool // origins and targets whose rows of reach are wrong
}

// maxFaults bounds what is kept and shown; a book with more is restored, not read through.
const maxFaults = 200

func (f *findings) fault(err error) {
	if err != nil && len(f.faults) < maxFaults {
		f.faults = append(f.faults, faultOf(err))
	}
}

func faultOf(err error) book.Fault {
	var t *trouble.Trouble
	if errors.As(err, &t) {
		return book.Fault{What: t.What, Where: t.Where, Next: t.Next}
	}
	return book.Fault{What: err.Error()}
}

// differs takes a row that differs from the journal.
func (f *findings) differs(table string, key []string) {
	switch table {
	case "thing", "touch":
		f.block(&f.things, key[0], brokenThing)
	case "reach":
		f.block(&f.reach, key[0], brokenReach)
		f.block(&f.reach, key[2], brokenReach)
	default:
		f.fault(trouble.IO("broken-thing", "entry "+key[0], "the standing of an entry does not follow from the journal", makeAnew))
	}
}

func (f *findings) block(in *map[book.Ref]bool, name string, says func(book.Ref) *trouble.Trouble) {
	r, err := toRef(name)
	if err != nil {
		f.fault(err)
		return
	}
	if (*in)[r] {
		return
	}
	if *in == nil {
		*in = map[book.Ref]bool{}
	}
	(*in)[r] = true
	f.fault(says(r))
}

// Faults returns what the check in the background has found.
func (l *Ledger) Faults() []book.Fault {
	l.health.mu.RLock()
	defer l.health.mu.RUnlock()
	return slices.Clone(l.health.found.faults)
}

// adopt takes over what was found in tables of a certain making, unless they were made anew since.
func (h *health) adopt(f *findings, rebuilds int64) {
	h.madeAnew(rebuilds)
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.rebuilds == rebuilds {
		f.faults = append(h.found.faults, f.faults...)
		h.found = *f
	}
}

// shut keeps anything from being written.
func (h *health) shut(err error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.closed = err
	h.found.fault(err)
}

// madeAnew forgets what was wrong with tables that were made anew from a sound journal, by this program or another.
func (h *health) madeAnew(rebuilds int64) {
	h.mu.RLock()
	known := h.looked && rebuilds <= h.rebuilds
	h.mu.RUnlock()
	if known {
		return
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.looked && rebuilds > h.rebuilds {
		h.found, h.closed = findings{}, nil
	}
	h.rebuilds, h.looked = max(h.rebuilds, rebuilds), true
}

// tables tells which making of the tables it tells of.
func (h *health) tables() int64 {
	h.mu.RLock()
	defer h.mu.RUnlock()
	return h.rebuilds
}

func (h *health) thing(r book.Ref) error {
	h.mu.RLock()
	defer h.mu.RUnlock()
	if h.found.things[r] {
		return brokenThing(r)
	}
	return nil
}

func (h *health) ofReach(r book.Ref) error {
	h.mu.RLock()
	defer h.mu.RUnlock()
	if h.found.reach[r] {
		return brokenReach(r)
	}
	return nil
}

func (h *health) mayWrite() error {
	h.mu.RLock()
	defer h.mu.RUnlock()
	return h.closed
}

const makeAnew = "make the tables anew from the journal with `slatewright rebuild`; until then this is not shown"

func brokenThing(r book.Ref) *trouble.Trouble {
	return trouble.IO("broken-thing", r.String(), fmt.Sprintf("what the tables say of %s does not follow from the journal", r), makeAnew)
}

func brokenReach(r book.Ref) *trouble.Trouble {
	return trouble.IO("broken-thing", r.String(), fmt.Sprintf("what the tables say %s reached, or was reached by, does not follow from the journal", r), makeAnew)
}

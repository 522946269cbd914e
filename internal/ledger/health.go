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
	mu     sync.RWMutex
	faults []book.Fault
	things map[book.Ref]bool
	reach  map[book.Ref]bool // origins and targets whose rows of reach are wrong
	closed error             // why nothing can be written at all
}

// Faults returns what the check in the background has found so far.
func (l *Ledger) Faults() []book.Fault {
	l.health.mu.RLock()
	defer l.health.mu.RUnlock()
	return slices.Clone(l.health.faults)
}

// maxFaults bounds what is kept and shown; a book with more is restored, not read through.
const maxFaults = 200

func (h *health) report(err error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if len(h.faults) < maxFaults {
		h.faults = append(h.faults, faultOf(err))
	}
}

func faultOf(err error) book.Fault {
	var t *trouble.Trouble
	if errors.As(err, &t) {
		return book.Fault{What: t.What, Where: t.Where, Next: t.Next}
	}
	return book.Fault{What: err.Error()}
}

// block keeps a thing from being shown, and reports it the first time.
func (h *health) block(r book.Ref) {
	h.mu.Lock()
	known := h.things[r]
	if h.things == nil {
		h.things = map[book.Ref]bool{}
	}
	h.things[r] = true
	h.mu.Unlock()
	if !known {
		h.report(brokenThing(r))
	}
}

// blockReach keeps the answer to "what reached what" from being given for an origin or a target.
func (h *health) blockReach(r book.Ref) {
	h.mu.Lock()
	known := h.reach[r]
	if h.reach == nil {
		h.reach = map[book.Ref]bool{}
	}
	h.reach[r] = true
	h.mu.Unlock()
	if !known {
		h.report(brokenReach(r))
	}
}

func (h *health) shut(err error) {
	h.mu.Lock()
	h.closed = err
	h.mu.Unlock()
	h.report(err)
}

// clear forgets what was wrong, after the tables were made anew.
func (h *health) clear() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.faults, h.things, h.reach, h.closed = nil, nil, nil, nil
}

func (h *health) thing(r book.Ref) error {
	h.mu.RLock()
	defer h.mu.RUnlock()
	if h.things[r] {
		return brokenThing(r)
	}
	return nil
}

func (h *health) ofReach(r book.Ref) error {
	h.mu.RLock()
	defer h.mu.RUnlock()
	if h.reach[r] {
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

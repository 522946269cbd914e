// Package live tells open pages what has changed in the book, as server-sent events: the things that new entries name, or that
// more happened than is worth telling. What a page does with it is the page's; what stood in the entries is asked for anew, with
// the reader's own rights. It writes nothing and keeps nothing but the last place in the journal.
package live

import (
	"context"
	"encoding/json"
	"log/slog"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"slatewright/internal/book"
)

// Event is what is told: the place in the journal, and the things that changed up to it; nil when all may have changed.
type Event struct {
	Seq    int64
	Things []string
}

// mostThings is the most that one event names.
const mostThings = 60

// Hub follows a book and tells whoever listens.
type Hub struct {
	ledger book.Ledger
	log    *slog.Logger
	head   atomic.Int64
	mu     sync.Mutex
	ears   map[chan Event]struct{}
}

// longestWait is how long the hub waits at most before it asks a book again that did not answer.
const longestWait = 30 * time.Second

// New makes a hub. It tells nothing before Run.
func New(l book.Ledger, log *slog.Logger) *Hub {
	return &Hub{ledger: l, log: log, ears: map[chan Event]struct{}{}}
}

// Head is the place in the journal that the hub has seen.
func (h *Hub) Head() int64 { return h.head.Load() }

// Run follows the book until the context ends.
func (h *Hub) Run(ctx context.Context) {
	for wait := time.Second; ctx.Err() == nil; {
		changed := h.ledger.Changed()
		if err := h.catchUp(ctx); err != nil && ctx.Err() == nil {
			if wait == time.Second {
				h.log.Warn("open pages are not told of changes", "cause", err)
			}
			pause(ctx, wait)
			wait = min(2*wait, longestWait)
			continue
		}
		wait = time.Second
		select {
		case <-changed:
		case <-ctx.Done():
		}
	}
}

func pause(ctx context.Context, d time.Duration) {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-t.C:
	case <-ctx.Done():
	}
}

// catchUp reads what is new and tells it. At first it only finds the journal's end.
func (h *Hub) catchUp(ctx context.Context) error {
	if h.head.Load() == 0 {
		end, err := End(ctx, h.ledger)
		h.head.Store(end)
		return err
	}
	for {
		after := h.head.Load()
		entries, err := h.ledger.Entries(ctx, after, mostThings)
		if len(entries) > 0 {
			h.head.Store(entries[len(entries)-1].Seq)
			h.tell(Event{h.head.Load(), namedIn(entries)})
		}
		if err != nil || len(entries) < mostThings {
			return err
		}
	}
}

// End finds the last place of a journal with few questions: doubling, then halving.
func End(ctx context.Context, l book.Ledger) (int64, error) {
	there := func(seq int64) (bool, error) {
		e, err := l.Entries(ctx, seq-1, 1)
		return len(e) > 0, err
	}
	low, high := int64(0), int64(1)
	for {
		is, err := there(high)
		if err != nil {
			return 0, err
		}
		if !is {
			break
		}
		low, high = high, high*2
	}
	for high-low > 1 {
		middle := low + (high-low)/2
		is, err := there(middle)
		if err != nil {
			return 0, err
		}
		if is {
			low = middle
		} else {
			high = middle
		}
	}
	return low, nil
}

// namedIn lists the things that entries name in their bodies, sorted; nil when they are too many, or when an entry changes more
// than it names.
func namedIn(entries []book.Placed) []string {
	named := map[string]bool{}
	for _, e := range entries {
		if e.Act == "correct" || e.Act == "settle" {
			return nil
		}
		var body map[string]any
		if json.Unmarshal(e.Body, &body) != nil {
			return nil
		}
		for field, value := range body {
			for _, r := range refsIn(field, value) {
				named[r.String()] = true
			}
		}
	}
	if len(named) > mostThings {
		return nil
	}
	list := make([]string, 0, len(named))
	for r := range named {
		list = append(list, r)
	}
	slices.Sort(list)
	return list
}

// plurals are the fields that list things of a kind.
var plurals = map[string]book.Kind{"pieces": book.KindPiece, "slabs": book.KindSlab, "sets": book.KindSet, "codes": book.KindPiece, "instruments": book.KindInstrument, "scale": book.KindInstrument,
	"bits": book.KindBitSet}

// refsIn are the things that one field of a body names.
func refsIn(field string, value any) (list []book.Ref) {
	kind := book.Kind(strings.ReplaceAll(field, "_", "-"))
	if k, ok := plurals[field]; ok {
		kind = k
	}
	switch v := value.(type) {
	case string:
		if field == "thing" {
			if r, err := book.ParseRef(v); err == nil {
				list = append(list, r)
			}
		} else if slices.Contains(book.Kinds(), kind) && v != "" {
			list = append(list, book.Ref{Kind: kind, ID: v})
		}
	case []any:
		for _, x := range v {
			if made, ok := x.(map[string]any); ok {
				x = made["id"]
			}
			if id, ok := x.(string); ok && slices.Contains(book.Kinds(), kind) {
				list = append(list, book.Ref{Kind: kind, ID: id})
			}
		}
	}
	return list
}

// tell hands an event to all that listen. Who does not keep up is told later that all may have changed.
func (h *Hub) tell(e Event) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for ear := range h.ears {
		select {
		case ear <- e:
		default:
			for drained := false; !drained; {
				select {
				case <-ear:
				default:
					drained = true
				}
			}
			ear <- Event{Seq: e.Seq}
		}
	}
}

// listen opens an ear; close it when done.
func (h *Hub) listen() (ear chan Event, done func()) {
	ear = make(chan Event, 32)
	h.mu.Lock()
	h.ears[ear] = struct{}{}
	h.mu.Unlock()
	return ear, func() {
		h.mu.Lock()
		delete(h.ears, ear)
		h.mu.Unlock()
	}
}

// Package house is what is in the house of a mill, kept as the book has it: the things that stand there with their decoded states, the mill's
// answers and route, what was shipped, what is in conflict, and which matches may still be open.
//
// A [House] does not change once it is made. A [Watcher] reads one from a book's ledger and, after each commit, makes the next one by reading
// again only what the new entries touched. The package asks nothing and recommends nothing, knows no rule of the trade, and reads no clock
// but to wait when the ledger fails.
package house

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"slatewright/internal/book"
)

// Thing is a thing of the book with its state as book.StateOf decodes it. It must not be changed.
type Thing struct {
	book.Thing
	State any
}

// House is what is in the house. It may be asked by several goroutines.
type House struct {
	site      string
	mill      *Thing
	kinds     map[book.Kind][]*Thing // sorted by number
	sent      map[string]sent        // shipped sets by number
	conflicts []book.Placed          // in the order of the journal
	proposals []Proposal
	furniture []*Thing
	latest    time.Time
}

// sent is what is remembered of a set that was shipped.
type sent struct{ order, shipment string }

// Proposal is a match, or a lay-up, which ends the matches before it.
type Proposal struct {
	Seq    int64
	Entry  string
	At     time.Time
	Pieces []string
	Match  *book.Match // nil: a lay-up
}

// After tells whether a proposal comes after another.
func (p Proposal) After(o Proposal) bool {
	return cmp.Or(p.At.Compare(o.At), cmp.Compare(p.Seq, o.Seq)) > 0
}

// kept are the kinds that a house holds.
var kept = map[book.Kind]bool{book.KindMill: true, book.KindLayer: true, book.KindBlock: true, book.KindSlab: true, book.KindPiece: true, book.KindSet: true,
	book.KindShipment: true, book.KindInstrument: true, book.KindBench: true, book.KindRoom: true, book.KindBoardBatch: true, book.KindGlueBatch: true, book.KindOrder: true}

// stands tells whether a thing is in the house.
func stands(t book.Thing) bool {
	return kept[t.Kind] && t.Station != book.Heap && (t.Station != book.Away || t.Kind == book.KindShipment)
}

// New makes a house of the things of a book, its conflicts and the entries among which its open matches are.
func New(site string, things []book.Thing, conflicts, entries []book.Placed) (*House, error) {
	h := &House{site: site, kinds: map[book.Kind][]*Thing{}, sent: map[string]sent{}, conflicts: conflicts}
	for _, t := range things {
		if err := h.put(t); err != nil {
			return nil, err
		}
	}
	for _, list := range h.kinds {
		slices.SortFunc(list, func(a, b *Thing) int { return cmp.Compare(a.ID, b.ID) })
	}
	for _, p := range entries {
		h.propose(p)
	}
	if h.mill == nil {
		return nil, fmt.Errorf("house: the book of %s has settled nothing", site)
	}
	h.furnish()
	return h, nil
}

// put adds a thing where it belongs; the lists are not sorted after it.
func (h *House) put(t book.Thing) error {
	if t.At.After(h.latest) {
		h.latest = t.At
	}
	if !stands(t) && (t.Kind != book.KindSet || t.Station != book.Away) {
		return nil
	}
	state, err := book.StateOf(t)
	if err != nil {
		return err
	}
	if s, ok := state.(*book.SetState); ok && t.Station == book.Away {
		h.sent[t.ID] = sent{s.Order, s.Shipment}
		return nil
	}
	thing := &Thing{t, state}
	if t.Kind == book.KindMill {
		h.mill = thing
	}
	h.kinds[t.Kind] = append(h.kinds[t.Kind], thing)
	return nil
}

// propose remembers a match or a lay-up that is in good standing.
func (h *House) propose(p book.Placed) {
	if p.Standing.State != "" || p.Act != "match" && p.Act != "lay-up" && p.Act != "correct" {
		return
	}
	switch a := effective(p.Entry).(type) {
	case *book.Match:
		h.proposals = append(h.proposals, Proposal{p.Seq, p.ID, p.At, a.Pieces, a})
	case *book.LayUp:
		h.proposals = append(h.proposals, Proposal{p.Seq, p.ID, p.At, a.Pieces, nil})
	}
}

// effective is what an entry does: its own act, or the one that a correction puts in the place of another; nil when it only strikes out.
func effective(e book.Entry) book.Act {
	act, err := book.Decode(e.Act, e.Body)
	if c, ok := act.(*book.Correct); ok && err == nil {
		if c.Act == "" {
			return nil
		}
		act, err = book.Decode(c.Act, c.Body)
	}
	if err != nil {
		return nil // what the book took in can be decoded; if not, it proposes nothing
	}
	return act
}

// Thing finds a thing of the house.
func (h *House) Thing(r book.Ref) (*Thing, bool) {
	list := h.kinds[r.Kind]
	i, there := slices.BinarySearchFunc(list, r.ID, func(t *Thing, id string) int { return cmp.Compare(t.ID, id) })
	if !there {
		return nil, false
	}
	return list[i], true
}

// At lists what stands at a station, in the order of kind and number.
func (h *House) At(s book.Station) (list []*Thing) {
	for _, k := range book.Kinds() {
		for _, t := range h.kinds[k] {
			if t.Station == s {
				list = append(list, t)
			}
		}
	}
	return list
}

// Mill is the mill's answers and route.
func (h *House) Mill() *book.MillState { return h.mill.State.(*book.MillState) }

// MillThing is the mill itself.
func (h *House) MillThing() *Thing { return h.mill }

// Site is the mill's word in its book.
func (h *House) Site() string { return h.site }

// Of lists the things of a kind, by number.
func (h *House) Of(k book.Kind) []*Thing { return h.kinds[k] }

// Conflicts are the entries that the book keeps and could not apply, in the order of the journal.
func (h *House) Conflicts() []book.Placed { return h.conflicts }

// Proposals are the last matches and lay-ups.
func (h *House) Proposals() []Proposal { return h.proposals }

// Latest is a time that no act of the house is later than.
func (h *House) Latest() time.Time { return h.latest }

// Shipped counts the sets that were shipped for each order and did not come back.
func (h *House) Shipped() map[string]int {
	count := map[string]int{}
	for _, s := range h.sent {
		order := s.order
		if t, there := h.Thing(book.Ref{Kind: book.KindShipment, ID: s.shipment}); there && t.State.(*book.ShipmentState).Order != "" {
			order = t.State.(*book.ShipmentState).Order
		}
		count[order]++
	}
	return count
}

// Furniture is what the book's answers about stone rest on besides stone: the mill, its instruments, benches and batches. It is the same slice
// of the same things as long as none of them changes.
func (h *House) Furniture() []*Thing { return h.furniture }

func (h *House) furnish() {
	h.furniture = nil
	for _, k := range []book.Kind{book.KindMill, book.KindInstrument, book.KindBench, book.KindBoardBatch, book.KindGlueBatch} {
		h.furniture = append(h.furniture, h.kinds[k]...)
	}
}

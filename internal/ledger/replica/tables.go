package replica

import (
	"bytes"
	"cmp"
	"iter"
	"maps"
	"slices"

	"slatewright/internal/book"
)

// Things gives the rows of the things' states in the order of kind and id. The states are only to be read.
func (r *Replica) Things() iter.Seq2[book.Thing, error] {
	return func(yield func(book.Thing, error) bool) {
		for _, s := range r.sorted() {
			if !s.there {
				continue
			}
			text, err := r.spool.peek(&s.state)
			if !yield(r.thing(s, text), err) {
				return
			}
		}
	}
}

// Touches gives the rows that tie entries to things, in the order of thing, time and id.
func (r *Replica) Touches() iter.Seq[book.Touch] {
	return func(yield func(book.Touch) bool) {
		for _, s := range r.sorted() {
			slices.SortFunc(s.touches, r.inOrder)
			for _, t := range s.touches {
				if !yield(book.Touch{Ref: s.ref, Seq: t.seq(), At: r.at(t.seq()), ID: string(r.id(t.seq())), Part: t.part()}) {
					return
				}
			}
		}
	}
}

func (r *Replica) inOrder(a, b touch) int {
	if c := cmp.Compare(r.entries[a.seq()].atMS, r.entries[b.seq()].atMS); c != 0 {
		return c
	}
	return bytes.Compare(r.id(a.seq()), r.id(b.seq()))
}

// Standings gives the rows of entries that are not simply applied, in the order of the journal.
func (r *Replica) Standings() iter.Seq[book.Standing] {
	return func(yield func(book.Standing) bool) {
		for _, seq := range slices.Sorted(maps.Keys(r.stands)) {
			if !yield(r.stands[seq]) {
				return
			}
		}
	}
}

// Reach gives the rows of what reached what, in the order of origin, rank and target.
func (r *Replica) Reach() iter.Seq[book.Reach] {
	return func(yield func(book.Reach) bool) {
		ranked := r.ranked()
		type row struct{ origin, target uint32 } // places in the order of things
		var rows []row
		for _, s := range r.slots {
			for _, o := range s.origins {
				rows = append(rows, row{ranked.place[o], ranked.place[r.index[s.ref]]})
			}
		}
		slots := ranked.slots
		slices.SortFunc(rows, func(a, b row) int {
			return cmp.Or(cmp.Compare(a.origin, b.origin), cmp.Compare(slots[a.target].rank, slots[b.target].rank), cmp.Compare(a.target, b.target))
		})
		for _, x := range rows {
			t := slots[x.target]
			if !yield(book.Reach{Origin: slots[x.origin].ref, Target: t.ref, Rank: int(t.rank)}) {
				return
			}
		}
	}
}

func (r *Replica) sorted() []*slot {
	all := slices.Clone(r.slots)
	slices.SortFunc(all, func(a, b *slot) int { return compareRefs(a.ref, b.ref) })
	return all
}

// order is the slots in the order of kind and id, and the place of each in it.
type order struct {
	slots []*slot
	place []uint32
}

func (r *Replica) ranked() order {
	o := order{slots: r.sorted(), place: make([]uint32, len(r.slots))}
	for i, s := range o.slots {
		o.place[r.index[s.ref]] = uint32(i)
	}
	return o
}

package waiting

import (
	"maps"
	"slices"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/waiting/house"
)

// Rack is the stock of one size of bed that waits to be matched, and who waits for sets of it.
type Rack struct {
	Size     string
	Pieces   []Loose          // those that are proposed already among them; by number
	Proposed []house.Proposal // matches of these pieces that wait to be laid up, in the order of the journal
	Wants    []Want           // orders that still want sets of this size, the one that is due first before the others
}

// Loose is a piece in no set whose readings hold and whose face may be in a bed.
type Loose struct {
	*Thing
	Reading book.Reading // of its playing face
}

// State is what the book knows of the piece.
func (p Loose) State() *book.PieceState { return piece(p.Thing) }

// Want is an order that still wants sets.
type Want struct {
	Order, Class string
	Sets         int // beside what was shipped, and beside the sets in the house that are meant for it
	Due          time.Time
}

// Racks lists the stock that waits to be matched, by size of bed. A size whose pieces are fewer than a set needs is listed too.
func Racks(h *House, now time.Time) (list []Rack) {
	l := h.look(now)
	proposed := l.openProposals()
	for _, size := range slices.Sorted(maps.Keys(l.loose)) {
		r := Rack{Size: size}
		for _, t := range l.loose[size] {
			if size != "" && l.looseNext(t) == toMatch {
				read, _ := usable(piece(t), false)
				r.Pieces = append(r.Pieces, Loose{t, read})
			}
		}
		if len(r.Pieces) == 0 {
			continue
		}
		for _, p := range proposed {
			if !slices.ContainsFunc(p.Pieces, func(id string) bool {
				return !slices.ContainsFunc(r.Pieces, func(t Loose) bool { return t.ID == id })
			}) {
				r.Proposed = append(r.Proposed, p)
			}
		}
		for _, o := range l.orders {
			if n := o.facts.Sets - o.shipped - len(o.sets); o.facts.Size == size && n > 0 {
				r.Wants = append(r.Wants, Want{Order: o.ID, Class: o.facts.Class, Sets: n, Due: o.facts.Due})
			}
		}
		list = append(list, r)
	}
	return list
}

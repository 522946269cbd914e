package waiting

import (
	"strings"
	"time"

	"slatewright/bed"
	"slatewright/internal/book"
	"slatewright/internal/waiting/house"
)

// Thing is a thing of the house with its decoded state. It must not be changed.
type Thing = house.Thing

// House is what is in the house, with what was measured of it. It does not change once it is made, so it may be asked by several goroutines;
// what was measured may be known later than the first time.
type House struct {
	*house.House
	measured Measured
	spec     bed.Spec
	answers  *memory // what the book answered before; shared with the houses before and after
}

// NewHouse makes a house of the things of a book, its conflicts and the entries among which its open matches are. The bed's specification says
// what is held against a limit; m may be nil.
func NewHouse(site string, things []book.Thing, conflicts, entries []book.Placed, spec bed.Spec, m Measured) (*House, error) {
	h, err := house.New(site, things, conflicts, entries)
	if err != nil {
		return nil, err
	}
	return &House{h, m, spec, newMemory()}, nil
}

// step is what the route says about an act.
func (h *House) step(word string) book.Step {
	for _, s := range h.Mill().Route.Steps {
		if s.Act == word {
			return s
		}
	}
	return book.Step{Act: word, May: book.Lead}
}

// holds returns the largest amount that the route asks of a condition, before any act or one; there is false when it asks for none.
func (h *House) holds(needs, before string) (amount float64, there bool) {
	for _, x := range h.Mill().Route.Holds {
		if x.Needs == needs && (before == "" || x.Before == before) {
			amount, there = max(amount, x.Amount), true
		}
	}
	return amount, there
}

// place is where an act on a thing is done: where the thing is when the route narrows that down, else where the act leads.
func (h *House) place(word string, t *Thing) book.Station {
	s := h.step(word)
	if n := len(s.From); n > 0 && n <= 2 || s.To == "" {
		return t.Station
	}
	return s.To
}

func piece(t *Thing) *book.PieceState { return t.State.(*book.PieceState) }
func set(t *Thing) *book.SetState     { return t.State.(*book.SetState) }

// pieces are those of a set, from head to foot; fewer when the book has lost one.
func (h *House) pieces(t *Thing) (list []*Thing) {
	for _, id := range set(t).Pieces {
		if p, there := h.Thing(book.Ref{Kind: book.KindPiece, ID: id}); there {
			list = append(list, p)
		}
	}
	return list
}

// The sizes of a bed by the sides of one of its three pieces, mm: of nine feet as in the specification, the others common practice, no
// source. A piece is of the size whose sides it has, give or take 30 mm, when nobody said.
var sizes = []struct {
	name        string
	long, short float64
}{{"9 ft", 1473, 914}, {"8 ft", 1340, 813}, {"7 ft", 1168, 762}, {"12 ft", 1980, 1230}}

const sizeRoom = 30

// sizeOf is the size of the bed that a piece belongs to; "" when it cannot be told.
func sizeOf(p *book.PieceState) string {
	if p.Size != "" {
		return p.Size
	}
	long, short := max(p.LengthMM, p.WidthMM), min(p.LengthMM, p.WidthMM)
	for _, s := range sizes {
		if near(long, s.long) && near(short, s.short) {
			return s.name
		}
	}
	return ""
}

func near(a, b float64) bool { return a > b-sizeRoom && a < b+sizeRoom }

// setSize is the size of a set's first piece.
func (h *House) setSize(t *Thing) string {
	for _, p := range h.pieces(t) {
		return sizeOf(piece(p))
	}
	return ""
}

// names lists the numbers of things, as many as a sentence bears; whoever says it joins them as its language does.
func names[T interface{ String() string }](list []T) (words []string) {
	const most = 4
	for i, r := range list {
		if i == most && len(list) > most+1 {
			words[most-1] += " … " + id(list[len(list)-1].String())
			return words
		}
		words = append(words, id(r.String()))
	}
	return words
}

func id(ref string) string {
	_, id, _ := strings.Cut(ref, ":")
	return id
}

func refsOf(list []*Thing) []book.Ref {
	refs := make([]book.Ref, len(list))
	for i, t := range list {
		refs[i] = t.Ref
	}
	return refs
}

// sentence makes a Sentence from pairs of a name and a value.
func sentence(key string, pairs ...any) Sentence {
	s := Sentence{Key: key}
	for i := 0; i+1 < len(pairs); i += 2 {
		if s.Args == nil {
			s.Args = map[string]any{}
		}
		s.Args[pairs[i].(string)] = pairs[i+1]
	}
	return s
}

func at(ms int64) time.Time { return time.UnixMilli(ms).UTC() }

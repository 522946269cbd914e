package waiting

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"slatewright/bed"
	"slatewright/internal/book"
)

// Thing is a thing of the book with its state as book.StateOf decodes it. It must not be changed.
type Thing struct {
	book.Thing
	State any
}

// House is what is in the house: the things that stand there, the mill's route and answers, what is in conflict, and what was measured.
// It does not change once it is made, so it may be asked by several goroutines.
type House struct {
	site      string
	mill      *Thing
	kinds     map[book.Kind][]*Thing // sorted by number
	sent      map[string]sent        // shipped sets by number
	conflicts []book.Placed          // in the order of the journal
	proposals []proposal
	measured  Measured
	spec      bed.Spec
	latest    time.Time // no act of the house is later
	furniture []*Thing  // the mill, instruments, benches and batches
	answers   *memory   // what the book answered before; shared with the houses before and after
}

// sent is what is remembered of a set that was shipped.
type sent struct{ order, shipment string }

// proposal is a match, or a lay-up, which ends the matches before it.
type proposal struct {
	seq    int64
	entry  string
	at     time.Time
	pieces []string
	match  *book.Match // nil: a lay-up
}

func (p proposal) after(o proposal) bool {
	return cmp.Or(p.at.Compare(o.at), cmp.Compare(p.seq, o.seq)) > 0
}

// kept are the kinds that a house holds, and where they are kept even when they have left it.
var kept = map[book.Kind]bool{book.KindMill: true, book.KindLayer: true, book.KindBlock: true, book.KindSlab: true, book.KindPiece: true, book.KindSet: true,
	book.KindShipment: true, book.KindInstrument: true, book.KindBench: true, book.KindRoom: true, book.KindBoardBatch: true, book.KindGlueBatch: true, book.KindOrder: true}

// stands tells whether a thing is in the house.
func stands(t book.Thing) bool {
	return kept[t.Kind] && t.Station != book.Heap && (t.Station != book.Away || t.Kind == book.KindShipment)
}

// NewHouse makes a house of the things of a book, its conflicts and the entries among which its open matches are. The bed's specification says what
// is held against a limit; without measured nothing is known of what the files say.
func NewHouse(site string, things []book.Thing, conflicts, entries []book.Placed, spec bed.Spec, m Measured) (*House, error) {
	h := &House{site: site, kinds: map[book.Kind][]*Thing{}, sent: map[string]sent{}, conflicts: conflicts, measured: m, spec: spec, answers: newMemory()}
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
		return nil, fmt.Errorf("waiting: the book of %s has settled nothing", site)
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
		h.proposals = append(h.proposals, proposal{p.Seq, p.ID, p.At, a.Pieces, a})
	case *book.LayUp:
		h.proposals = append(h.proposals, proposal{p.Seq, p.ID, p.At, a.Pieces, nil})
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

// names joins the numbers of things, as many as a sentence bears.
func names[T interface{ String() string }](list []T) string {
	const most = 4
	var words []string
	for i, r := range list {
		if i == most && len(list) > most+1 {
			return strings.Join(words, ", ") + " … " + id(list[len(list)-1].String())
		}
		words = append(words, id(r.String()))
	}
	return strings.Join(words, ", ")
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

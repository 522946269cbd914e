package book

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"sync/atomic"
	"time"

	"slatewright/trouble"
)

// desk is the book around one entry: what the view says, overlaid with what the entry has changed so far.
type desk struct {
	view      View
	mill      Ref
	now       map[Ref]*held      // states at the end of time, as changed so far
	changed   map[Ref]bool       // those to write
	before    map[Ref]reachKey   // what the reach of a thing followed from, before
	added     map[int64][]Touch  // touches of entries that were applied here, by sequence
	applied   map[int64]Placed   // those entries
	standings map[int64]Standing // that changed here
	out       Outcome
}

func newDesk(v View, site string) *desk {
	return &desk{view: v, mill: Ref{KindMill, site}, now: map[Ref]*held{}, changed: map[Ref]bool{}, before: map[Ref]reachKey{},
		added: map[int64][]Touch{}, applied: map[int64]Placed{}, standings: map[int64]Standing{}}
}

// get returns the thing as it stands at the end of time; without a state when there is none.
func (d *desk) get(r Ref) (*held, error) {
	if h := d.now[r]; h != nil {
		return h, nil
	}
	t, found, err := d.view.Thing(r)
	if err != nil {
		return nil, err
	}
	h := &held{Thing: Thing{Ref: r}}
	if found {
		h.Thing = t
		if h.state, err = d.decode(t); err != nil {
			return nil, err
		}
	}
	d.now[r] = h
	d.before[r] = keyOf(h)
	return h, nil
}

// lastMill remembers the last mill's settings that were decoded: their bytes change once in months and are wanted at every entry.
var lastMill atomic.Pointer[decodedMill]

type decodedMill struct {
	text  []byte
	state MillState
}

func (d *desk) decode(t Thing) (state, error) {
	if t.Kind != KindMill {
		return decodeState(t)
	}
	if m := lastMill.Load(); m != nil && bytes.Equal(m.text, t.State) {
		state := m.state
		state.Leads = slices.Clone(state.Leads)
		return &state, nil
	}
	s, err := decodeState(t)
	if err == nil {
		m := *s.(*MillState)
		m.Leads = slices.Clone(m.Leads)
		lastMill.Store(&decodedMill{bytes.Clone(t.State), m})
	}
	return s, err
}

// settings returns the mill's settings now in force; empty ones when nothing was settled yet.
func (d *desk) settings() (*MillState, error) {
	h, err := d.get(d.mill)
	if err != nil || !h.found() {
		return &MillState{}, err
	}
	return h.state.(*MillState), nil
}

// history lists the entries of a thing in the order of derivation, with what was changed here; those in conflict or struck are left out.
func (d *desk) history(r Ref) ([]Placed, error) {
	list, err := d.view.History(r)
	if err != nil {
		return nil, err
	}
	list = slices.DeleteFunc(list, func(p Placed) bool {
		if s, there := d.standings[p.Seq]; there {
			p.Standing = s
		}
		_, anew := d.applied[p.Seq]
		return p.Standing.State != "" || anew
	})
	for seq, touches := range d.added {
		for _, t := range touches {
			if t.Ref == r && d.standings[seq].State == "" {
				p := d.applied[seq]
				p.Part = t.Part
				list = append(list, p)
			}
		}
	}
	slices.SortFunc(list, func(a, b Placed) int { return place{a.At, a.ID, a.Seq}.compare(place{b.At, b.ID, b.Seq}) })
	return list, nil
}

// place is a place in the order of derivation.
type place struct {
	at  time.Time
	id  string
	seq int64
}

func (p place) compare(q place) int {
	if c := cmp.Compare(p.at.UnixMilli(), q.at.UnixMilli()); c != 0 {
		return c
	}
	return cmp.Compare(p.id, q.id)
}

// effective returns what an entry does: its own act, or the one that a correction puts in the place of another.
func effective(e Entry) (Act, error) {
	a, err := decode(e.Act, e.Body)
	if err != nil {
		return nil, err
	}
	if c, ok := a.(*Correct); ok && c.Act != "" {
		return decode(c.Act, c.Body)
	}
	return a, nil
}

// doingOf makes an act at its place.
func (d *desk) doingOf(e Entry, at time.Time, act Act) (doing, error) {
	m, err := d.settings()
	if err != nil {
		return doing{}, err
	}
	step, _ := m.Route.step(act.Word())
	return doing{Entry: e, at: at, act: act, to: step.To}, nil
}

// stateAt derives a thing as it stood at a place, from its history before it.
func (d *desk) stateAt(r Ref, p place) (*held, error) {
	list, err := d.history(r)
	if err != nil {
		return nil, err
	}
	h := &held{Thing: Thing{Ref: r}}
	for _, e := range list {
		if (place{e.At, e.ID, e.Seq}).compare(p) >= 0 {
			break
		}
		if err := d.foldPlaced(h, e); err != nil {
			return nil, err
		}
	}
	return h, nil
}

// foldPlaced folds an entry of a thing's history.
func (d *desk) foldPlaced(h *held, e Placed) error {
	if e.Part == Looks && h.found() {
		h.rely(e.At)
	}
	if e.Part != Changes {
		return nil
	}
	act, err := effective(e.Entry)
	if err != nil {
		return err
	}
	do, err := d.doingOf(e.Entry, e.At, act)
	if err != nil {
		return err
	}
	h.fold(do)
	return nil
}

func (h *held) rely(at time.Time) {
	c := h.state.common()
	c.Relied = max(c.Relied, at.UnixMilli())
}

// write marks a state as changed.
func (d *desk) write(h *held) {
	d.now[h.Ref] = h
	d.changed[h.Ref] = true
}

// finish turns what was changed into an outcome.
func (d *desk) finish(e Entry) (Outcome, error) {
	d.out.Entry = e
	list := make([]Ref, 0, len(d.changed))
	for r := range d.changed {
		list = append(list, r)
	}
	slices.SortFunc(list, compareRefs)
	for _, r := range list {
		h := d.now[r]
		if !h.found() {
			d.out.Gone = append(d.out.Gone, r)
			continue
		}
		text, err := json.Marshal(h.state)
		if err != nil {
			return Outcome{}, fmt.Errorf("book: the state of %s cannot be written: %w", r, err)
		}
		h.State = text
		d.out.Things = append(d.out.Things, h.Thing)
	}
	seqs := make([]int64, 0, len(d.added))
	for seq := range d.added {
		seqs = append(seqs, seq)
	}
	slices.Sort(seqs)
	for _, seq := range seqs {
		if seq != e.Seq {
			d.out.Untouch = append(d.out.Untouch, seq)
		}
		d.out.Touches = append(d.out.Touches, d.added[seq]...)
	}
	seqs = seqs[:0]
	for seq := range d.standings {
		seqs = append(seqs, seq)
	}
	slices.Sort(seqs)
	for _, seq := range seqs {
		s := d.standings[seq]
		d.out.Standings = append(d.out.Standings, s)
		if seq == e.Seq && s.State == InConflict {
			d.out.Conflict = &s
		}
	}
	err := d.reach(list)
	return d.out, err
}

// The standings of an entry that is not simply applied.
const (
	InConflict = "conflict"
	Struck     = "struck"
)

// noSuchThing is the refusal of an act on nothing.
func noSuchThing(r Ref) error {
	return trouble.Data("no-such-thing", r.String(), fmt.Sprintf("the book has no %s %s at that time", r.Kind, r.ID),
		"look at the number; take it in first if it is new")
}

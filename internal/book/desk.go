package book

import (
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"time"

	"slatewright/trouble"
)

// desk is the book around one entry: what the view says, overlaid with what the entry has changed so far.
type desk struct {
	view      View
	mill      Ref
	self      Entry              // the entry that came in
	rows      map[Ref]Thing      // as the view gave them; without a state when there is none
	now       map[Ref]*held      // states at the end of time, as changed so far
	changed   map[Ref]bool       // those to write
	before    map[Ref]reachKey   // what the reach of a thing followed from, before
	added     map[int64][]Touch  // touches of entries that were applied here, or asked again, by sequence
	applied   map[int64]Placed   // those entries
	standings map[int64]Standing // that changed here
	acts      map[int64]Act      // of entries that were asked here, as decoded
	routes    []settled          // what the mill settled and when, if something earlier than the last is asked for
	freed     []Ref              // what an entry that was taken out changed or looked at
	anew      bool               // a history was derived anew: what follows from it is worked out from the ground
	against   int64              // the established entry that could not follow
}

func newDesk(v View, e Entry) *desk {
	return &desk{view: v, mill: Ref{KindMill, e.Site}, self: e, rows: map[Ref]Thing{}, acts: map[int64]Act{}, now: map[Ref]*held{}, changed: map[Ref]bool{}, before: map[Ref]reachKey{},
		added: map[int64][]Touch{}, applied: map[int64]Placed{}, standings: map[int64]Standing{}}
}

// fork copies the desk so that something can be tried.
func (d *desk) fork() *desk {
	n := *d
	n.now = map[Ref]*held{}
	for r, h := range d.now {
		if d.changed[r] {
			n.now[r] = h.clone()
		}
	}
	n.changed, n.before, n.added = maps.Clone(d.changed), maps.Clone(d.before), maps.Clone(d.added)
	n.applied, n.standings = maps.Clone(d.applied), maps.Clone(d.standings)
	return &n
}

// clone copies a thing with its state.
func (h *held) clone() *held {
	c := *h
	if !h.found() {
		return &c
	}
	text, err := json.Marshal(h.state)
	if err == nil {
		c.state, err = decodeState(Thing{Ref: h.Ref, State: text})
	}
	if err != nil {
		panic("book: a state cannot be copied: " + err.Error())
	}
	return &c
}

// get returns the thing as it stands at the end of time; without a state when there is none.
func (d *desk) get(r Ref) (*held, error) {
	if h := d.now[r]; h != nil {
		return h, nil
	}
	t, found, err := d.thing(r)
	if err != nil {
		return nil, err
	}
	h := &held{Thing: Thing{Ref: r}}
	if found {
		h.Thing = t
		if h.state = warm.take(r, t.State); h.state == nil {
			if h.state, err = decodeState(t); err != nil {
				return nil, err
			}
		}
	}
	d.now[r] = h
	if _, known := d.before[r]; !known {
		d.before[r] = keyOf(h)
	}
	return h, nil
}

// thing returns the row of a thing at the end of time; its state may be older than what was changed here.
func (d *desk) thing(r Ref) (Thing, bool, error) {
	if h := d.now[r]; h != nil {
		return h.Thing, h.found(), nil
	}
	if row, known := d.rows[r]; known {
		return row, row.State != nil, nil
	}
	t, found, err := d.view.Thing(r)
	if err == nil {
		d.rows[r] = t
	}
	return t, found, err
}

// settings returns the mill's settings now in force; empty ones when nothing was settled yet.
func (d *desk) settings() (*MillState, error) {
	h, err := d.get(d.mill)
	if err != nil || !h.found() {
		return &MillState{}, err
	}
	return h.state.(*MillState), nil
}

// settled is what the mill had settled after one of its entries.
type settled struct {
	seq   int64
	state *MillState
}

// route returns the route that was in force when an entry was handed in.
func (d *desk) route(seq int64) (*Route, error) {
	s, err := d.settledBefore(seq)
	if err != nil {
		return nil, err
	}
	return &s.Route, nil
}

// settledBefore returns the mill's answers and route that were in force when an entry was handed in: they bind what comes after them, and what
// was done by earlier ones stays as it was.
func (d *desk) settledBefore(seq int64) (*MillState, error) {
	if seq == d.self.Seq {
		return d.settings()
	}
	if d.routes == nil {
		if err := d.findSettled(); err != nil {
			return nil, err
		}
	}
	i, _ := slices.BinarySearchFunc(d.routes, seq, func(s settled, seq int64) int { return cmp.Compare(s.seq, seq) })
	if i == 0 {
		return &MillState{Route: DefaultRoute()}, nil
	}
	return d.routes[i-1].state, nil
}

// findSettled works out what was settled after each entry that settled something: those handed in until then, in the order of time.
func (d *desk) findSettled() error {
	list, err := d.view.History(d.mill)
	if err != nil {
		return err
	}
	list = slices.DeleteFunc(list, func(p Placed) bool { return p.Act != "settle" || p.Standing.State != "" })
	d.routes = []settled{}
	for _, until := range list {
		state := &MillState{}
		for _, p := range list {
			if p.Seq > until.Seq {
				continue
			}
			a, err := decode(p.Act, p.Body)
			if err != nil {
				return err
			}
			state.settle(a.(*Settle))
		}
		d.routes = append(d.routes, settled{until.Seq, state})
	}
	slices.SortFunc(d.routes, func(a, b settled) int { return cmp.Compare(a.seq, b.seq) })
	return nil
}

// entry finds an entry of the journal, or the one that came in.
func (d *desk) entry(id string) (Placed, bool, error) {
	p, found, err := Placed{Entry: d.self, At: d.self.At}, id == d.self.ID, error(nil)
	if !found {
		if p, found, err = d.view.Entry(id); err != nil || !found {
			return p, false, err
		}
	}
	if here, there := d.applied[p.Seq]; there {
		p.At = here.At
	}
	if s, there := d.standings[p.Seq]; there {
		p.Standing = s
	}
	return p, true, nil
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
	slices.SortFunc(list, func(a, b Placed) int { return placeOf(a).compare(placeOf(b)) })
	return list, nil
}

// place is a place in the order of derivation.
type place struct {
	at  time.Time
	id  string
	seq int64
}

func placeOf(p Placed) place { return place{p.At, p.ID, p.Seq} }

func (p place) compare(q place) int {
	return cmp.Or(cmp.Compare(p.at.UnixMilli(), q.at.UnixMilli()), cmp.Compare(p.id, q.id))
}

// effective returns what an entry does: its own act, or the one that a correction puts in the place of another.
func (d *desk) effective(e Entry) (Act, error) {
	if a := d.acts[e.Seq]; a != nil {
		return a, nil
	}
	a, err := decode(e.Act, e.Body)
	if err != nil {
		return nil, err
	}
	return d.remember(e, a)
}

// remember keeps what an entry does.
func (d *desk) remember(e Entry, a Act) (_ Act, err error) {
	if c, ok := a.(*Correct); ok && c.Act != "" {
		if a, err = decode(c.Act, c.Body); err != nil {
			return nil, err
		}
	}
	d.acts[e.Seq] = a
	return a, nil
}

// doingOf makes an act at its place.
func (d *desk) doingOf(e Entry, at time.Time, act Act) (doing, error) {
	route, err := d.route(e.Seq)
	if err != nil {
		return doing{}, err
	}
	step, _ := route.step(act.Word())
	do := doing{Entry: e, at: at, act: act, to: step.To}
	do.told = e.Station == step.To || slices.Contains(step.From, e.Station) || len(step.From) == 0 && e.Station != Office
	return do, nil
}

// stateAt derives a thing as it stood at a place, from its history before it, and returns what lies after.
func (d *desk) stateAt(r Ref, p place) (h *held, later []Placed, err error) {
	list, err := d.history(r)
	if err != nil {
		return nil, nil, err
	}
	h = &held{Thing: Thing{Ref: r}}
	for i, e := range list {
		if placeOf(e).compare(p) >= 0 {
			return h, list[i:], nil
		}
		if err := d.foldPlaced(h, e); err != nil {
			return nil, nil, err
		}
	}
	return h, nil, nil
}

// foldPlaced folds an entry of a thing's history.
func (d *desk) foldPlaced(h *held, e Placed) error {
	if e.Part == Looks && h.found() {
		h.rely(e.At)
	}
	if e.Part != Changes {
		return nil
	}
	act, err := d.effective(e.Entry)
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

// write makes a state the present one.
func (d *desk) write(h *held) {
	d.now[h.Ref] = h
	d.changed[h.Ref] = true
}

// finish turns what was changed into an outcome.
func (d *desk) finish() (o Outcome, err error) {
	o.Entry = d.self
	things := slices.SortedFunc(maps.Keys(d.changed), compareRefs)
	for _, r := range things {
		h := d.now[r]
		if !h.found() {
			o.Gone = append(o.Gone, r)
			continue
		}
		if h.State, err = json.Marshal(h.state); err != nil {
			return Outcome{}, fmt.Errorf("book: the state of %s cannot be written: %w", r, err)
		}
		o.Things = append(o.Things, h.Thing)
	}
	for _, seq := range slices.Sorted(maps.Keys(d.added)) {
		if seq != d.self.Seq {
			o.Untouch = append(o.Untouch, seq)
		}
		o.Touches = append(o.Touches, d.added[seq]...)
	}
	for _, seq := range slices.Sorted(maps.Keys(d.standings)) {
		s := d.standings[seq]
		o.Standings = append(o.Standings, s)
		if seq == d.self.Seq && s.State == InConflict {
			o.Conflict = &s
		}
	}
	if o.Reach, err = d.reach(things); err == nil {
		warm.put(d.now)
	}
	return o, err
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

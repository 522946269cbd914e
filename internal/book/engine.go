package book

import (
	"encoding/json"
	"errors"
	"slices"
	"time"

	"slatewright/trouble"
)

// Admit decides on one entry handed in by a caller: it refuses it (trouble), applies it, or, when late, keeps it in conflict. The
// entry has its Seq already, the one that the ledger will give it; its time is cut to milliseconds and its body made canonical.
//
// An entry whose time lies after all that it changes or looks at folds onto the present state. One that lies before is inserted: what came
// after is derived anew and asked again, and an entry that stands already is never pushed out by a newcomer. After that, entries in
// conflict that touch the same things are tried again.
func Admit(v View, e Entry, c Caller, late bool) (Outcome, error) {
	act, err := Decode(e.Act, e.Body)
	if err != nil {
		return Outcome{}, err
	}
	if e.Body, err = json.Marshal(act); err != nil {
		return Outcome{}, err
	}
	e.At = milli(e.At)
	d := newDesk(v, e.Site)
	if err := d.permit(e, act, c); err != nil {
		return Outcome{}, err
	}
	return d.enter(e, act, late)
}

// Replay applies one entry of the journal again, as when it was admitted: nobody is asked for permission, and what cannot
// follow is in conflict.
func Replay(v View, e Entry) (Outcome, error) {
	act, err := decode(e.Act, e.Body)
	if err != nil {
		return Outcome{}, err
	}
	e.At = milli(e.At)
	return newDesk(v, e.Site).enter(e, act, true)
}

func milli(t time.Time) time.Time { return time.UnixMilli(t.UnixMilli()).UTC() }

// enter applies an entry, or keeps it in conflict.
func (d *desk) enter(e Entry, act Act, late bool) (Outcome, error) {
	err := d.apply(e, act)
	switch t := (*trouble.Trouble)(nil); {
	case err == nil:
		if err := d.retry(e.Seq); err != nil {
			return Outcome{}, err
		}
	case late && errors.As(err, &t) && t.Kind == trouble.KindData:
		d = newDesk(d.view, e.Site) // nothing of a half-done application may stay
		d.keep(e, act, t)
	default:
		return Outcome{}, err
	}
	return d.finish(e)
}

// keep puts an entry into the journal without applying it.
func (d *desk) keep(e Entry, act Act, why *trouble.Trouble) {
	text, err := json.Marshal(map[string]string{"code": why.Code, "what": why.What, "where": why.Where, "next": why.Next})
	if err != nil {
		panic("book: a refusal cannot be written: " + err.Error())
	}
	d.standings[e.Seq] = Standing{Seq: e.Seq, State: InConflict, Why: string(text)}
	at := e.At
	if c, ok := act.(*Correct); ok {
		if c.At != nil {
			at = milli(*c.At)
		}
		if c.Act != "" {
			act, _ = decode(c.Act, c.Body) // it has been decoded before
		}
	}
	var touches []Touch
	for _, r := range changed(act, e.Site) {
		touches = append(touches, Touch{r, e.Seq, at, e.ID, Changes})
	}
	d.added[e.Seq] = unique(touches)
}

// unique sorts touches by thing and keeps the first of each.
func unique(list []Touch) []Touch {
	slices.SortStableFunc(list, func(a, b Touch) int { return compareRefs(a.Ref, b.Ref) })
	return slices.CompactFunc(list, func(a, b Touch) bool { return a.Ref == b.Ref })
}

// apply applies an entry at its place, or says why it cannot be.
func (d *desk) apply(e Entry, act Act) error {
	if c, ok := act.(*Correct); ok {
		return d.correct(e, c)
	}
	return d.insert(e, e.At, act, nil)
}

// retry tries the entries in conflict again that touch what was changed, in the order of derivation, until none fits any more.
func (d *desk) retry(self int64) error {
	tried := map[int64]bool{self: true}
	for {
		p, err := d.nextConflict(tried)
		if err != nil || p == nil {
			return err
		}
		tried[p.Seq] = true
		act, err := decode(p.Act, p.Body)
		if err != nil {
			return err
		}
		trial := d.fork()
		if err := trial.apply(p.Entry, act); err != nil {
			var t *trouble.Trouble
			if !errors.As(err, &t) {
				return err
			}
			continue // it stays in conflict, for the reason that it had
		}
		trial.standings[p.Seq] = Standing{Seq: p.Seq}
		*d = *trial
		tried = map[int64]bool{self: true}
	}
}

// nextConflict finds the first entry in conflict that touches what was changed and was not tried since.
func (d *desk) nextConflict(tried map[int64]bool) (*Placed, error) {
	var first *Placed
	for r := range d.changed {
		list, err := d.view.Conflicts(r)
		if err != nil {
			return nil, err
		}
		for _, p := range list {
			if _, settled := d.standings[p.Seq]; settled || tried[p.Seq] {
				continue
			}
			if first == nil || (place{p.At, p.ID, p.Seq}).compare(place{first.At, first.ID, first.Seq}) < 0 {
				first = &p
			}
		}
	}
	return first, nil
}

// fork copies the desk so that an application can be tried.
func (d *desk) fork() *desk {
	n := newDesk(d.view, d.mill.ID)
	for r, h := range d.now {
		n.now[r] = h.clone()
	}
	for r, k := range d.before {
		n.before[r] = k
	}
	for r := range d.changed {
		n.changed[r] = true
	}
	for s, t := range d.added {
		n.added[s] = t
	}
	for s, p := range d.applied {
		n.applied[s] = p
	}
	for s, t := range d.standings {
		n.standings[s] = t
	}
	return n
}

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

// insert applies an act at its place. anew are things whose history changes besides, because an entry of theirs was struck.
func (d *desk) insert(e Entry, at time.Time, act Act, anew []Ref) error {
	do, err := d.doingOf(e, at, act)
	if err != nil {
		return err
	}
	m := &moment{d: d, at: place{at, e.ID, e.Seq}, looked: map[Ref]bool{}}
	if len(anew) > 0 {
		m.running = map[Ref]*held{}
		for _, r := range anew {
			if m.running[r], err = d.stateAt(r, m.at); err != nil {
				return err
			}
		}
	}
	changes, err := m.changes(do)
	if err != nil {
		return err
	}
	if err := m.check(do); err != nil {
		return err
	}
	touches := d.touches(e, do, changes, m.looked)
	inOrder := len(anew) == 0
	for _, r := range changes {
		h, err := d.get(r)
		if err != nil {
			return err
		}
		inOrder = inOrder && (!h.found() || h.At.Before(at) && h.state.common().Relied < at.UnixMilli())
	}
	if inOrder {
		for _, r := range changes {
			h := d.now[r]
			h.fold(do)
			d.write(h)
		}
	} else if err := d.derive(m, do, changes, anew); err != nil {
		return err
	}
	d.added[e.Seq] = touches
	d.applied[e.Seq] = Placed{Entry: e, At: at}
	return d.relied(m, changes, at)
}

// relied notes on the things that the act looked at that it relied on them.
func (d *desk) relied(m *moment, changes []Ref, at time.Time) error {
	for r := range m.looked {
		if slices.Contains(changes, r) || r.Kind == KindPerson || r.Kind == KindMill {
			continue
		}
		h, err := d.get(r)
		if err != nil {
			return err
		}
		if h.found() {
			h.rely(at)
			d.write(h)
		}
	}
	return nil
}

// touches lists what the entry has to do with, each thing once.
func (d *desk) touches(e Entry, do doing, changes []Ref, looked map[Ref]bool) []Touch {
	var list []Touch
	add := func(r Ref, p Part) { list = append(list, Touch{r, e.Seq, do.at, e.ID, p}) }
	for _, r := range changes {
		add(r, Changes)
	}
	looks := make([]Ref, 0, len(looked))
	for r := range looked {
		if r.Kind != KindPerson && r.Kind != KindMill {
			looks = append(looks, r)
		}
	}
	slices.SortFunc(looks, compareRefs)
	for _, r := range looks {
		add(r, Looks)
	}
	for _, r := range used(do.act) {
		add(r, Uses)
	}
	if p := parent(do.act); p != (Ref{}) {
		add(p, Uses)
	}
	if a, ok := do.act.(*Match); ok {
		for _, id := range a.Pieces {
			add(piece(id), Uses)
		}
	}
	return unique(list)
}

// derive derives the changed things anew from the act's place on, and asks every later entry that changes or looks at them
// whether it can still follow.
func (d *desk) derive(m *moment, do doing, changes, anew []Ref) error {
	running := map[Ref]*held{}
	for _, r := range append(slices.Clone(changes), anew...) {
		if running[r] != nil {
			continue
		}
		h, err := d.stateAt(r, m.at)
		if err != nil {
			return err
		}
		running[r] = h
	}
	for _, r := range changes {
		running[r].fold(do)
	}
	return d.forward(m.at, running)
}

// forward derives the running things to the end of time and makes them the present.
func (d *desk) forward(from place, running map[Ref]*held) error {
	later, err := d.later(from, running)
	if err != nil {
		return err
	}
	for _, l := range later {
		if err := d.again(l, running); err != nil {
			return err
		}
	}
	for r, h := range running {
		if _, err := d.get(r); err != nil { // what its reach followed from before
			return err
		}
		d.write(h)
	}
	return nil
}

// again asks an entry that stands whether it can still follow, and folds it.
func (d *desk) again(l laterEntry, running map[Ref]*held) error {
	act, err := effective(l.Entry)
	if err != nil {
		return err
	}
	if _, ok := act.(*Correct); ok {
		return nil // it struck something out and does nothing else
	}
	do, err := d.doingOf(l.Entry, l.At, act)
	if err != nil {
		return err
	}
	m := &moment{d: d, at: place{l.At, l.ID, l.Seq}, running: running, looked: map[Ref]bool{}}
	if err := m.check(do); err != nil {
		return breaks(l.Placed, act, err)
	}
	for r, part := range l.parts {
		switch h := running[r]; {
		case part == Changes:
			h.fold(do)
		case part == Looks && h.found():
			h.rely(l.At)
		}
	}
	return nil
}

// breaks is the refusal of what would make an established entry impossible.
func breaks(p Placed, act Act, err error) error {
	var t *trouble.Trouble
	if !errors.As(err, &t) {
		return err
	}
	return trouble.Data("breaks-later", p.ID, "then "+act.Word()+" of "+day(p.At)+" could not follow: "+t.What,
		"correct that entry ("+p.ID+") first if it is the wrong one").Because(err)
}

// laterEntry is an entry after a place, with what it has to do with the running things.
type laterEntry struct {
	Placed
	parts map[Ref]Part
}

// later lists the entries after a place that change or look at the running things, each once, in the order of derivation.
func (d *desk) later(from place, running map[Ref]*held) ([]laterEntry, error) {
	found := map[int64]laterEntry{}
	for r := range running {
		list, err := d.history(r)
		if err != nil {
			return nil, err
		}
		for _, p := range list {
			if p.Part == Uses || (place{p.At, p.ID, p.Seq}).compare(from) <= 0 {
				continue
			}
			if _, there := found[p.Seq]; !there {
				found[p.Seq] = laterEntry{p, map[Ref]Part{}}
			}
			found[p.Seq].parts[r] = p.Part
		}
	}
	list := make([]laterEntry, 0, len(found))
	for _, l := range found {
		list = append(list, l)
	}
	slices.SortFunc(list, func(a, b laterEntry) int {
		return place{a.At, a.ID, a.Seq}.compare(place{b.At, b.ID, b.Seq})
	})
	return list, nil
}

package book

import (
	"fmt"
	"maps"
	"slices"

	"slatewright/trouble"
)

// sweep goes forward in time from the first entry that enters or leaves. A thing whose history changes is running from there on: it is
// derived anew, and every later entry that changes it or looked at it is asked again whether it can follow, and what it touches now.
// When nothing lies later, as with every entry that comes in order, no history is read.
type sweep struct {
	d       *desk
	running map[Ref]*held // as they stand at the place that the sweep has come to
	queue   []step        // in the order of derivation
	queued  map[int64]bool
	entered []step // those that entered so far
}

// step is one entry on the way of a sweep.
type step struct {
	Placed
	does  sort
	frees []Ref // of one that leaves: what it changed
}

// sort is what a step does.
type sort int

const (
	leaves sort = iota
	enters
	stands
)

// sweep takes entries out of the book and puts others in. When one cannot follow, culprit is the sequence of the entering one at fault,
// and the desk is of no use any more.
func (d *desk) sweep(leaving, entering []Placed, struck ...Standing) (culprit int64, err error) {
	s := &sweep{d: d, running: map[Ref]*held{}, queued: map[int64]bool{}}
	for _, p := range leaving {
		if err := s.leave(p); err != nil {
			return 0, err
		}
	}
	for _, standing := range struck {
		d.standings[standing.Seq] = standing
	}
	for _, p := range entering {
		s.enqueue(step{Placed: p, does: enters})
	}
	for len(s.queue) > 0 {
		next := s.queue[0]
		s.queue = s.queue[1:]
		if err := s.take(next); err != nil {
			return s.blame(next), s.tell(next, err)
		}
	}
	for _, h := range s.running {
		d.write(h)
	}
	return 0, nil
}

// leave plans that an entry is taken out.
func (s *sweep) leave(p Placed) error {
	act, err := s.d.effective(p.Entry)
	if err != nil {
		return err
	}
	do, err := s.d.doingOf(p.Entry, p.At, act)
	if err != nil {
		return err
	}
	m := &moment{d: s.d, at: placeOf(p), looked: map[Ref]bool{}}
	changes, err := m.changes(do)
	if err != nil {
		return err
	}
	if err := m.check(do); err != nil && refused(err) == nil { // asked only for what it looked at
		return err
	}
	s.d.freed = append(append(s.d.freed, changes...), slices.Collect(maps.Keys(m.looked))...)
	s.d.anew = true
	s.enqueue(step{Placed: p, does: leaves, frees: changes})
	return nil
}

func (s *sweep) enqueue(n step) {
	if s.queued[n.Seq] {
		return
	}
	s.queued[n.Seq] = true
	i, _ := slices.BinarySearchFunc(s.queue, n, func(a, b step) int { return placeOf(a.Placed).compare(placeOf(b.Placed)) })
	s.queue = slices.Insert(s.queue, i, n)
}

// take takes the next step.
func (s *sweep) take(n step) error {
	if n.does == leaves {
		for _, r := range n.frees {
			if _, err := s.run(r, placeOf(n.Placed)); err != nil {
				return err
			}
		}
		return nil
	}
	act, err := s.d.effective(n.Entry)
	if err != nil {
		return err
	}
	if _, strikes := act.(*Correct); strikes {
		return nil
	}
	do, err := s.d.doingOf(n.Entry, n.At, act)
	if err != nil {
		return err
	}
	m := &moment{d: s.d, at: placeOf(n.Placed), running: s.running, looked: map[Ref]bool{}, enters: n.does == enters}
	changes, err := m.changes(do)
	if err != nil {
		return err
	}
	if err := m.check(do); err != nil {
		return err
	}
	for _, r := range changes {
		h, err := s.run(r, m.at)
		if err != nil {
			return err
		}
		h.fold(do)
	}
	if n.does == enters {
		s.entered = append(s.entered, n)
	}
	return s.note(n, do, changes, m.looked)
}

// run returns a thing that is running, or lets it run from a place on.
func (s *sweep) run(r Ref, at place) (*held, error) {
	if h := s.running[r]; h != nil {
		return h, nil
	}
	h, err := s.d.get(r)
	if err != nil {
		return nil, err
	}
	if h.found() && (!h.At.Before(at.at) || h.state.common().Relied >= at.at.UnixMilli()) {
		var later []Placed
		if h, later, err = s.d.stateAt(r, at); err != nil {
			return nil, err
		}
		s.d.anew = true
		for _, p := range later {
			if p.Part != Uses || !h.found() { // what uses a thing asks only whether it is there
				s.enqueue(step{Placed: p, does: stands})
			}
		}
	}
	s.running[r] = h
	return h, nil
}

// note writes down what an entry touches, and relies on what it looked at.
func (s *sweep) note(n step, do doing, changes []Ref, looked map[Ref]bool) error {
	touches, err := s.d.touches(n.Placed, do, changes, looked)
	if err != nil {
		return err
	}
	s.d.added[n.Seq] = touches
	s.d.applied[n.Seq] = Placed{Entry: n.Entry, At: n.At}
	for _, t := range touches {
		if t.Part != Looks {
			continue
		}
		h := s.running[t.Ref]
		if h == nil {
			if h, err = s.d.get(t.Ref); err != nil {
				return err
			}
			s.d.write(h)
		}
		h.rely(n.At)
	}
	return nil
}

// touches lists what an entry has to do with, each thing once.
func (d *desk) touches(p Placed, do doing, changes []Ref, looked map[Ref]bool) (list []Touch, err error) {
	add := func(r Ref, part Part) { list = append(list, Touch{r, p.Seq, p.At, p.ID, part}) }
	for _, r := range changes {
		add(r, Changes)
	}
	for r := range looked {
		h, err := d.get(r)
		if err != nil {
			return nil, err
		}
		if h.found() && r.Kind != KindPerson && r.Kind != KindMill {
			add(r, Looks)
		}
	}
	for _, r := range named(do.act, d.mill.ID) {
		add(r, Uses)
	}
	if c, ok := do.corrects(); ok {
		traces, err := d.traces(c)
		if err != nil {
			return nil, err
		}
		for _, r := range traces {
			add(r, Uses)
		}
	}
	return unique(list), nil
}

// tell says why an entry cannot follow; of one that stands, that it could not any more.
func (s *sweep) tell(n step, err error) error {
	why := refused(err)
	if why == nil || n.does != stands {
		return err
	}
	s.d.against = n.Seq
	return trouble.Data("breaks-later", n.ID, fmt.Sprintf("then the entry %s of %s by %s could not follow: %s", n.Act, instant(n.At.UnixMilli()), n.Person, why.What),
		"correct that entry ("+n.ID+") first if it is the wrong one").Because(err)
}

// blame finds the entering entry at fault: the one that cannot follow; else the last before it that names something in common with it.
func (s *sweep) blame(n step) int64 {
	if n.does == enters || len(s.entered) == 0 {
		return n.Seq
	}
	theirs := map[Ref]bool{}
	for r := range s.running {
		if list, err := s.d.history(r); err == nil && slices.ContainsFunc(list, func(p Placed) bool { return p.Seq == n.Seq }) {
			theirs[r] = true
		}
	}
	for i := len(s.entered) - 1; i >= 0; i-- {
		for _, t := range s.d.added[s.entered[i].Seq] {
			if t.Part == Changes && theirs[t.Ref] {
				return s.entered[i].Seq
			}
		}
	}
	return s.entered[len(s.entered)-1].Seq
}

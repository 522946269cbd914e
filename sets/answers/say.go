package answers

import (
	"slatewright/sets"
)

// say names what a plan holds.
func (a Ask) say(q sets.Question, p sets.Plan) *Matched {
	var widest Limits
	for _, c := range q.Classes {
		l := c.Limits
		widest = Limits{max(widest.LengthwiseMM, l.Lengthwise), max(widest.AcrossMM, l.Across), max(widest.ZoneMM, l.Zone), max(widest.StepMM, l.Step)}
	}
	m := &Matched{File: a.Stock.Name, Sets: []Set{}, Unused: []string{}, Cost: p.Cost, Bound: p.Bound, Gap: p.Gap, Left: []Left{}, Orders: []Order{}, Met: true,
		OneMore: []Freed{}, Limits: widest, RoomMM: a.Room, Weights: Weights(q.Weights),
		Stopped: p.Stopped, Warnings: append(append([]string{}, a.Stock.Warnings...), p.Warnings...), Question: q, Plan: p}
	if !(m.Bound >= 0) { // no term of a cost is below 0: so much is known before anything is tried
		if m.Bound, m.Gap = 0, 0; m.Cost > 0 {
			m.Gap = 1
		}
	}
	if !p.SetsProven {
		m.SetsBound = &p.SetsBound
	}
	for _, s := range p.Sets {
		m.Sets = append(m.Sets, a.set(q, s))
	}
	for _, l := range p.Unused {
		m.Unused = append(m.Unused, q.Pieces[l.Index].ID)
		m.Left = append(m.Left, Left{q.Pieces[l.Index].ID, l.Why})
	}
	m.orders(q, p)
	m.Proof = Proof{SetsProven: p.SetsProven, How: p.How, Triples: p.Triples, Possible: p.Possible, Priced: p.Priced, Spared: []Spared{}}
	for _, w := range p.Why {
		m.Proof.Spared = append(m.Proof.Spared, Spared{w.Threes, w.Why})
	}
	return m
}

// set names a set.
func (a Ask) set(q sets.Question, s sets.Set) Set {
	id := func(place int) string { return q.Pieces[s.Pieces[place]].ID }
	out := Set{Head: id(0), Centre: id(1), Foot: id(2), Turns: s.Turned, Cost: s.Cost, Class: q.Classes[s.Class].Name, LayerChanges: s.LayerChanges, Kept: s.Kept, Size: q.Pieces[s.Pieces[0]].Size}
	if s.Seated {
		out.StepMM, out.ZoneMM, out.LengthwiseMM, out.AcrossMM = known(s.Step), known(s.Zone), known(s.Lengthwise), known(s.Across)
	}
	thick := 0
	for _, i := range s.Pieces {
		if known(q.Pieces[i].Thickness) != nil {
			thick++
		}
	}
	if thick > 1 {
		out.SpreadMM = known(s.Spread)
	}
	if s.Order >= 0 {
		out.Order = &q.Orders[s.Order].ID
	}
	return out
}

// orders counts what every order gets.
func (m *Matched) orders(q sets.Question, p sets.Plan) {
	got := make([]int, len(q.Orders))
	for _, s := range p.Sets {
		if s.Order >= 0 {
			got[s.Order]++
		}
	}
	for i, o := range q.Orders {
		out := Order{ID: o.ID, Size: o.Size, Class: o.Class, Due: o.Due, Wanted: o.Sets, Sets: got[i], Met: got[i] >= o.Sets, Proven: true}
		for _, short := range p.Short {
			if short.Order == i {
				out.Proven = short.Proven
			}
		}
		m.Orders = append(m.Orders, out)
		m.Met = m.Met && out.Met
	}
}

// Told is whether the answer is certain: where an order is not met or no set was found, that it cannot be.
func (m *Matched) Told() bool {
	if len(m.Sets) == 0 {
		return m.SetsBound == nil || *m.SetsBound == 0
	}
	for _, o := range m.Orders {
		if !o.Met && !o.Proven {
			return false
		}
	}
	return true
}

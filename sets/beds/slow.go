package beds

import (
	"math"

	"slatewright/bed"
	"slatewright/seating"
)

// slowly is the best bed with the steps of class c, arrangement by arrangement through package seating.
func (s *Stock) slowly(index [3]int, c int) (Bed, bool) {
	var found []Bed
	least := math.Inf(1)
	for n := range arrangements {
		a := &arrangements[n]
		if !s.mayLie(index, a) {
			continue
		}
		if b, ok := s.slowBed(index, a, c); ok {
			found = append(found, b)
			least = min(least, b.Cost)
		}
	}
	for _, b := range found {
		if b.Cost <= least+s.tie {
			return b, true
		}
	}
	return Bed{}, false
}

// mayLie tells whether the pieces may lie so.
func (s *Stock) mayLie(index [3]int, a *arrangement) bool {
	for k, i := range a.of(index) {
		if !s.pieces[s.rank[i]].ways.Has(bed.Place(k), a.turned[k]) {
			return false
		}
	}
	return true
}

// slowBed seats one arrangement with the steps of class c; ok tells whether it conforms to it.
func (s *Stock) slowBed(index [3]int, a *arrangement, c int) (Bed, bool) {
	b := Bed{Index: a.of(index), Turned: a.turned, Seated: true, Lengthwise: math.NaN()}
	b.Cost = s.joint(b.Index[0], b.Index[1]) + s.joint(b.Index[1], b.Index[2])
	for _, i := range b.Index {
		b.Across = max(b.Across, s.pieces[s.rank[i]].across)
	}
	l, err := s.seat(b, s.classes[c].MaxStep, false)
	if err != nil || !l.Feasible {
		return b, false
	}
	b.Step, b.Zone, b.Steps, b.Class = l.Step, l.Zone, l.Steps, c
	b.Cost += s.weights.Step*b.Step + s.weights.Zone*b.Zone
	return b, s.conforms(&b, c)
}

// lengthwise tells whether the bed's lines keep a limit, and measures them only where the zone does not keep it.
func (s *Stock) lengthwise(b *Bed, limit float64) bool {
	if b.Zone <= limit {
		return true
	}
	if math.IsNaN(b.Lengthwise) {
		laid, err := s.lay(*b)
		if err != nil {
			return false
		}
		b.Lengthwise = laid.Lengthwise
	}
	return b.Lengthwise <= limit
}

// lay goes through all wishes of seating for the bed's arrangement, with the steps of its class as the limit.
func (s *Stock) lay(b Bed) (seating.Laid, error) { return s.seat(b, s.classes[b.Class].MaxStep, true) }

// seat asks package seating.
func (s *Stock) seat(b Bed, maxStep float64, last bool) (seating.Laid, error) {
	var ready [3]*seating.Ready
	for k, i := range b.Index {
		r, err := s.pieces[s.rank[i]].fresh(s.spec)
		if err != nil {
			return seating.Laid{}, err
		}
		ready[k] = r
	}
	return seating.LayReady(ready, b.Turned, maxStep, last)
}

// Lay fills in what a bed of Price measures after all wishes of seating.Seat: lengthwise, and the steps and the zone as Seat gives
// them. Errors are those of Seat; a bed that is not seated stays as it is.
func (s *Stock) Lay(b *Bed) error {
	if !b.Seated {
		return nil
	}
	l, err := s.lay(*b)
	if err != nil {
		return err
	}
	b.Zone, b.Lengthwise, b.Across, b.Steps = l.Figures.Zone, l.Lengthwise, l.Across, l.Steps
	b.Step = max(b.Steps[0], b.Steps[1])
	return nil
}

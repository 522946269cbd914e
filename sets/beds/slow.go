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
		if b.Cost <= least+tie {
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
	var ready [3]*seating.Ready
	for k, i := range b.Index {
		p := s.pieces[s.rank[i]]
		ready[k] = p.ready
		b.Seated = b.Seated && p.ready != nil
		b.Across = max(b.Across, p.across)
	}
	l, err := seating.LayReady(ready, a.turned, s.classes[c].MaxStep, false)
	if err != nil || !l.Feasible {
		return b, false
	}
	b.Step, b.Zone, b.Steps = l.Step, l.Zone, l.Steps
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

// lay goes through all wishes of seating for the bed's arrangement, with its step as the limit.
func (s *Stock) lay(b Bed) (seating.Laid, error) {
	var ready [3]*seating.Ready
	for k, i := range b.Index {
		ready[k] = s.pieces[s.rank[i]].ready
	}
	return seating.LayReady(ready, b.Turned, s.maxStep(b), true)
}

// maxStep is the limit of the steps with which the bed was seated: that of the tightest class that it serves.
func (s *Stock) maxStep(b Bed) float64 {
	for c, m := range s.classes {
		if b.Serves>>c&1 == 1 {
			return m.MaxStep
		}
	}
	for _, m := range s.classes {
		if b.Step <= m.MaxStep {
			return m.MaxStep
		}
	}
	return s.classes[len(s.classes)-1].MaxStep
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

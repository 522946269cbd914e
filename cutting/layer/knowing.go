package layer

import (
	"cmp"
	"slices"
)

// Knowing is what it is worth to know one uncertain joint before the cross cuts are made: whether it is there, and where.
type Knowing struct {
	Joint int
	Value float64 // mean gain; at least, for the runs stay where they are
	Runs  int     // that it can meet
}

// thirds are the means of the thirds of a normal distribution, in standard deviations.
var thirds = [3]float64{-1.0908, 0, 1.0908}

// knowing asks of each uncertain joint how much more the cross cuts would give if it were known: the mean over what may be found of the best cross cuts then,
// less the best now. Everything else stays as uncertain as it is. Nothing is told when it is stopped.
func (s *search) knowing(f *frame, runs []run) []Knowing {
	list := make([]Knowing, len(s.Joints))
	for _, r := range runs {
		if s.stopped() {
			return nil
		}
		s.knowingIn(f, r, list)
	}
	var out []Knowing
	for i, k := range list {
		if !s.Joints[i].sure() && s.Joints[i].Chance > 0 {
			out = append(out, Knowing{i, max(0, k.Value), k.Runs})
		}
	}
	slices.SortStableFunc(out, func(a, b Knowing) int { return cmp.Compare(b.Value, a.Value) })
	return out
}

func (s *search) knowingIn(f *frame, r run, list []Knowing) {
	g := s.narrow(f, r, 2.5*fineCell)
	type met struct {
		joint int
		col   []uint64
	}
	var doubtful []met
	for i := range f.joints {
		if g.d.there[i] == 0 {
			continue
		}
		col := g.mask
		if !s.Joints[i].sure() {
			col = make([]uint64, g.cols)
		}
		any := false
		g.eachPlace(i, func(shift Point, bit uint64) { any = g.inRun(i, r, shift, bit, col) || any })
		if any && !s.Joints[i].sure() {
			doubtful = append(doubtful, met{i, col})
		}
	}
	if doubtful == nil {
		return
	}
	w := g.newWork(ofHeight(lots(s.Sizes, s.prices, f.across), r.high), s.Saw.Kerf, s.Least)
	now := slices.Clone(g.mask)
	for _, m := range doubtful {
		join(now, m.col)
	}
	prior := w.fit(now)
	for _, m := range doubtful {
		without := slices.Clone(g.mask)
		for _, o := range doubtful {
			if o.joint != m.joint {
				join(without, o.col)
			}
		}
		j := s.Joints[m.joint]
		value := (1 - j.Chance) * w.fit(without)
		for _, z := range thirds {
			with := slices.Clone(without)
			g.inRun(m.joint, r, f.joints[m.joint].normal.times(z*j.Error), g.d.all, with)
			value += j.Chance / 3 * w.fit(with)
			if j.Error == 0 {
				value += j.Chance * 2 / 3 * w.best[0]
				break
			}
		}
		list[m.joint].Value += value - prior
		list[m.joint].Runs++
	}
}

func join(into, more []uint64) {
	for c, m := range more {
		into[c] |= m
	}
}

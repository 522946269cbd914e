package feelers

import (
	"math"
	"slices"

	"slatewright/lowlp"
)

// boxes is the lowest and the highest that the stone at each station can be, planes held, or bounds of them.
type boxes struct {
	lo, hi []float64
	exact  []bool
}

func newBoxes(n int) *boxes { return &boxes{make([]float64, n), make([]float64, n), make([]bool, n)} }

func (b *boxes) clone() *boxes {
	return &boxes{slices.Clone(b.lo), slices.Clone(b.hi), slices.Clone(b.exact)}
}

// box works out the box of a station, two linear programs, and returns the claims that hold it.
func (p *problem) box(b *boxes, i int) (active []int, err error) {
	b.exact[i] = true
	for _, sign := range []float64{1, -1} {
		q, m := p.most(shape{at: [4]int{i}, c: [4]float64{sign}, n: 1})
		s, err := lowlp.Solve(q)
		if err != nil {
			return nil, err
		}
		v := -sign * s.Value
		if s.Status == lowlp.Unbounded {
			v = sign * math.Inf(1)
		}
		if sign > 0 {
			b.hi[i] = v + slack
		} else {
			b.lo[i] = v - slack
		}
		active = said(active, m, s.Active)
	}
	return active, nil
}

// said adds the claims of rows to a list, each once.
func said(list []int, m *system, rows []int) []int {
	for _, i := range rows {
		for _, k := range m.says[i] {
			if k >= 0 && !slices.Contains(list, k) {
				list = append(list, k)
			}
		}
	}
	return list
}

// roughBoxes bounds every box from where the edges can be at the two ends of their lines: the highest that an edge can be at a place is a
// convex function of the place, so it lies below its chord.
func (p *problem) roughBoxes() (*boxes, error) {
	b := newBoxes(len(p.stations))
	for i := range b.lo {
		b.lo[i], b.hi[i] = math.Inf(-1), math.Inf(1)
	}
	number := map[int]int{} // of the station at a place
	for i, place := range p.stations {
		number[place] = i
	}
	for line := range p.set.Lines {
		var on []int
		for k, c := range p.claims {
			if c.line == line {
				on = append(on, k)
			}
		}
		if len(on) == 0 {
			continue
		}
		slices.SortStableFunc(on, func(a, b int) int { return int(math.Copysign(1, p.claims[a].t-p.claims[b].t)) })
		first, last := on[0], on[len(on)-1]
		var ends [2][2]float64 // lowest and highest, at the first and at the last
		for e, k := range []int{first, last} {
			var err error
			if ends[e], err = p.edgeRange(k); err != nil {
				return nil, err
			}
		}
		for _, k := range on {
			c := p.claims[k]
			i, ok := number[c.place]
			if !ok {
				continue
			}
			share := 0.0
			if span := p.claims[last].t - p.claims[first].t; span > 0 {
				share = (c.t - p.claims[first].t) / span
			}
			b.lo[i] = max(b.lo[i], ends[0][0]+(ends[1][0]-ends[0][0])*share-c.high-slack)
			b.hi[i] = min(b.hi[i], ends[0][1]+(ends[1][1]-ends[0][1])*share-c.low+slack)
		}
	}
	return b, nil
}

// edgeRange is the lowest and the highest that the edge of a claim can be at its place.
func (p *problem) edgeRange(k int) (span [2]float64, err error) {
	for e, sign := range []float64{-1, 1} {
		q, _ := p.most(shape{})
		wide := make([]float64, 2*len(p.set.Lines))
		p.edge(wide, k, -sign)
		copy(q.Cost, p.held.row(wide, 0))
		s, err := lowlp.Solve(q)
		if err != nil {
			return span, err
		}
		span[e] = -sign * s.Value
		if s.Status == lowlp.Unbounded {
			span[e] = sign * math.Inf(1)
		}
	}
	return span, nil
}

// mostRounds is how often boxes are worked out anew for the bound of many stations; each time it may only fall.
const mostRounds = 60

// settle finds the zone of the boxes. While boxes that are only bounded hold it, they are worked out; once none does, the zone is that of all
// boxes worked out. It returns the claims that hold the zone.
func (p *problem) settle(b *boxes, rounds int) (zone float64, active []int, err error) {
	for {
		z, contacts, err := p.boxZone(b.lo, b.hi)
		if err != nil {
			return 0, nil, err
		}
		rough := slices.DeleteFunc(slices.Clone(contacts), func(i int) bool { return b.exact[i] })
		if len(rough) == 0 || rounds == 0 {
			for _, i := range contacts {
				held, err := p.box(b, i)
				if err != nil {
					return 0, nil, err
				}
				active = inTurn(active, held)
			}
			return z, active, nil
		}
		rounds--
		for _, i := range rough {
			if _, err := p.box(b, i); err != nil {
				return 0, nil, err
			}
		}
	}
}

// boxZone is the smallest distance of two parallel planes that hold all boxes, with the stations that hold them apart: every height in the
// boxes has a smaller zone.
func (p *problem) boxZone(lo, hi []float64) (zone float64, contacts []int, err error) {
	d := len(p.frame.Basis) + 1
	m := &lowlp.Dense{D: d}
	for i := range lo {
		up, down := make([]float64, d), make([]float64, d)
		for k, e := range p.frame.Basis {
			up[k], down[k] = -e[i], e[i]
		}
		up[d-1], down[d-1] = -0.5, -0.5
		m.Add(-hi[i], up...)
		m.Add(lo[i], down...)
	}
	q := lowlp.Problem{Cost: make([]float64, d), Rows: m, Stop: p.set.Stop}
	q.Cost[d-1] = 1
	s, err := lowlp.Solve(q)
	for _, row := range s.Active {
		if !slices.Contains(contacts, row/2) {
			contacts = append(contacts, row/2)
		}
	}
	return s.Value, contacts, err
}

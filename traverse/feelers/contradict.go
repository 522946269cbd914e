package feelers

import (
	"math"
	"slices"

	"slatewright/lowlp"
)

// mostContradictions is how many are looked for; each is looked for without the readings of those before it.
const mostContradictions = 5

// Contradiction is a set of readings that cannot all be true, while any of them left out, the others can.
type Contradiction struct {
	Readings []int // numbers of readings, in the order of the file
	Blocks   bool  // that the blocks stand as they are said to is part of it
}

// side is one end of a claim.
type side struct {
	claim int
	high  bool
}

// contradictions finds readings that cannot all be true.
func (p *problem) contradictions() (list []Contradiction, err error) {
	q := *p
	q.claims = slices.Clone(p.claims)
	for len(list) < mostContradictions {
		q.index()
		found, err := q.core(nil)
		if err != nil || found == nil {
			return list, err
		}
		for i := 0; i < len(found); { // deletion filter: what is not needed goes
			less := slices.Delete(slices.Clone(found), i, i+1)
			smaller, err := q.core(less)
			if err != nil {
				return list, err
			}
			if smaller == nil {
				i++
			} else {
				found = less
			}
		}
		c, blocks := Contradiction{}, 0
		for _, s := range found {
			r := q.claims[s.claim].reading
			if q.claims[s.claim].block {
				c.Blocks = true
				blocks++
			} else if !slices.Contains(c.Readings, r) {
				c.Readings = append(c.Readings, r)
			}
		}
		slices.Sort(c.Readings)
		list = append(list, c)
		if blocks == len(found) {
			return list, nil
		}
		q.claims = slices.DeleteFunc(q.claims, func(k claim) bool { return slices.Contains(c.Readings, k.reading) && !k.block })
	}
	return list, nil
}

// core returns ends of claims that cannot all hold, nil if all can; only says which ends count, nil for all.
func (p *problem) core(only []side) ([]side, error) {
	counts := func(s side) bool { return only == nil || slices.Contains(only, s) }
	d := 2 * len(p.set.Lines)
	m := &system{Dense: lowlp.Dense{D: d}}
	for _, claims := range p.at {
		for _, a := range claims {
			for _, b := range claims {
				ca, cb := p.claims[a], p.claims[b]
				if math.IsInf(ca.high, 1) || !counts(side{a, true}) || !counts(side{b, false}) {
					continue
				}
				if ca.line == cb.line { // the same stone under the same edge: no unknown is left
					if ca.high < cb.low-1e-12 {
						return []side{{a, true}, {b, false}}, nil
					}
					continue
				}
				row := make([]float64, d)
				p.edge(row, a, 1)
				p.edge(row, b, -1)
				m.add(ca.high-cb.low, row, a, b)
			}
		}
	}
	if len(m.says) == 0 {
		return nil, nil
	}
	q := lowlp.Problem{Cost: make([]float64, d), Rows: m, Stop: p.set.Stop}
	row := make([]float64, d)
	for i := range m.says { // any cost would do; this one is bounded, and leads the method quickly
		m.Row(i, row)
		for j, a := range row {
			q.Cost[j] -= (0.5 + part(i)) * a
		}
	}
	s, err := lowlp.Solve(q)
	if err != nil || s.Status != lowlp.Infeasible {
		return nil, err
	}
	var found []side
	for _, i := range s.Farkas {
		for _, e := range []side{{m.says[i][0], true}, {m.says[i][1], false}} {
			if !slices.Contains(found, e) {
				found = append(found, e)
			}
		}
	}
	return found, nil
}

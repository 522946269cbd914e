package search

import (
	"slices"

	"slatewright/cutting/slab"
)

// prices are what a copy of each limited type costs, so that a programme that knows no limits seldom exceeds them. For any prices of 0 or more, the
// programme's value at worth less price, plus the price of all copies that there may be, is a bound.
type prices struct {
	limit    []int // copies of each type; negative: no limit
	now      []float64
	high     []float64 // a copy costs less than it is worth
	least    float64   // bound so far on these lines; negative: none
	at       []float64 // prices of that bound
	scale    float64
	idle     int // changes without a better bound
	patience int // how many of them
}

// start begins with prices that were good elsewhere, or with none.
func (p *prices) start(types []slab.Type, good []float64) {
	*p = prices{limit: make([]int, len(types)), now: make([]float64, len(types)), high: make([]float64, len(types)), least: -1, scale: 1, patience: 6}
	for k, t := range types {
		p.limit[k], p.high[k] = t.Most, float64(t.Value-1)
	}
	if good != nil {
		copy(p.now, good)
		p.again()
	}
}

// again begins anew, on finer lines.
func (p *prices) again() {
	p.least, p.at, p.idle, p.scale, p.patience = -1, nil, 0, 0.2, 3
}

// limited tells whether prices can change at all.
func (p *prices) limited() bool {
	return slices.ContainsFunc(p.limit, func(m int) bool { return m >= 0 })
}

// of is the price of a type.
func (p *prices) of(kind int) int64 { return int64(p.now[kind]) }

// rest is the price of all copies.
func (p *prices) rest() (sum int64) {
	for k, m := range p.limit {
		if m > 0 {
			sum += int64(m) * p.of(k)
		}
	}
	return sum
}

// change moves the prices towards a better bound by what a plan takes too much of (B. T. Polyak, Minimization of unsmooth functionals, USSR
// Computational Mathematics and Mathematical Physics 9, 1969, 14). It gives false when the limits are kept, or when moving does not help any more.
func (p *prices) change(t *tree, bound, value int64) bool {
	used := make([]int, len(p.limit))
	t.count(used)
	b, v := float64(bound), float64(value)
	if worth := p.least - 0.01*(p.least-v); p.least < 0 || b < worth {
		p.idle = 0
	} else {
		p.idle++
		p.scale /= 1.5
	}
	if p.least < 0 || b < p.least {
		p.least, p.at = b, slices.Clone(p.now)
	}
	var norm float64
	for k, m := range p.limit {
		if d := float64(used[k] - m); m >= 0 && (d > 0 || p.now[k] > 0) {
			norm += d * d
		}
	}
	if norm == 0 || p.idle > p.patience {
		return false
	}
	step := p.scale * max(b-v, 1) / norm
	for k, m := range p.limit {
		if m >= 0 {
			p.now[k] = min(max(0, p.now[k]+step*float64(used[k]-m)), p.high[k])
		}
	}
	return true
}

// settle takes the prices of the least bound; false when they are those of now.
func (p *prices) settle() bool {
	if p.at == nil || slices.Equal(p.at, p.now) {
		return false
	}
	copy(p.now, p.at)
	return true
}

package search

import (
	"slatewright/cutting/slab"
)

// prices are what a copy of each limited type costs, so that a programme that knows no limits seldom exceeds them. For any prices of 0 or more, the
// programme's value at worth less price, plus the price of all copies that there may be, is a bound.
type prices struct {
	limit []int // copies of each type; negative: ground.None
	now   []float64
	high  []float64 // a copy costs less than it is worth
	best  float64   // least bound so far
	scale float64
	idle  int // changes without a better bound
}

func (p *prices) start(types []slab.Type) {
	*p = prices{limit: make([]int, len(types)), now: make([]float64, len(types)), high: make([]float64, len(types)), best: -1, scale: 1}
	for k, t := range types {
		p.limit[k], p.high[k] = t.Most, float64(t.Value-1)
	}
}

// limited tells whether prices can change at all.
func (p *prices) limited() bool {
	for _, m := range p.limit {
		if m >= 0 {
			return true
		}
	}
	return false
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
func (p *prices) change(t *tree, top, value int64) bool {
	used := make([]int, len(p.limit))
	t.count(used)
	bound := float64(top + p.rest())
	if p.best < 0 || bound < p.best*(1-1e-6) {
		p.best, p.idle = bound, 0
	} else if p.idle++; p.idle%3 == 0 {
		p.scale /= 2
	}
	var norm float64
	for k, m := range p.limit {
		if d := float64(used[k] - m); m >= 0 && (d > 0 || p.now[k] > 0) {
			norm += d * d
		}
	}
	if norm == 0 || p.idle > 7 {
		p.idle, p.scale = 3, 0.5
		return false
	}
	step := p.scale * max(bound-float64(value), 1) / norm
	for k, m := range p.limit {
		if m >= 0 {
			p.now[k] = min(max(0, p.now[k]+step*float64(used[k]-m)), p.high[k])
		}
	}
	return true
}

// count adds the pieces of a tree.
func (t *tree) count(used []int) {
	switch {
	case t == nil:
	case t.first == nil:
		used[t.kind]++
	default:
		t.first.count(used)
		t.then.count(used)
	}
}

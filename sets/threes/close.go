package threes

import "math"

// solve brings the program of a node to its least. False: nothing better is in the node, or it was given up.
func (t *tree) solve(at *node) bool {
	ceiling := t.high - t.step
	if t.rest != nil {
		ceiling = math.Inf(1)
	}
	for range 3 {
		if t.p.dual(ceiling) {
			return true
		}
		if t.closed() {
			return false
		}
		ceiling = math.Inf(1)
		t.p.refresh()
	}
	t.giveUp(at)
	return false
}

// giveUp leaves a node that rounding does not let decide: what it could hold is not proven, but for its bound.
func (t *tree) giveUp(at *node) {
	if at.low < t.high-t.step {
		t.left = min(t.left, at.low)
	}
}

// proven is what the prices prove of a node; no three outside the program has a reduced cost below least.
func (t *tree) proven(least float64) float64 {
	y := t.p.sound()
	return t.p.proven(y, min(least, t.p.least(y, len(t.p.cols))))
}

// closed proves that nothing better is in a node that the dual simplex gave up: its value is too high, or its rows contradict each
// other. Threes outside the program do not mend a contradiction: those of things that must be used are all in it, and in place of the
// others sets may be missing.
func (t *tree) closed() bool {
	return t.rest == nil && t.proven(0) >= t.high-t.step || t.p.torn >= 0 && t.p.contradicts(t.p.torn)
}

// contradicts proves that no values keep all rows (J. Farkas, Theorie der einfachen Ungleichungen, Journal für die reine und
// angewandte Mathematik 124, 1902, 1): by the row of a basic place as prices, with costs of nothing, the least value is above 0.
func (p *program) contradicts(place int) bool {
	sign := 1.0
	if p.x[place] < 0 {
		sign = -1
	}
	y := make([]float64, len(p.b))
	sum, size := 0.0, 0.0
	for r, w := range p.inv[place] {
		y[r] = sign * w
	}
	p.clip(y)
	for r, v := range y {
		sum += p.b[r] * v
		size += math.Abs(p.b[r] * v)
	}
	least := 0.0
	for j := range p.cols {
		if !p.dead[j] {
			least = min(least, -priceOf(p.cols[j].rows, y))
		}
	}
	return sum+float64(p.total)*least > 1e-14*size
}

package threes

import "math"

// solve brings the program of a node to its least. False: nothing better is in the node, or it was given up.
func (t *tree) solve(at *node) bool {
	ceiling := t.high - t.step
	if t.rest != nil {
		ceiling = math.Inf(1)
	}
	for range 3 {
		if t.p.Dual(ceiling) {
			return true
		}
		if t.closed() {
			return false
		}
		ceiling = math.Inf(1)
		t.p.Refresh()
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
	y := t.p.Sound()
	return t.p.proven(y, min(least, t.p.Least(y, t.p.Columns())))
}

// closed proves that nothing better is in a node that the dual simplex gave up: its value is too high, or its rows contradict each
// other. Threes outside the program do not mend a contradiction: those of things that must be used are all in it, and in place of the
// others sets may be missing.
func (t *tree) closed() bool {
	return t.rest == nil && t.proven(0) >= t.high-t.step || t.p.Contradiction(float64(t.p.total))
}

package study

import (
	"math"

	"slatewright/gauge/tables"
)

// term is the mean square of a source with its factor in a sum.
type term struct {
	factor, ms, dof float64
	source          int // its place in the table
}

// estimate is the sum; it may be negative.
func estimate(terms []term) float64 {
	sum := 0.0
	for _, t := range terms {
		sum += t.factor * t.ms
	}
	return sum
}

// interval returns the modified large-sample interval of a sum of expected mean squares: N. Ting, R. K. Burdick, F. A. Graybill, S.
// Jeyaratnam and T.-F. C. Lu, "Confidence intervals on linear combinations of variance components that are unrestricted in sign", J. Stat.
// Comput. Simul. 35, 1990 (for sums without minus: F. A. Graybill and C.-M. Wang, J. Am. Stat. Assoc. 75, 1980), without its corrections
// for pairs of like sign, as is usual in gauge studies (R. K. Burdick, C. M. Borror and D. C. Montgomery, Design and Analysis of Gauge R&R
// Studies, 2005); formulas from memory, coverage checked by simulation. One mean square alone gets its exact chi-squared interval.
func interval(terms []term, confidence float64) (low, high float64) {
	side := (1 - confidence) / 2
	var down, up float64
	for i, q := range terms {
		g := 1 - q.dof/tables.ChiSquaredPoint(1-side, q.dof)
		h := q.dof/tables.ChiSquaredPoint(side, q.dof) - 1
		size := square(q.factor * q.ms)
		if q.factor > 0 {
			down, up = down+g*g*size, up+h*h*size
		} else {
			down, up = down+h*h*size, up+g*g*size
		}
		for _, r := range terms[i+1:] {
			if q.factor*r.factor < 0 {
				a, b := cross(q, r, side)
				down, up = down+a, up+b
			}
		}
	}
	sum := estimate(terms)
	return sum - math.Sqrt(max(down, 0)), sum + math.Sqrt(max(up, 0))
}

// cross is what a pair of unlike sign adds to both squares.
func cross(q, r term, side float64) (down, up float64) {
	if q.factor < 0 {
		q, r = r, q
	}
	g, h := 1-q.dof/tables.ChiSquaredPoint(1-side, q.dof), q.dof/tables.ChiSquaredPoint(side, q.dof)-1
	rg, rh := 1-r.dof/tables.ChiSquaredPoint(1-side, r.dof), r.dof/tables.ChiSquaredPoint(side, r.dof)-1
	above, below := tables.FPoint(1-side, q.dof, r.dof), tables.FPoint(side, q.dof, r.dof)
	size := q.factor * -r.factor * q.ms * r.ms
	down = size * (square(above-1) - square(g*above) - square(rh)) / above
	up = size * (square(1-below) - square(h*below) - square(rg)) / below
	return down, up
}

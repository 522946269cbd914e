package growlp

import (
	"math"
	"slices"
)

// Sound are the present prices with 0 in place of those whose sign is wrong: what they prove holds whatever rounding did to the pivots.
func (s *Program) Sound() []float64 {
	y := slices.Clone(s.y)
	s.clip(y)
	return y
}

// clip lets no row that need not be tight have a price above 0.
func (s *Program) clip(y []float64) {
	for r, v := range y {
		if v > 0 && !s.tight[r] {
			y[r] = 0
		}
	}
}

// Proven is a number that the program's value is not below, by sound prices y (weak duality): the x of every solution add up to sum at most, and
// no reduced cost by y of a column that may be more than 0, in the program or not yet in it, is below least.
func (s *Program) Proven(y []float64, sum, least float64) float64 {
	value, size := 0.0, 0.0
	for r, v := range y {
		value += s.b[r] * v
		size += math.Abs(s.b[r] * v)
	}
	return value + sum*min(0, least) - 1e-14*size
}

// Least is the least reduced cost by prices y of the first so many columns that need not be 0; 0 if none is negative.
func (s *Program) Least(y []float64, columns int) float64 {
	least := 0.0
	for j := range columns {
		if !s.zero[j] {
			least = min(least, s.cols[j].cost-priceOf(s.cols[j].rows, y))
		}
	}
	return least
}

// Contradiction proves, when Dual just gave up for want of a column, that no values which add up to sum at most keep all rows (J. Farkas, Theorie der
// einfachen Ungleichungen, Journal für die reine und angewandte Mathematik 124, 1902, 1): by the row of the place that could not be
// mended as prices, with costs of nothing, the least value is above 0. False: it is not proven.
func (s *Program) Contradiction(sum float64) bool {
	if s.torn < 0 {
		return false
	}
	sign := 1.0
	if s.x[s.torn] < 0 {
		sign = -1
	}
	y := make([]float64, len(s.b))
	value, size := 0.0, 0.0
	for r, w := range s.inv[s.torn] {
		y[r] = sign * w
	}
	s.clip(y)
	for r, v := range y {
		value += s.b[r] * v
		size += math.Abs(s.b[r] * v)
	}
	least := 0.0
	for j := range s.cols {
		if !s.zero[j] {
			least = min(least, -priceOf(s.cols[j].rows, y))
		}
	}
	return value+sum*least > 1e-14*size
}

// DualFeasible says that no reduced cost has the wrong sign, so that Dual may be called.
func (s *Program) DualFeasible() bool {
	for j, d := range s.d {
		if d < -1e-8 && !s.zero[j] && s.place[j] < 0 {
			return false
		}
	}
	for r, at := range s.slack {
		if at < 0 && !s.tight[r] && s.y[r] > 1e-8 {
			return false
		}
	}
	return true
}

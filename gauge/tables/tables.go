// Package tables computes what was once looked up at the end of a book: the distributions of chi squared, of Student's t, of
// Fisher's F and of a proportion, their percentage points, and how far apart the readings of a small group lie.
//
// It fits nothing, knows nothing of instruments, and draws only from the seeded stream that it is given. It uses functions that differ in
// their last bits between processors, so nothing that is sealed may rest on it. Arguments outside their range give NaN.
package tables

import (
	"math"

	"slatewright/chance"
)

// ChiSquared returns the probability that chi squared with dof degrees of freedom is at most x.
func ChiSquared(x, dof float64) float64 {
	if !(dof > 0) || math.IsNaN(x) {
		return math.NaN()
	}
	lower, _ := gamma(dof/2, x/2)
	return lower
}

// ChiSquaredPoint returns the x that chi squared with dof degrees of freedom stays below with probability p.
func ChiSquaredPoint(p, dof float64) float64 {
	if !(dof > 0) || !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	return 2 * point(p, math.Inf(1), func(x float64) (float64, float64) { return gamma(dof/2, x) })
}

// Student returns the probability that Student's t with dof degrees of freedom is at most t; infinite dof is the normal distribution.
func Student(t, dof float64) float64 {
	switch {
	case !(dof > 0) || math.IsNaN(t):
		return math.NaN()
	case math.IsInf(dof, 1):
		return chance.Cumulative(t)
	case math.IsInf(t, 0):
		return (1 + math.Copysign(1, t)) / 2
	}
	_, upper := proportion(t*t/(dof+t*t), 0.5, dof/2)
	if t > 0 {
		return 1 - upper/2
	}
	return upper / 2
}

// StudentPoint returns the t that Student's t with dof degrees of freedom stays below with probability p.
func StudentPoint(p, dof float64) float64 {
	switch {
	case !(dof > 0) || !(p >= 0 && p <= 1):
		return math.NaN()
	case math.IsInf(dof, 1):
		return chance.Quantile(p)
	case p < 0.5:
		return -StudentPoint(1-p, dof)
	}
	tail := 2 * (1 - p)
	if tail < 0.5 { // x = dof/(dof+t²) is small: keep its digits
		x := ProportionPoint(tail, dof/2, 0.5)
		return math.Sqrt(dof * (1 - x) / x)
	}
	x := ProportionPoint(1-tail, 0.5, dof/2)
	return math.Sqrt(dof * x / (1 - x))
}

// F returns the probability that Fisher's F with upper and lower degrees of freedom is at most x; either may be infinite.
func F(x, upper, lower float64) float64 {
	switch {
	case !(upper > 0) || !(lower > 0) || math.IsNaN(x):
		return math.NaN()
	case x <= 0:
		return 0
	case math.IsInf(lower, 1):
		return ChiSquared(x*upper, upper)
	case math.IsInf(upper, 1):
		_, q := gamma(lower/2, lower/x/2)
		return q
	case math.IsInf(x, 1):
		return 1
	}
	below, _ := proportion(upper*x/(upper*x+lower), upper/2, lower/2)
	return below
}

// FAbove returns the probability that Fisher's F is more than x, with all its digits where that is small.
func FAbove(x, upper, lower float64) float64 { return F(1/x, lower, upper) }

// FPoint returns the x that Fisher's F with upper and lower degrees of freedom stays below with probability p.
func FPoint(p, upper, lower float64) float64 {
	switch {
	case !(upper > 0) || !(lower > 0) || !(p >= 0 && p <= 1):
		return math.NaN()
	case math.IsInf(lower, 1):
		return ChiSquaredPoint(p, upper) / upper
	case math.IsInf(upper, 1):
		return lower / ChiSquaredPoint(1-p, lower)
	}
	return point(p, math.Inf(1), func(x float64) (float64, float64) {
		return proportion(upper*x/(upper*x+lower), upper/2, lower/2)
	})
}

// Proportion returns the probability that a beta distributed share with parameters a and b is at most x.
func Proportion(x, a, b float64) float64 {
	if !(a > 0) || !(b > 0) || math.IsNaN(x) {
		return math.NaN()
	}
	below, _ := proportion(x, a, b)
	return below
}

// ProportionPoint returns the share that the beta distribution with parameters a and b stays below with probability p.
func ProportionPoint(p, a, b float64) float64 {
	if !(a > 0) || !(b > 0) || !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	return point(p, 1, func(x float64) (float64, float64) { return proportion(x, a, b) })
}

// ClopperPearson returns the interval that holds the true share with at least the given confidence when k of n were counted (C. J.
// Clopper and E. S. Pearson, Biometrika 26, 1934): each side errs by half of what is left. With n = 0 it is 0 to 1.
func ClopperPearson(k, n int, confidence float64) (low, high float64) {
	low, high = 0, 1
	side := (1 - confidence) / 2
	if k > 0 {
		low = ProportionPoint(side, float64(k), float64(n-k+1))
	}
	if k < n {
		high = ProportionPoint(1-side, float64(k+1), float64(n-k))
	}
	return low, high
}

// DrawChiSquared draws chi squared with dof > 0 degrees of freedom (G. Marsaglia and W. W. Tsang, ACM Trans. Math. Softw. 26, 2000).
func DrawChiSquared(s *chance.Stream, dof float64) float64 {
	if dof < 2 {
		return DrawChiSquared(s, dof+2) * math.Pow(1-s.Float64(), 2/dof)
	}
	d := dof/2 - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		z := s.Normal()
		v := 1 + c*z
		if v <= 0 {
			continue
		}
		v = v * v * v
		if math.Log(1-s.Float64()) < z*z/2+d-d*v+d*math.Log(v) {
			return 2 * d * v
		}
	}
}

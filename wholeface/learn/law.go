package learn

import (
	"cmp"
	"math"
	"slices"

	"slatewright/chance"
)

// law is the sinh-arcsinh distribution: sinh(tail·arcsinh((v − centre)/width) − skew) is standard normal (Jones and Pewsey,
// "Sinh-arcsinh distributions", Biometrika 96(4), 2009, the formula from memory). Skew 0 and tail 1 are the normal distribution; a tail
// below 1 is heavier. Four numbers are told by all misses, and a quantile near the end of a list by a few of them only.
type law struct{ centre, width, skew, tail float64 }

// enough is the number of scans at which the list of misses counts as much as the law.
const enough = 200

// shape has the quantiles at (k+½)/knots of what remains: between those of the law and those of the list of values itself. Where few scans
// tell, the law is steadier; but it keeps an error of its own however many there are (on invented machines half a per cent of what an
// interval of 90 % holds), and a list does not.
func shape(v []float64, scans int) []float64 {
	q := fit(v, float64(len(v))/float64(scans)).quantiles()
	sorted := slices.Clone(v)
	slices.Sort(sorted)
	weight := float64(scans) / float64(scans+enough)
	for k := range q {
		q[k] += weight * (listed(sorted, (float64(k)+0.5)/knots) - q[k])
	}
	return q
}

// listed is the value of a rising list below which a share p of it lies, between two of them by the straight line.
func listed(sorted []float64, p float64) float64 {
	at := math.Max(0, math.Min(float64(len(sorted)-1), p*float64(len(sorted))-0.5))
	k := min(int(at), len(sorted)-2)
	return sorted[k] + (sorted[k+1]-sorted[k])*(at-float64(k))
}

// mild holds skew and the logarithm of the tail towards 0, as so many scans without them would.
const mild = 1.0

// fit finds the law that makes values most likely, by the simplex search of Nelder and Mead (Computer Journal 7, 1965) from the
// normal distribution with the median and the middle half of the values. Turns is how many values count as one scan.
func fit(v []float64, turns float64) law {
	sorted := slices.Clone(v)
	slices.Sort(sorted)
	n := len(sorted)
	width := math.Max(1e-6, (sorted[n-1-n/4]-sorted[n/4])/1.349)
	unit := make([]float64, n)
	for i, x := range sorted {
		unit[i] = (x - sorted[n/2]) / width
	}
	least := nelderMead(func(p [4]float64) float64 { return unlikely(unit, p) + mild*turns*(p[2]*p[2]+p[3]*p[3])/2 })
	return law{centre: sorted[n/2] + width*least[0], width: width * math.Exp(least[1]), skew: least[2], tail: math.Exp(least[3])}
}

// unlikely is minus the logarithm of the likelihood, but for a constant, at (centre, log width, skew, log tail).
func unlikely(v []float64, p [4]float64) float64 {
	if math.Abs(p[1]) > 5 || math.Abs(p[2]) > 3 || math.Abs(p[3]) > 1.5 {
		return math.Inf(1)
	}
	width, tail := math.Exp(p[1]), math.Exp(p[3])
	sum := float64(len(v)) * (p[1] - p[3])
	for _, x := range v {
		u := (x - p[0]) / width
		e := math.Exp(tail*math.Asinh(u) - p[2])
		s, c := (e-1/e)/2, (e+1/e)/2
		sum += s*s/2 - math.Log(c) + math.Log1p(u*u)/2
	}
	return sum
}

// quantile is the value below which a share p of the law lies.
func (l law) quantile(p float64) float64 {
	return l.centre + l.width*math.Sinh((math.Asinh(chance.Quantile(p))+l.skew)/l.tail)
}

// quantiles are those at (k+½)/knots.
func (l law) quantiles() []float64 {
	q := make([]float64, knots)
	for k := range q {
		q[k] = l.quantile((float64(k) + 0.5) / knots)
	}
	return q
}

const (
	mostSteps = 2000
	closeBy   = 1e-9 // of the function's value: the search ends
)

// corner is one of the simplex.
type corner struct {
	at    [4]float64
	value float64
}

// nelderMead finds a minimum near 0.
func nelderMead(f func([4]float64) float64) [4]float64 {
	list := make([]corner, 5)
	for k := range list {
		if k > 0 {
			list[k].at[k-1] = 0.25
		}
		list[k].value = f(list[k].at)
	}
	for range mostSteps {
		slices.SortStableFunc(list, func(a, b corner) int { return cmp.Compare(a.value, b.value) })
		if list[4].value-list[0].value <= closeBy*(1+math.Abs(list[0].value)) {
			break
		}
		if next := better(list, f); next.value < list[4].value {
			list[4] = next
			continue
		}
		for i := 1; i < len(list); i++ {
			for k := range list[i].at {
				list[i].at[k] = (list[i].at[k] + list[0].at[k]) / 2
			}
			list[i].value = f(list[i].at)
		}
	}
	return list[0].at
}

// better moves the worst corner through the middle of the others: as far again, twice as far, or half as far on either side.
func better(list []corner, f func([4]float64) float64) corner {
	var middle [4]float64
	for _, c := range list[:4] {
		for k := range middle {
			middle[k] += c.at[k] / 4
		}
	}
	along := func(by float64) corner {
		var c corner
		for k := range c.at {
			c.at[k] = middle[k] + by*(list[4].at[k]-middle[k])
		}
		c.value = f(c.at)
		return c
	}
	next := along(-1)
	switch {
	case next.value < list[0].value:
		if far := along(-2); far.value < next.value {
			return far
		}
	case next.value >= list[4].value:
		return along(0.5)
	case next.value >= list[3].value:
		return along(-0.5)
	}
	return next
}

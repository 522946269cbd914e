package learn

import (
	"math"
	"slices"

	"slatewright/wholeface"
)

const (
	firm   = 30  // ridge of the line for the centre, in rehearsed scans: holds coefficients that few scans tell near 0
	firmer = 100 // that of the line for the spread
	knots  = 99  // of the distribution of what remains
)

// allFeatures has a line follow every feature.
var allFeatures []int

// spreadFeatures are those of wholeface.FeatureNames that tell how far from the answer the truth may lie, the log zone and its spread: what is
// missed between the readings is as deep on a flat face as on a bent one, so more of the zone of a flat one; and drawn faces that lie apart
// say that the readings tell little.
var spreadFeatures = []int{0, 1}

// look fits centre, spread and shape. The centre follows all features. The spread follows two of them: scans tell a spread less
// well than a centre, and with each feature more the intervals learned from 200 of them hold more or less often than they say. The shape
// is that of misses whose centre and spread were foretold by lines that have not seen the scan: a line knows
// too well what it was fitted to, and the tails would come out too thin.
func look(list []rehearsal, scans, readings int) wholeface.Look {
	k := frame(list, readings)
	turns := float64(len(list)) / float64(scans)
	miss := func(i int) float64 { return list[i].miss }
	apart := make([]float64, len(list))
	for i, centre := range foretold(k, list, miss, allFeatures, firm*turns) {
		apart[i] = miss(i) - centre
	}
	size := func(i int) float64 { return math.Log(math.Abs(apart[i]) + 0.01) }
	rest := make([]float64, len(list))
	for i, spread := range foretold(k, list, size, spreadFeatures, firmer*turns) {
		rest[i] = apart[i] / math.Exp(spread)
	}
	k.Centre, k.Spread, k.Quantiles = ridge(k, list, miss, allFeatures, firm*turns), ridge(k, list, size, spreadFeatures, firmer*turns), quantiles(rest)
	return k
}

// quantiles are those of a list at (k+½)/knots, between two of its values by the straight line.
func quantiles(list []float64) []float64 {
	sorted := slices.Sorted(slices.Values(list))
	q := make([]float64, knots)
	for k := range q {
		at := math.Max(0, math.Min(float64(len(sorted)-1), (float64(k)+0.5)/knots*float64(len(sorted))-0.5))
		i := min(int(at), len(sorted)-2)
		q[k] = sorted[i] + (sorted[i+1]-sorted[i])*(at-float64(i))
	}
	return q
}

// foretold is what lines say of each rehearsal that have not seen its scan, by folds of whole scans.
func foretold(k wholeface.Look, list []rehearsal, want func(i int) float64, by []int, firm float64) []float64 {
	said := make([]float64, len(list))
	for fold := range folds {
		var seen []rehearsal
		var wanted []float64
		for i, r := range list {
			if r.scan%folds != fold {
				seen, wanted = append(seen, r), append(wanted, want(i))
			}
		}
		line := ridge(k, seen, func(i int) float64 { return wanted[i] }, by, firm)
		for i, r := range list {
			if r.scan%folds == fold {
				said[i] = value(line, k.Standard(r.features))
			}
		}
	}
	return said
}

// frame fills names, means and standard deviations of the features.
func frame(list []rehearsal, readings int) wholeface.Look {
	m := len(list[0].features)
	k := wholeface.Look{Readings: readings, Features: wholeface.FeatureNames, Mean: make([]float64, m), SD: make([]float64, m)}
	n := float64(len(list))
	for _, r := range list {
		for j, v := range r.features {
			k.Mean[j] += v / n
		}
	}
	for _, r := range list {
		for j, v := range r.features {
			k.SD[j] += (v - k.Mean[j]) * (v - k.Mean[j]) / n
		}
	}
	for j := range k.SD {
		k.SD[j] = math.Max(1e-3, math.Sqrt(k.SD[j]))
	}
	return k
}

func value(line, standard []float64) float64 {
	v := line[0]
	for j, s := range standard {
		v += line[1+j] * s
	}
	return v
}

// ridge fits a line in some features, or in every one, by least squares with its coefficients, but not its constant, held towards 0. The
// coefficients of features that it does not follow are 0.
func ridge(k wholeface.Look, list []rehearsal, want func(i int) float64, by []int, firm float64) []float64 {
	m := len(k.Mean) + 1
	a := make([][]float64, m)
	for i := range a {
		a[i] = make([]float64, m+1)
		if i > 0 {
			a[i][i] = firm
		}
	}
	row := make([]float64, m)
	row[0] = 1
	for i, r := range list {
		for j, v := range k.Standard(r.features) {
			if by == nil || slices.Contains(by, j) {
				row[1+j] = v
			}
		}
		y := want(i)
		for p, v := range row {
			for q, w := range row {
				a[p][q] += v * w
			}
			a[p][m] += v * y
		}
	}
	return solve(a)
}

// solve solves positive definite equations by elimination.
func solve(a [][]float64) []float64 {
	m := len(a)
	for c := range m {
		for r := c + 1; r < m; r++ {
			f := a[r][c] / a[c][c]
			for k := c; k <= m; k++ {
				a[r][k] -= f * a[c][k]
			}
		}
	}
	x := make([]float64, m)
	for c := m - 1; c >= 0; c-- {
		v := a[c][m]
		for k := c + 1; k < m; k++ {
			v -= a[c][k] * x[k]
		}
		x[c] = v / a[c][c]
	}
	return x
}

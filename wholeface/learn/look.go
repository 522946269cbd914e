package learn

import (
	"math"
	"slices"

	"slatewright/wholeface"
)

const (
	firm   = 30    // ridge of the line for the centre, in rehearsed scans: holds coefficients that few scans tell near what is expected
	firmer = 100   // that of the line for the spread: scans tell a spread less well than a centre
	steps  = 40    // of fitting the spread
	least  = 0.002 // the smallest miss that is told from none, in logarithms
	knots  = 99    // of the distribution of what remains
)

// expected are the slopes of the spread in the features before any scan is seen: halfway between a miss that is as many micrometres on
// every face, so less of the zone of a bent one (−1 in the log zone), and one that is always the same share of it (0); and halfway between a
// miss as wide as the drawn faces lie apart (1) and one that does not ask (0). On invented machines the first came out as −0.2 (smooth), −0.3
// (ridges) and −0.8 (chips), the second as 1, 0.65 and 0.4.
var expected = []float64{-0.5, 0.5, 0, 0, 0, 0, 0, 0}

// look fits centre, spread and shape. Both lines follow all features. The shape is that of misses whose centre and spread were foretold by
// lines that have not seen the scan: a line knows too well what it was fitted to, and the tails would come out too thin.
func look(list []rehearsal, scans, readings int) wholeface.Look {
	k := frame(list, readings)
	turns := float64(len(list)) / float64(scans)
	centre := func(list []rehearsal, want []float64) []float64 {
		return ridge(k, list, want, make([]float64, len(k.Mean)), firm*turns)
	}
	spread := func(list []rehearsal, want []float64) []float64 { return spreadLine(k, list, want, firmer*turns) }
	miss, apart, size := make([]float64, len(list)), make([]float64, len(list)), make([]float64, len(list))
	for i, r := range list {
		miss[i] = r.miss
	}
	for i, said := range foretold(k, list, miss, centre) {
		apart[i] = miss[i] - said
		size[i] = math.Abs(apart[i]) + least
	}
	rest := make([]float64, len(list))
	for i, said := range foretold(k, list, size, spread) {
		rest[i] = apart[i] / math.Exp(said)
	}
	k.Centre, k.Spread, k.Quantiles = centre(list, miss), spread(list, size), quantiles(rest)
	return k
}

// spreadLine fits the logarithm of the mean size of misses by a line: a generalized linear model of gamma errors with a log link (McCullagh
// and Nelder, Generalized Linear Models, 1989, chapter 8), by Fisher's scoring, each step of which is a ridge to the line before it and how
// far the sizes stand out from that. Where the logarithms of sizes would be fitted instead, the many misses near 0 would say most.
func spreadLine(k wholeface.Look, list []rehearsal, size []float64, firm float64) []float64 {
	mean := 0.0
	for _, v := range size {
		mean += v / float64(len(size))
	}
	toward := make([]float64, len(k.SD))
	for j := range toward {
		toward[j] = expected[j] * k.SD[j]
	}
	line := append([]float64{math.Log(mean)}, toward...)
	want := make([]float64, len(list))
	for range steps {
		for i, r := range list {
			at := value(line, k.Standard(r.features))
			want[i] = at + size[i]/math.Exp(at) - 1
		}
		line = ridge(k, list, want, toward, firm)
	}
	return line
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
func foretold(k wholeface.Look, list []rehearsal, want []float64, fit func(list []rehearsal, want []float64) []float64) []float64 {
	said := make([]float64, len(list))
	for fold := range folds {
		var seen []rehearsal
		var wanted []float64
		for i, r := range list {
			if r.scan%folds != fold {
				seen, wanted = append(seen, r), append(wanted, want[i])
			}
		}
		line := fit(seen, wanted)
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

// ridge fits a line in all features by least squares with its coefficients, but not its constant, held towards given ones.
func ridge(k wholeface.Look, list []rehearsal, want, toward []float64, firm float64) []float64 {
	m := len(k.Mean) + 1
	a := make([][]float64, m)
	for i := range a {
		a[i] = make([]float64, m+1)
		if i > 0 {
			a[i][i], a[i][m] = firm, firm*toward[i-1]
		}
	}
	for i, r := range list {
		row := append([]float64{1}, k.Standard(r.features)...)
		for p, v := range row {
			for q, w := range row {
				a[p][q] += v * w
			}
			a[p][m] += v * want[i]
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

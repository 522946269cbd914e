// Package height tells how high something is that is found in readings, peak to valley, and between which heights it lies in nine cases of ten: a ripple
// that comes back with every turn of a disc, and a wave that comes back in every piece.
//
// Both are sums of known shapes with unknown weights. What is thought of the weights beforehand (smooth shapes are likelier) is itself weighed by
// what was read; then weights are drawn that agree with it, a fixed number from a fixed seed, and each draw has its height. So noise neither raises a height,
// as it does that of a fitted curve, nor lowers it, as leaving out weak terms does.
//
// It decides not whether there is a mark at all, names no cause, and knows no machine. mm.
package height

import (
	"math"
	"slices"

	"slatewright/chance"
)

// Span is a height and where it lies in nine cases of ten, mm.
type Span struct{ Value, Low, High float64 }

// draws is how many heights are drawn: the ends of the interval are then those of 25 draws beyond them.
const draws = 500

// seed of the draws: the same readings give the same answer.
const seed = 7

// equations are the normal equations of whitened columns and readings: XᵀX, Xᵀy, yᵀy and how many readings there are.
type equations struct {
	xx [][]float64
	xy []float64
	yy float64
	n  float64
}

// equationsOf columns and readings.
func equationsOf(cols [][]float64, y []float64) equations {
	e := equations{xy: make([]float64, len(cols)), yy: dot(y, y), n: float64(len(y))}
	for i, a := range cols {
		row := make([]float64, len(cols))
		for j, b := range cols[:i+1] {
			row[j] = dot(a, b)
		}
		e.xx, e.xy[i] = append(e.xx, row), dot(a, y)
	}
	return e
}

// A thought is what is believed of the weights once the readings are known, under one precision of each beforehand (0: anything): normal, with the
// factor of its precision.
type thought struct {
	mean   []float64
	factor [][]float64 // lower Cholesky factor
	left   float64     // what the weights leave of the squares, and pay for being large
	free   float64     // how many weights may be anything
	log    float64     // ln of the evidence, but for what depends on the noise
}

// with solves the equations for one thought; wanted are the precisions beforehand, in units of that of one reading.
func (e equations) with(wanted []float64) thought {
	m := len(e.xy)
	t := thought{factor: make([][]float64, m), left: e.yy}
	b := make([]float64, m) // L⁻¹ Xᵀy
	for i := range m {
		row := make([]float64, i+1)
		t.factor[i] = row
		for j := range i + 1 {
			sum := e.xx[i][j]
			if i == j {
				sum += wanted[i] + 1e-9*e.xx[i][i]
			}
			sum -= dot(row[:j], t.factor[j][:j])
			if i == j {
				row[i] = math.Sqrt(max(sum, 1e-300))
				t.log -= math.Log(row[i])
			} else {
				row[j] = sum / t.factor[j][j]
			}
		}
		b[i] = (e.xy[i] - dot(row[:i], b[:i])) / row[i]
		t.left -= b[i] * b[i]
		if wanted[i] > 0 {
			t.log += math.Log(wanted[i]) / 2
		} else {
			t.free++
		}
	}
	t.left = max(t.left, 1e-300)
	t.mean = t.back(b)
	return t
}

// back is L⁻ᵀ v.
func (t *thought) back(v []float64) []float64 {
	x := slices.Clone(v)
	for i := len(x) - 1; i >= 0; i-- {
		x[i] /= t.factor[i][i]
		for j, f := range t.factor[i][:i] {
			x[j] -= f * x[i]
		}
	}
	return x
}

// draw is one set of weights; noise is the standard deviation of one whitened reading.
func (t *thought) draw(noise float64, d *chance.Stream) []float64 {
	v := make([]float64, len(t.mean))
	for i := range v {
		v[i] = noise * d.Normal()
	}
	v = t.back(v)
	for i := range v {
		v[i] += t.mean[i]
	}
	return v
}

// shares are the weights of thoughts whose ln of evidence is given; they sum to one.
func shares(logs []float64) []float64 {
	top, sum := slices.Max(logs), 0.0
	out := make([]float64, len(logs))
	for i, l := range logs {
		out[i] = math.Exp(l - top)
		sum += out[i]
	}
	for i := range out {
		out[i] /= sum
	}
	return out
}

// pick is the number of the thought that stands at p of the way through the shares.
func pick(share []float64, p float64) int {
	for i, s := range share {
		if p -= s; p < 0 {
			return i
		}
	}
	return len(share) - 1
}

// spanOf drawn heights: the middle one, and the ends that leave a twentieth each.
func spanOf(list []float64) Span {
	list = slices.Clone(list)
	slices.Sort(list)
	n := len(list)
	return Span{list[n/2], list[n/20], list[n-1-n/20]}
}

// chiSquared draws chi squared with so many degrees of freedom (E. B. Wilson and M. M. Hilferty's approximation, 1931).
func chiSquared(dof float64, d *chance.Stream) float64 {
	k := 2 / (9 * dof)
	x := 1 - k + math.Sqrt(k)*d.Normal()
	return dof * max(x, 0.01) * max(x, 0.01) * max(x, 0.01)
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i, x := range a {
		sum += x * b[i]
	}
	return sum
}

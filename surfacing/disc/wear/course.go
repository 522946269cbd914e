package wear

import (
	"math"
	"slices"

	"slatewright/gauge/tables"
)

// course is how the typical bit's height runs: a line, what the wear of each stretch adds to it by chance and keeps (a random walk over the amount), and the
// caliper's error of each day. How large the walk is beside the error the readings tell only roughly; so every share of a grid is fitted and weighed by how
// well it explains them (restricted likelihood; R. Thompson, H. D. Patterson, Biometrika 58, 1971), and the answers mix Student's distributions by these weights.
type course struct {
	x, y   []float64
	shares []share
	span   float64
}

// share is the fit for one ratio of the walk's variance, per typical stretch, to that of the error.
type share struct {
	weight  float64
	ratio   float64 // of the walk's variance to the error's, per amount
	line    [2]float64
	cov     [2][2]float64 // of the line, in units of the error's variance
	sigma2  float64       // the error's variance
	inverse [][]float64   // of the readings' covariance, in the same unit
	rest    []float64     // inverse times what the line leaves
	basis   [2][]float64  // inverse times 1 and x
}

// ratios is the grid, per mean stretch between readings. It holds no 0: wear always differs from week to week, and few readings cannot show that it does not. On
// invented rings a grid with 0 held only 88 of 100 ends of 8 weeks, this one 93 (TestIntervalsHold).
var ratios = []float64{0.3, 3, 30, 300}

// robustCourse fits, and leaves out a day whose reading the others would give with less than 1 chance in 1000 divided by their number (externally studentised
// residuals), the worst first, at most a fifth of the days.
func robustCourse(x, y []float64) (*course, []int) {
	keep := make([]int, len(x))
	for i := range keep {
		keep[i] = i
	}
	var out []int
	for {
		xs, ys := make([]float64, len(keep)), make([]float64, len(keep))
		for k, i := range keep {
			xs[k], ys[k] = x[i], y[i]
		}
		c := fit(xs, ys)
		k, p := c.worst()
		if 5*(len(out)+1) > len(x) || len(keep) < Fewest+2 || p > 0.001/float64(len(keep)) {
			slices.Sort(out)
			return c, out
		}
		out = append(out, keep[k])
		keep = slices.Delete(keep, k, k+1)
	}
}

func fit(x, y []float64) *course {
	n := len(x)
	c := &course{x: x, y: y, span: x[n-1] - x[0]}
	best := math.Inf(-1)
	var logs []float64
	for _, r := range ratios {
		s, logL := c.one(r * float64(n-1) / c.span)
		c.shares, logs, best = append(c.shares, s), append(logs, logL), math.Max(best, logL)
	}
	sum := 0.0
	for i := range c.shares {
		c.shares[i].weight = math.Exp(logs[i] - best)
		sum += c.shares[i].weight
	}
	for i := range c.shares {
		c.shares[i].weight /= sum
	}
	return c
}

// one fits one share by generalised least squares and returns its restricted log likelihood, the error's variance taken out of it.
func (c *course) one(ratio float64) (share, float64) {
	n := len(c.x)
	v := make([][]float64, n)
	for i := range v {
		v[i] = make([]float64, n)
		for j := range v[i] {
			v[i][j] = ratio * math.Min(c.x[i]-c.x[0], c.x[j]-c.x[0])
		}
		v[i][i]++
	}
	s := share{ratio: ratio}
	var logV float64
	s.inverse, logV = inverted(v)
	var m [2][2]float64
	var b [2]float64
	s.basis = [2][]float64{make([]float64, n), make([]float64, n)}
	for i := range n {
		for j := range n {
			w := s.inverse[i][j]
			s.basis[0][i] += w
			s.basis[1][i] += w * c.x[j]
		}
	}
	for i := range n {
		m[0][0] += s.basis[0][i]
		m[0][1] += s.basis[1][i]
		m[1][1] += s.basis[1][i] * c.x[i]
		b[0] += s.basis[0][i] * c.y[i]
		b[1] += s.basis[1][i] * c.y[i]
	}
	det := m[0][0]*m[1][1] - m[0][1]*m[0][1]
	s.cov = [2][2]float64{{m[1][1] / det, -m[0][1] / det}, {-m[0][1] / det, m[0][0] / det}}
	s.line = [2]float64{s.cov[0][0]*b[0] + s.cov[0][1]*b[1], s.cov[1][0]*b[0] + s.cov[1][1]*b[1]}
	s.rest = make([]float64, n)
	rss := 0.0
	for i := range n {
		for j := range n {
			s.rest[i] += s.inverse[i][j] * (c.y[j] - s.line[0] - s.line[1]*c.x[j])
		}
		rss += s.rest[i] * (c.y[i] - s.line[0] - s.line[1]*c.x[i])
	}
	rss = math.Max(rss, float64(n)*floor*floor)
	s.sigma2 = rss / float64(n-2)
	return s, -logV/2 - math.Log(det)/2 - float64(n-2)/2*math.Log(rss)
}

// floor is the least standard deviation of a reading, mm: no caliper of the floor does better, whatever the digits say.
const floor = 0.002

// inverted is the inverse of a positive definite matrix by Cholesky's factors, and the logarithm of its determinant.
func inverted(v [][]float64) ([][]float64, float64) {
	n := len(v)
	l, logDet := make([][]float64, n), 0.0
	for i := range n {
		l[i] = make([]float64, n)
		for j := 0; j <= i; j++ {
			sum := v[i][j]
			for k := range j {
				sum -= l[i][k] * l[j][k]
			}
			if i == j {
				l[i][i] = math.Sqrt(sum)
				logDet += 2 * math.Log(l[i][i])
			} else {
				l[i][j] = sum / l[j][j]
			}
		}
	}
	inv := make([][]float64, n)
	for i := range inv {
		inv[i] = make([]float64, n)
	}
	for c := range n { // a column of the unit matrix after the other
		z := make([]float64, n)
		for i := c; i < n; i++ {
			if i == c {
				z[i] = 1
			}
			for k := c; k < i; k++ {
				z[i] -= l[i][k] * z[k]
			}
			z[i] /= l[i][i]
		}
		for i := n - 1; i >= 0; i-- {
			sum := z[i]
			for k := i + 1; k < n; k++ {
				sum -= l[k][i] * inv[k][c]
			}
			inv[i][c] = sum / l[i][i]
		}
	}
	return inv, logDet
}

// worst is the day that fits the others least, and the chance of one so far out.
func (c *course) worst() (int, float64) {
	n := len(c.x)
	worst, least := 0, 1.0
	for i := range n {
		p := 0.0
		for _, s := range c.shares {
			q := s.inverse[i][i]
			for a := range 2 {
				for b := range 2 {
					q -= s.basis[a][i] * s.cov[a][b] * s.basis[b][i]
				}
			}
			part := s.rest[i] * s.rest[i] / q
			sigma2 := math.Max((s.sigma2*float64(n-2)-part)/float64(n-3), floor*floor)
			p += s.weight * 2 * (1 - tables.Student(math.Sqrt(part/sigma2), float64(n-3)))
		}
		if p < least {
			worst, least = i, p
		}
	}
	return worst, least
}

// dof are the degrees of freedom of every share.
func (c *course) dof() float64 { return float64(len(c.x) - 2) }

// height is the mean and standard deviation of the true height at an amount, by one share.
func (c *course) height(s share, x float64) (mean, sd float64) {
	n := len(c.x)
	k := make([]float64, n) // covariance of the walk there with that at the readings
	for i := range n {
		k[i] = s.ratio * math.Min(x-c.x[0], c.x[i]-c.x[0])
	}
	mean = s.line[0] + s.line[1]*x
	variance := s.ratio * (x - c.x[0])
	f := [2]float64{1, x}
	for i := range n {
		mean += k[i] * s.rest[i]
		for j := range n {
			variance -= k[i] * s.inverse[i][j] * k[j]
		}
		f[0] -= s.basis[0][i] * k[i]
		f[1] -= s.basis[1][i] * k[i]
	}
	for a := range 2 {
		for b := range 2 {
			variance += f[a] * s.cov[a][b] * f[b]
		}
	}
	return mean, math.Sqrt(math.Max(variance, 0) * s.sigma2)
}

// part is what one share says of a height.
type part struct{ weight, mean, sd float64 }

func (c *course) heights(x float64) (list []part) {
	for _, s := range c.shares {
		mean, sd := c.height(s, x)
		list = append(list, part{s.weight, mean, sd})
	}
	return list
}

// below is the chance that the true height at an amount is at most h.
func (c *course) below(x, h float64) float64 { return c.chance(c.heights(x), h) }

func (c *course) chance(of []part, h float64) (p float64) {
	for _, o := range of {
		p += o.weight * within((h-o.mean)/o.sd, c.dof())
	}
	return p
}

func within(t, dof float64) float64 {
	switch {
	case math.IsInf(t, 1):
		return 1
	case math.IsInf(t, -1):
		return 0
	}
	return tables.Student(t, dof)
}

// The tails of a 95 % interval.
const lowTail, highTail = 0.025, 0.975

// at is the true height of the typical bit at an amount.
func (c *course) at(x float64) Span {
	of := c.heights(x)
	return c.span3(func(h float64) float64 { return c.chance(of, h) }, -1000, 2000)
}

// rate is the wear per amount, + for heights that fall.
func (c *course) rate() Span {
	steep := 2000 / c.span
	return c.span3(func(r float64) (p float64) {
		for _, s := range c.shares {
			p += s.weight * within((r+s.line[1])/math.Sqrt(s.cov[1][1]*s.sigma2), c.dof())
		}
		return p
	}, -steep, steep)
}

func (c *course) span3(below func(float64) float64, low, high float64) Span {
	return Span{crossing(below, 0.5, low, high), crossing(below, lowTail, low, high), crossing(below, highTail, low, high)}
}

// farthest is how many times the stretch that was read an end is looked for.
const farthest = 50

// until is the amount from now until the height falls to h; 0 where it has; +Inf where that is not bound within farthest times what was read.
func (c *course) until(now, h float64) Span {
	below := func(x float64) float64 { return c.below(now+x, h) }
	far := farthest * c.span
	one := func(p float64) float64 {
		switch {
		case below(0) >= p:
			return 0
		case below(far) < p:
			return math.Inf(1)
		}
		return crossing(below, p, 0, far)
	}
	s := Span{one(0.5), one(lowTail), one(highTail)}
	if math.IsInf(s.Expected, 1) {
		s.Expected = math.NaN()
	}
	return s
}

// crossing is where a rising function passes p, by halving.
func crossing(f func(float64) float64, p, low, high float64) float64 {
	for range 60 {
		if mid := (low + high) / 2; f(mid) < p {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

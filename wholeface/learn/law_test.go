package learn

import (
	"math"
	"slices"
	"testing"

	"slatewright/chance"
)

// drawn are n values of a law, from a fixed seed.
func drawn(l law, n int, seed uint64) []float64 {
	s := chance.NewStream(seed)
	v := make([]float64, n)
	for i := range v {
		v[i] = l.quantile(s.Float64())
	}
	return v
}

// The law comes back from its own draws: every quantile from 1 to 99 % within five standard errors of that of the sample (closed form:
// √(p(1−p)/n)/density), for skew and heavy tails alike.
func TestLawComesBack(t *testing.T) {
	const n = 4000
	for _, want := range []law{{0, 1, 0, 1}, {0.4, 0.1, 0.5, 0.7}, {-3, 2, -0.8, 0.6}, {0, 1, 0.2, 1.4}} {
		got := fit(drawn(want, n, 7), 1)
		for _, p := range []float64{0.01, 0.05, 0.25, 0.5, 0.75, 0.95, 0.99} {
			density := 2e-4 / (want.quantile(p+1e-4) - want.quantile(p-1e-4))
			if off, may := got.quantile(p)-want.quantile(p), 5*math.Sqrt(p*(1-p)/n)/density; math.Abs(off) > may {
				t.Errorf("%+v fitted %+v: off by %.4f at %g, may be %.4f", want, got, off, p, may)
			}
		}
	}
}

// The likelihood against the density by differences of the distribution function.
func TestLawLikelihood(t *testing.T) {
	l := law{centre: 0.3, width: 1.7, skew: 0.4, tail: 0.8}
	below := func(x float64) float64 {
		return chance.Cumulative(math.Sinh(l.tail*math.Asinh((x-l.centre)/l.width) - l.skew))
	}
	p := [4]float64{l.centre, math.Log(l.width), l.skew, math.Log(l.tail)}
	for _, x := range []float64{-3, -0.5, 0.3, 1, 4} {
		density := (below(x+1e-5) - below(x-1e-5)) / 2e-5
		if got := math.Exp(-unlikely([]float64{x}, p)) / math.Sqrt(2*math.Pi); math.Abs(got-density) > 1e-6 {
			t.Errorf("density at %g: %.7f, by differences %.7f", x, got, density)
		}
		if q := l.quantile(below(x)); math.Abs(q-x) > 1e-6 {
			t.Errorf("quantile of what lies below %g: %.7f", x, q)
		}
	}
}

// Values with two humps, which no such law has: from many scans the shares below the quantiles of the shape come out nearer to what they
// should be than those of the law do (closed form: the mixture's own distribution); from few scans the shape stays by the law.
func TestShapeBetweenLawAndList(t *testing.T) {
	const n = 8000
	below := func(x float64) float64 { return 0.7*chance.Cumulative((x+1)/0.4) + 0.3*chance.Cumulative((x-1.5)/0.5) }
	s := chance.NewStream(11)
	v := make([]float64, n)
	for i := range v {
		if v[i] = -1 + 0.4*s.Normal(); s.Float64() < 0.3 {
			v[i] = 1.5 + 0.5*s.Normal()
		}
	}
	off := func(q []float64) (most float64) {
		for k, x := range q {
			most = math.Max(most, math.Abs(below(x)-(float64(k)+0.5)/knots))
		}
		return most
	}
	law := fit(v, 1).quantiles()
	many, few := shape(v, n), shape(v, 8)
	if off(many) > 0.02 || off(law) < 0.05 {
		t.Errorf("shares are off by %.3f, those of the law alone by %.3f", off(many), off(law))
	}
	list := make([]float64, 0, knots)
	sorted := slices.Sorted(slices.Values(v))
	for k := range law {
		list = append(list, listed(sorted, (float64(k)+0.5)/knots))
	}
	steady := fit(v, n/8).quantiles()
	for k, x := range few {
		if want := steady[k] + 8.0/(8+enough)*(list[k]-steady[k]); math.Abs(x-want) > 1e-12 {
			t.Errorf("knot %d of few scans: %g, want %g", k, x, want)
		}
		if k > 0 && x <= few[k-1] {
			t.Errorf("knot %d does not rise", k)
		}
	}
}

// Shares of a list by closed form: n values lie at (k+½)/n.
func TestListed(t *testing.T) {
	list := []float64{1, 2, 4, 8}
	for p, want := range map[float64]float64{0: 1, 0.125: 1, 0.25: 1.5, 0.5: 3, 0.75: 6, 0.875: 8, 1: 8} {
		if got := listed(list, p); math.Abs(got-want) > 1e-12 {
			t.Errorf("at %g: %g, want %g", p, got, want)
		}
	}
}

// The search finds the bottom of a bent valley (Rosenbrock's function in its first two numbers, closed form: 1, 1).
func TestNelderMead(t *testing.T) {
	at := nelderMead(func(p [4]float64) float64 {
		a, b := 1-p[0], p[1]-p[0]*p[0]
		return a*a + 100*b*b + p[2]*p[2] + (p[3]+0.5)*(p[3]+0.5)
	})
	for k, want := range [4]float64{1, 1, 0, -0.5} {
		if math.Abs(at[k]-want) > 1e-3 {
			t.Errorf("number %d: %.5f, want %g", k, at[k], want)
		}
	}
}

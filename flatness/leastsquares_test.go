package flatness_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"slatewright/flatness"
)

// sumAbout is the sum of squared distances from the plane with normal n that is best placed, about its own mean.
func sumAbout(p flatness.Points, n [3]float64) float64 {
	mean := 0.0
	for i := range p.X {
		mean += (n[0]*p.X[i] + n[1]*p.Y[i] + n[2]*p.Z[i]) / float64(p.Len())
	}
	sum := 0.0
	for i := range p.X {
		d := n[0]*p.X[i] + n[1]*p.Y[i] + n[2]*p.Z[i] - mean
		sum += d * d
	}
	return sum
}

// By symmetry: a twisted square stays level, a crown has its mean height two thirds up.
func TestLeastSquaresClosedForms(t *testing.T) {
	l, err := flatness.LeastSquares(flatness.Points{X: []float64{-1, 1, -1, 1}, Y: []float64{-1, -1, 1, 1}, Z: []float64{0.5, -0.5, -0.5, 0.5}})
	if err != nil || l.Normal != [3]float64{0, 0, 1} || l.PeakToValley != 1 || l.Centroid != [3]float64{} {
		t.Errorf("twist: %+v (%v)", l, err)
	}
	const n = 2001
	var p flatness.Points
	for i := range n {
		x := 2*float64(i)/(n-1) - 1
		p = with(with(p, 100*x, -50, 0.3*(1-x*x)), 100*x, 50, 0.3*(1-x*x))
	}
	l, err = flatness.LeastSquares(p)
	if err != nil || math.Abs(l.Centroid[2]-0.2) > 1e-3 || math.Abs(l.PeakToValley-0.3) > 1e-12 {
		t.Errorf("crown: %+v (%v)", l, err)
	}
}

// No other orientation has a smaller sum of squares, and the peak to valley is that of a plain loop.
func TestLeastSquaresIsLeast(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 21))
	for trial := range trials(200) {
		n := 5 + r.IntN(200)
		m := randomTurn(r)
		p := onPlane(n, m, func(int) (float64, float64) { return 2*r.Float64() - 1, 2*r.Float64() - 1 },
			func(int, float64, float64) float64 { return 20 * r.NormFloat64() })
		l, err := flatness.LeastSquares(p)
		if err != nil {
			t.Fatal(err)
		}
		least := sumAbout(p, l.Normal)
		for range 20 {
			q := l.Normal
			for k := range q {
				q[k] += 1e-4 * r.NormFloat64()
			}
			s := math.Sqrt(q[0]*q[0] + q[1]*q[1] + q[2]*q[2])
			if other := sumAbout(p, [3]float64{q[0] / s, q[1] / s, q[2] / s}); other < least*(1-1e-12) {
				t.Fatalf("trial %d: normal %v gives %g, %v gives %g", trial, l.Normal, least, q, other)
			}
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		for i := range p.X {
			d := l.Normal[0]*p.X[i] + l.Normal[1]*p.Y[i] + l.Normal[2]*p.Z[i]
			lo, hi = min(lo, d), max(hi, d)
		}
		if math.Abs(hi-lo-l.PeakToValley) > 1e-11 {
			t.Fatalf("trial %d: peak to valley %g, want %g", trial, l.PeakToValley, hi-lo)
		}
	}
}

// A thin set far from the origin: the plane is seen to the last places of the coordinates all the same.
func TestLeastSquaresFarAndThin(t *testing.T) {
	r := rand.New(rand.NewPCG(22, 22))
	var p flatness.Points
	for range 100 {
		x, y := math.Round(1000*r.Float64()), math.Round(1000*r.Float64())
		p = with(p, 1e6+x, -2e6+y, 3e6+x/4-y/8)
	}
	l, err := flatness.LeastSquares(p)
	want := [3]float64{-0.25, 0.125, 1}
	s := math.Sqrt(1 + 1.0/16 + 1.0/64)
	for k := range want {
		want[k] /= s
	}
	if err != nil || apart(l.Normal, want) > 1e-12 || l.PeakToValley > 4*lastPlace(p) {
		t.Errorf("got %+v (%v), want normal %v", l, err, want)
	}
}

// A needle, a hundred thousand times as long as wide: the plane of its width is seen all the same.
func TestLeastSquaresOfANeedle(t *testing.T) {
	r := rand.New(rand.NewPCG(23, 23))
	for range 20 {
		m := randomTurn(r)
		p := onPlane(200, m, func(int) (float64, float64) { return 2 * (2*r.Float64() - 1), 1e-5 * (2*r.Float64() - 1) },
			func(int, float64, float64) float64 { return 0 })
		l, err := flatness.LeastSquares(p)
		if a := apart(l.Normal, [3]float64{m[0][2], m[1][2], m[2][2]}); err != nil || a > 1e-9 || l.PeakToValley > 1e-11 {
			t.Errorf("normal off by %g, peak to valley %g (%v)", a, l.PeakToValley, err)
		}
	}
}

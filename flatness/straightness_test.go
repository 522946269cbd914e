package flatness_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"slatewright/flatness"
)

// Profiles whose straightness can be worked out on paper.
func TestStraightnessClosedForms(t *testing.T) {
	cases := []struct {
		name string
		s, z []float64
		want float64
	}{
		{"straight", []float64{0, 1, 2, 3}, []float64{5, 6, 7, 8}, 0},
		{"one place", []float64{4, 4, 4}, []float64{2, 2, 2}, 0},
		{"upright", []float64{1, 1, 1}, []float64{0, 2, 5}, 0},
		{"crown", []float64{-2, -1, 0, 1, 2}, []float64{0, 0.75, 1, 0.75, 0}, 1},
		{"a step", []float64{0, 1, 2, 3}, []float64{0, 0, 1, 1}, 1 / math.Sqrt(5)}, // of 1 in 2: height of a 1 × 2 triangle
		{"right triangle 3, 4, 5", []float64{0, 4, 0}, []float64{0, 0, 3}, 2.4},
		{"square", []float64{0, 2, 2, 0, 1}, []float64{0, 0, 2, 2, 1}, 2},
	}
	for _, c := range cases {
		v, on := flatness.Narrowest(c.s, c.z)
		if math.Abs(v-c.want) > 1e-15 {
			t.Errorf("%s: %.17g, want %.17g (contacts %v)", c.name, v, c.want, on)
		}
	}
}

// slowStraightness tries the direction of every pair of points: the narrowest strip lies along one.
func slowStraightness(s, z []float64) float64 {
	best := math.Inf(1)
	for i := range s {
		for j := range i {
			ds, dz := s[i]-s[j], z[i]-z[j]
			l := math.Hypot(ds, dz)
			if l == 0 {
				continue
			}
			lo, hi := math.Inf(1), math.Inf(-1)
			for k := range s {
				h := ((s[k]-s[j])*dz - (z[k]-z[j])*ds) / l
				lo, hi = min(lo, h), max(hi, h)
			}
			best = min(best, hi-lo)
		}
	}
	if math.IsInf(best, 1) {
		return 0
	}
	return best
}

func TestStraightnessAgainstEveryPair(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 31))
	for trial := range trials(5000) {
		n := 3 + r.IntN(12)
		s, z := make([]float64, n), make([]float64, n)
		for i := range n {
			if trial%2 == 0 { // ties and repeats
				s[i], z[i] = float64(r.IntN(5)), float64(r.IntN(5))
			} else {
				s[i], z[i] = 2700*r.Float64(), math.Round(300*r.Float64())/1000
			}
		}
		got, on := flatness.Narrowest(s, z)
		want := slowStraightness(s, z)
		if math.Abs(got-want) > 1e-12 {
			t.Fatalf("trial %d: %.17g, want %.17g: %v %v", trial, got, want, s, z)
		}
		three, _ := flatness.Narrowest([]float64{s[on[0]], s[on[1]], s[on[2]]}, []float64{z[on[0]], z[on[1]], z[on[2]]})
		if three > got+1e-12 {
			t.Fatalf("trial %d: the contacts have straightness %g, all points %g", trial, three, got)
		}
		a, b := s[on[1]]-s[on[0]], z[on[1]]-z[on[0]]
		if l := math.Hypot(a, b); l > 0 {
			if h := math.Abs(a*(z[on[2]]-z[on[0]])-b*(s[on[2]]-s[on[0]])) / l; math.Abs(h-got) > 1e-12 {
				t.Fatalf("trial %d: the contacts are %g apart, want %g", trial, h, got)
			}
		}
		order := r.Perm(n)
		so, zo := make([]float64, n), make([]float64, n)
		for k, i := range order {
			so[k], zo[k] = s[i], z[i]
		}
		if again, _ := flatness.Narrowest(so, zo); again != got {
			t.Fatalf("trial %d: %.17g in another order, want %.17g", trial, again, got)
		}
	}
}

// A long profile in any orientation: against a slow search over the hull's own directions by finely turned strips.
func TestStraightnessOfALongProfile(t *testing.T) {
	const n = 10_000
	s, z := make([]float64, n), make([]float64, n)
	for _, a := range []float64{0, 0.3, 1.2, math.Pi / 2, 2.5} {
		c, d := math.Cos(a), math.Sin(a)
		for i := range n {
			x := 2*float64(i)/(n-1) - 1
			u, v := 1000*x, 0.25*(1-x*x)
			s[i], z[i] = c*u-d*v, d*u+c*v
		}
		if v, _ := flatness.Narrowest(s, z); math.Abs(v-0.25) > 1e-8 {
			t.Errorf("crown turned by %g: %g, want 0.25", a, v)
		}
	}
}

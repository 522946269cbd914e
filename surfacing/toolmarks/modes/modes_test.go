package modes_test

import (
	"math"
	"testing"

	"slatewright/surfacing/toolmarks/modes"
)

// A face that is one polynomial beyond the second order has that amplitude alone; plane, bow and twist have none. The places are uneven and some are left out.
func TestOnePolynomialIsOneMode(t *testing.T) {
	const sizeS, sizeT = 900.0, 1400.0
	var s, at []float64
	for i := range 31 {
		s = append(s, (float64(i)/30-0.5)*860+3*math.Sin(float64(i)))
	}
	for j := range 40 {
		at = append(at, (float64(j)/39-0.5)*1380)
	}
	set := modes.Of(len(s), len(at))
	face := func(f func(x, y float64) float64) []float64 {
		var z []float64
		for i, a := range s {
			for j, b := range at {
				z = append(z, f(2*a/sizeS, 2*b/sizeT))
				if (i*j)%17 == 3 {
					z[len(z)-1] = math.NaN()
				}
			}
		}
		return set.Fit(s, at, z, [2]float64{sizeS, sizeT}, 1e3)
	}
	cubic := func(x float64) float64 { return (5*x*x*x - 3*x) / 2 }
	own := face(func(x, y float64) float64 { return 1 - 2*x + y + 3*x*x - y*y + 0.5*x*y })
	got := face(func(x, y float64) float64 { return 2 + x*y + 0.01*cubic(x)*y })
	twice := face(func(x, y float64) float64 { return 0.02 * cubic(x) * y })
	found := 0.0
	for k, m := range set.Beyond {
		if math.Abs(own[k]) > 1e-8 {
			t.Errorf("a bow has %g of mode %v", own[k], m)
		}
		if math.Abs(twice[k]-2*got[k]) > 1e-8 {
			t.Errorf("mode %v: %g, and %g of twice the wave", m, got[k], twice[k])
		}
		if m.Along+m.Across != 4 && m.Along+m.Across != 2 && math.Abs(got[k]) > 1e-8 {
			t.Errorf("%g of mode %v", got[k], m)
		}
		if m == (modes.Mode{Along: 3, Across: 1}) {
			found = math.Abs(got[k])
		}
	}
	// The mean square of P3(x)·y over the square is 1/7 · 1/3; the net's ends count somewhat more.
	if want := 0.01 / math.Sqrt(21); math.Abs(found/want-1) > 0.2 {
		t.Errorf("amplitude %g, want about %g", found, want)
	}
}

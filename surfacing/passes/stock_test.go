package passes_test

import (
	"math"
	"testing"

	"slatewright/surfacing/passes"
)

// What a plunge takes off, against closed forms: a wedge, a crown along one side, and a round crown (the volume under a paraboloid).
func TestTakenAgainstClosedForms(t *testing.T) {
	const least, high = 0.2, 0.9
	for _, c := range []struct {
		name string
		mean float64                 // of the shape, as a share of its height
		cap  func(u float64) float64 // volume of the top u of the shape over area and height
		at   func(x, y float64) (h float64, inside bool)
	}{
		{"wedge", 0.5, func(u float64) float64 { return u * u / 2 }, func(x, _ float64) (float64, bool) { return (1 + x) / 2, true }},
		{"crown along", 2.0 / 3, func(u float64) float64 { return 2.0 / 3 * u * math.Sqrt(u) }, func(x, _ float64) (float64, bool) { return 1 - x*x, true }},
		{"paraboloid", 0.5, func(u float64) float64 { return u * u / 2 }, func(x, y float64) (float64, bool) { return 1 - x*x - y*y, x*x+y*y <= 1 }},
	} {
		var depth []float64
		const n = 700
		for i := range n {
			for j := range n {
				if h, inside := c.at(-1+(2*float64(i)+1)/n, -1+(2*float64(j)+1)/n); inside {
					depth = append(depth, least+high*h)
				}
			}
		}
		read, err := passes.OfMap(depth)
		if err != nil {
			t.Fatal(err)
		}
		said := between(t, least, least+high*c.mean, least+high)
		for _, plunge := range []float64{-0.1, 0, 0.05, 0.3, 0.77, 0.9, 1, 1.1} {
			u := math.Min(1, math.Max(0, plunge/high))
			want := high*c.cap(u) + math.Max(0, plunge-high)
			near(t, c.name+" said", said.Taken(plunge), want, 1e-12)
			near(t, c.name+" read", read.Taken(plunge), want, 1e-3)
		}
		near(t, c.name+" whole", read.Taken(read.Max), read.Mean, 1e-12)
		near(t, c.name+" whole", said.Taken(said.Max), said.Mean, 1e-12)
	}
}

func TestStocksThatCannotBe(t *testing.T) {
	for _, c := range [][3]float64{{-0.1, 0.2, 0.3}, {0.3, 0.2, 0.4}, {0.1, 0.5, 0.4}, {math.NaN(), 1, 2}, {0, 1, math.Inf(1)}, {0.1, 0.1, 0.3}, {0.1, 0.3, 0.3}} {
		if _, err := passes.Between(c[0], c[1], c[2]); err == nil {
			t.Error(c)
		}
	}
	for _, m := range [][]float64{nil, {0.1, -0.1}, {0.1, math.NaN()}, {math.Inf(1), 1}} {
		if _, err := passes.OfMap(m); err == nil {
			t.Error(m)
		}
	}
	if s := between(t, 0.4, 0.4, 0.4); s.Taken(0.3) != 0.3 || s.Range() != 0 {
		t.Errorf("an even face: %v", s.Taken(0.3))
	}
}

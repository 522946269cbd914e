package relax

import (
	"math"
	"testing"

	"slatewright/chance"
)

func TestEveryCourseFallsFromOneToNothing(t *testing.T) {
	for f := Plain; f < Forms; f++ {
		before := 1.0
		for x := 0.0; x < 60; x += 0.05 {
			share, change := f.At(x)
			if share > before+1e-12 || share < 0 || change < 0 || x == 0 && share != 1 {
				t.Fatalf("form %d at %g: %g after %g", f, x, share, before)
			}
			before = share
		}
		if before > 1e-12 {
			t.Errorf("form %d ends at %g", f, before)
		}
	}
}

// What is reckoned for all days at once must be what each day gives by itself, on even days, uneven ones, and days that are read twice.
func TestAllDaysAtOnce(t *testing.T) {
	s := chance.NewStream(3)
	uneven := []float64{0.25}
	for range 60 {
		uneven = append(uneven, uneven[len(uneven)-1]+s.Float64())
	}
	for name, days := range map[string][]float64{"even": {0, 3, 6, 9, 12, 15, 18}, "uneven": uneven, "twice": {0, 0, 2, 2, 4, 4, 9}, "one": {5}} {
		n := len(days)
		share, change, room := make([]float64, n), make([]float64, n), make([]float64, n)
		for f := Plain; f < Forms; f++ {
			for _, tau := range []float64{0.3, 2, 8, 500} {
				f.Course(tau, days, share, change, room)
				for i, d := range days {
					a, b := f.At(d / tau)
					if math.Abs(share[i]-a) > 1e-13 || math.Abs(change[i]-b) > 1e-13 {
						t.Errorf("%s, form %d, τ %g, day %g: %g, %g instead of %g, %g", name, f, tau, d, share[i], change[i], a, b)
					}
				}
			}
		}
		l := Reach(days, false).Lay(nil)
		for g := l.Low - deepest; g <= l.High; g++ {
			for i, d := range days {
				x := d * math.Exp(-Pace*float64(g))
				if e := math.Exp(-x); math.Abs(l.Wave(g)[i]-e) > 1e-13 {
					t.Errorf("%s: point %d, day %g: %g instead of %g", name, g, d, l.Wave(g)[i], e)
				}
				if e, _ := Slab.At(x); g >= l.Low && math.Abs(l.Slab(g)[i]-e) > 1e-13 {
					t.Errorf("%s: slab, point %d, day %g: %g instead of %g", name, g, d, l.Slab(g)[i], e)
				}
			}
		}
	}
}

func TestLatticeServesOnlyItsOwnDays(t *testing.T) {
	days := []float64{0, 3, 6, 9}
	laid := Reach(days, false).Lay(nil)
	if Reach([]float64{0, 3, 6, 9}, false).Lay(laid) != laid {
		t.Error("the same days are reckoned anew")
	}
	other := Reach([]float64{0, 3, 6.1, 9}, false)
	if other.Low != laid.Low || other.High != laid.High {
		t.Fatal("the other days do not have the same ends")
	}
	if other.Lay(laid) == laid {
		t.Error("other days share a lattice")
	}
	wide := Reach(days, false)
	if wide.Widen(-9, 9); wide.Lay(laid) == laid || !wide.Holds(-9, 9) || laid.Holds(-9, 9) {
		t.Error("a wider lattice is not another one")
	}
}

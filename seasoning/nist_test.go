package seasoning_test

import (
	"math"
	"testing"

	"slatewright/internal/truth"
	"slatewright/seasoning"
)

func near(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s: %.12g, want %.12g", what, got, want)
	}
}

// The certified values of the Statistical Reference Datasets, and their standard errors: the fit is the same, whatever it is used for here.
func TestFitsAgreeWithNIST(t *testing.T) {
	sets := truth.Relaxations()
	if len(sets) != 3 {
		t.Fatal("sets are missing")
	}
	for _, set := range sets {
		s := seasoning.Series{Name: set.Name}
		if set.FromZero {
			zero := 0.0
			s.Start = &zero
		}
		for i := range set.X {
			s.Readings = append(s.Readings, seasoning.Reading{Day: set.X[i], Value: set.Y[i]})
		}
		f := seasoning.One(s, len(set.Rates) == 2)
		if f == nil {
			t.Fatalf("%s: no fit", set.Name)
		}
		near(t, set.Name+" rate", 1/f.Tau, set.Rates[0], 1e-7)
		near(t, set.Name+" rate's s.d.", f.TauSD/f.Tau/f.Tau, set.RateSDs[0], 1e-6)
		near(t, set.Name+" final", f.Final, set.Final, 1e-8)
		near(t, set.Name+" final's s.d.", f.FinalSD, set.FinalSD, 1e-6)
		near(t, set.Name+" residual sum of squares", f.Chi, set.RSS, 1e-9)
		if len(set.Rates) == 2 {
			near(t, set.Name+" faster rate", 1/f.TauFast, set.Rates[1], 1e-7)
		}
	}
}

func TestWrongFitIsSeen(t *testing.T) {
	set := truth.Relaxations()[0]
	set.Y[3] += 0.01
	zero := 0.0
	s := seasoning.Series{Start: &zero}
	for i := range set.X {
		s.Readings = append(s.Readings, seasoning.Reading{Day: set.X[i], Value: set.Y[i]})
	}
	if f := seasoning.One(s, false); math.Abs(f.Final-set.Final) < 1e-6*set.Final {
		t.Error("a reading that was changed by 0.01 does not show")
	}
}

package cleanup_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"slatewright/chance"
	"slatewright/judge/ways"
	"slatewright/surfacing/cleanup"
)

func TestPlan(t *testing.T) {
	// Bent by 0.3: the planes are 29.7 apart; of 11 by 15 readings 0.12 mm stand above on average, and 0.18 below.
	p := thickest(t, shape{func(u, v float64) float64 { return thick + 0.3*u*u }, func(u, v float64) float64 { return 0.3 * u * u }}.grid(11, 15))
	cases := map[string]struct {
		limits       cleanup.Limits
		low, high    float64
		answer       cleanup.Answer
		missing      float64
		cutTo        float64
		top, bottom  float64 // least that comes off
		last, tooLow bool
	}{
		"the thickest":       {cleanup.Limits{}, 29.7, 29.7, cleanup.Possible, 0, 29.7, 0, 0, false, false},
		"damage":             {cleanup.Limits{DamageTop: 0.3, DamageBottom: 0.1}, 29.7, 29.7, cleanup.Possible, 0, 29.3, 0.3, 0.1, false, false},
		"a finish":           {cleanup.Limits{Finish: 28}, 29.6, 29.8, cleanup.Possible, 0, 28, 0.88, 0.82, false, false},
		"a finish, movement": {cleanup.Limits{Finish: 28, Movement: 0.1}, 29.6, 29.8, cleanup.Possible, 0, 28.1, 0.83, 0.77, false, false},
		"too thick":          {cleanup.Limits{Finish: 29.9}, 29.65, 29.75, cleanup.Impossible, 0.2, 29.9, -0.1, -0.1, false, false},
		"in doubt":           {cleanup.Limits{Finish: 29.69}, 29.65, 29.75, cleanup.Unsure, 0, 29.69, 0.01, 0, false, false},
		"least":              {cleanup.Limits{Least: 29.4, Reserve: 0.1}, 29.7, 29.7, cleanup.Possible, 0, 29.7, 0, 0, false, false},
		"the last cut":       {cleanup.Limits{Least: 29.6, Reserve: 0.06}, 29.7, 29.7, cleanup.Possible, 0, 29.7, 0, 0, true, false},
		"into the reserve":   {cleanup.Limits{Finish: 28, Least: 27.95, Reserve: 0.1}, 29.7, 29.7, cleanup.Impossible, 0, 28, 0.88, 0.82, true, true},
		"thinner than least": {cleanup.Limits{Least: 29.8}, 29.7, 29.7, cleanup.Impossible, 0.1, 29.8, -0.05, -0.05, true, false},
		"a mill's own pass":  {cleanup.Limits{Least: 29.6, LightPass: 0.2}, 29.7, 29.7, cleanup.Possible, 0, 29.7, 0, 0, true, false},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			q := c.limits.Plan(p, c.low, c.high)
			if q.Answer != c.answer || q.Last != c.last || q.TooThin != c.tooLow {
				t.Errorf("%s, last %v, too thin %v", q.Answer, q.Last, q.TooThin)
			}
			near(t, "missing", q.Missing, c.missing, 1e-9)
			near(t, "cut to", q.CutTo, c.cutTo, 1e-9)
			near(t, "off the top", q.Top.Min, c.top, 1e-9)
			near(t, "off the bottom", q.Bottom.Min, c.bottom, 1e-9)
		})
	}
	if (cleanup.Limits{}).Light() != ways.LightPass {
		t.Error("another light pass than that of a re-grind")
	}
}

// TestPlanAddsUp: whatever is asked, what comes off and what is left are the slab; no face keeps its damage; and the split is equal wherever it can be.
func TestPlanAddsUp(t *testing.T) {
	r := chance.NewStream(31)
	slab := bumpy(r, 60, 0.02)
	p := thickest(t, slab)
	mean := 0.0
	for i := range slab.Top.Z {
		mean += (slab.Top.Z[i] - p.Along()*slab.Top.X[i] - p.Across()*slab.Top.Y[i]) / 60
		mean -= (slab.Bottom.Z[i] - p.Along()*slab.Bottom.X[i] - p.Across()*slab.Bottom.Y[i]) / 60
	}
	mean /= math.Sqrt(1 + p.Along()*p.Along() + p.Across()*p.Across())
	rapid.Check(t, func(rt *rapid.T) {
		amount := rapid.Float64Range(0, 0.6)
		l := cleanup.Limits{DamageTop: amount.Draw(rt, "top"), DamageBottom: amount.Draw(rt, "bottom"), Movement: amount.Draw(rt, "movement")}
		if give := p.Thickness - l.DamageTop - l.DamageBottom - l.Movement; rapid.Bool().Draw(rt, "asked") {
			l.Finish = give - rapid.Float64Range(0, 3).Draw(rt, "thinner")
		}
		q := l.Plan(p, p.Thickness, p.Thickness)
		if sum := q.CutTo + q.Top.Mean + q.Bottom.Mean; math.Abs(sum-mean) > 1e-9 {
			rt.Fatalf("%.9f left and off, of a slab of %.9f", sum, mean)
		}
		if q.Top.Min < l.DamageTop-1e-9 || q.Bottom.Min < l.DamageBottom-1e-9 || q.Answer != cleanup.Possible {
			rt.Fatalf("damage stays: %+v", q)
		}
		spareTop, spareBottom := q.Top.Min-l.DamageTop, q.Bottom.Min-l.DamageBottom
		if !q.Equal && spareTop > 1e-9 && spareBottom > 1e-9 {
			rt.Fatalf("not equal, and it could be: %+v", q)
		}
		if d := q.Top.Mean - q.Bottom.Mean; !q.Equal && (d > 0 && spareTop > 1e-9 || d < 0 && spareBottom > 1e-9) {
			rt.Fatalf("more than it must off one face: %+v", q)
		}
	})
}

func TestThinnest(t *testing.T) {
	p := thickest(t, shape{flat(thick), flat(0)}.grid(5, 5))
	l := cleanup.Limits{Finish: 29, Least: 28.8}
	q := l.Plan(p, thick, thick)
	list := []cleanup.Caliper{{X: 1, Y: 2, T: 30.02}, {X: -400, Y: 2, T: 29.97}, {X: 3, Y: 9, T: 30.01}}
	thin, ok := q.Thinnest(l, list, []float64{0.02, -0.03, 0.01}, 0.03, 0.04)
	if !ok || thin.X != -400 {
		t.Fatalf("%+v", thin)
	}
	near(t, "above the least", thin.Above, 0.17, 1e-12)
	near(t, "its doubt", thin.U, 0.05, 1e-12)
	near(t, "taken", thin.Taken, 1, 1e-12)
	if _, ok := q.Thinnest(l, nil, nil, 0, 0); ok {
		t.Error("a place without calipers")
	}
	top, bottom := q.At(p, 100, 100, thick, 0)
	near(t, "off the top there", top, 0.5, 1e-12)
	near(t, "off the bottom there", bottom, 0.5, 1e-12)
}

package holes

import (
	"math"
	"testing"

	"slatewright/bed"
	"slatewright/chance"
	"slatewright/judge"
)

// In the middle of the circle the probability is Rayleigh's, at its far edge about one half and less by the circle's curve; elsewhere it is counted.
func TestInsideTheCircle(t *testing.T) {
	for _, u := range []float64{0.05, 0.2, 0.5, 2, 30} {
		if got, want := inside(0.8, 0, u), 1-math.Exp(-0.8*0.8/(2*u*u)); math.Abs(got-want) > 1e-6 {
			t.Errorf("u = %g: %.9g in the middle, want %.9g", u, got, want)
		}
	}
	s := chance.NewStream(1)
	for _, c := range [][3]float64{{0.8, 0.5, 0.3}, {0.8, 0.8, 0.1}, {0.8, 1.2, 0.4}, {1, 0.9, 2}} {
		in := 0
		const draws = 200000
		for range draws {
			if math.Hypot(c[1]+c[2]*s.Normal(), c[2]*s.Normal()) <= c[0] {
				in++
			}
		}
		if got, want := inside(c[0], c[1], c[2]), float64(in)/draws; math.Abs(got-want) > 0.004 {
			t.Errorf("%v: %.4f, counted %.4f", c, got, want)
		}
	}
	if inside(1, 0.5, 0) != 1 || inside(1, 1.5, 0) != 0 {
		t.Error("without uncertainty")
	}
	if p := inside(1000, 0, 0.01); math.Abs(p-1) > 1e-6 {
		t.Errorf("far within: %g", p)
	}
}

// With u = 0.45 mm a place that is read right in the middle is within 0.79 mm sideways and lengthwise, each by itself at 95 %, and in the circle only at 79 %.
func TestAPlaceMayLeaveItsCircleSideways(t *testing.T) {
	rule := bed.Decision{Rule: bed.RuleISO14253, Risk: bed.ISO14253Risk}
	if v := decide(0, 0.45, ThirtySecond, rule); v.Verdict != judge.CannotTell || math.Abs(v.Probability-0.789) > 0.001 || ruled(0, 0.45, ThirtySecond, rule) != judge.Conforms {
		t.Errorf("%+v", v)
	}
	if v := decide(0, 0.45, ThirtySecond, bed.Decision{Rule: bed.RuleSimple, Risk: bed.SimpleRisk}); v.Verdict != judge.Conforms {
		t.Errorf("by simple acceptance: %+v", v)
	}
	for d := 0.; d < 1.5; d += 0.01 {
		for _, u := range []float64{0.01, 0.08, 0.13, 0.2, 0.32, 0.4, 0.6} {
			if a, b := decide(d, u, ThirtySecond, rule).Verdict, held(d, u, ThirtySecond, rule); a != b {
				t.Errorf("%g, u = %g: %s and %s", d, u, a, b)
			}
		}
	}
}

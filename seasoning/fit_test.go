package seasoning_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatewright/chance"
	"slatewright/seasoning"
	"slatewright/seasoning/relax"
)

// exactly is a course without noise, read every step days.
func exactly(final, change, tau, last, step, sd float64) (s seasoning.Series) {
	for d := 0.0; d <= last; d += step {
		s.Readings = append(s.Readings, seasoning.Reading{Day: d, Value: final + change*math.Exp(-d/tau), SD: sd})
	}
	return s
}

func must(t *testing.T, s seasoning.Series, prior *seasoning.Prior) *seasoning.Fit {
	t.Helper()
	f, err := seasoning.Of(s, prior)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestExactCourseIsFound(t *testing.T) {
	f := must(t, exactly(95000, 300, 7, 30, 3, 5), nil)
	near(t, "tau", f.Tau, 7, 1e-6)
	near(t, "final", f.Final, 95000, 1e-9)
	left, limit, ok := f.Remaining(30)
	near(t, "remaining", left, -300*math.Exp(-30.0/7), 1e-5)
	if !ok || limit < -left || f.Model != seasoning.Exponential {
		t.Errorf("%v %g, %s", ok, limit, f.Model)
	}
	rate, _, _ := f.Rate(30)
	near(t, "rate", rate, -300*math.Exp(-30.0/7), 1e-5) // a week of 7 days, τ 7 days
	expected, sure := f.Ready(0, 6)
	if expected != math.Ceil(7*math.Log(50)) || sure < expected {
		t.Errorf("ready on day %g, surely %g", expected, sure)
	}
	if v, low, high, ok := f.At(10); !ok || !(low < v && v < high) || math.Abs(v-95000-300*math.Exp(-10.0/7)) > 1e-3 {
		t.Errorf("day 10: %g in %g to %g", v, low, high)
	}
}

// Order, unit, sign and zero of the values do not matter, nor how many wrong readings stand within what is borne.
func TestAnswerDoesNotHangOnHowItIsWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		factor := rapid.SampledFrom([]float64{-1, 0.001, 1000}).Draw(t, "factor")
		s := chance.NewStream(seed)
		series, _ := trial{tau: 6, noise: 4, last: 30, step: 3, course: plainly}.piece(s)
		turned := seasoning.Series{}
		for i := range series.Readings {
			r := series.Readings[len(series.Readings)-1-i]
			turned.Readings = append(turned.Readings, seasoning.Reading{Day: r.Day, Value: factor * (r.Value - 95000), SD: math.Abs(factor) * r.SD})
		}
		f, err := seasoning.Of(series, nil)
		g, other := seasoning.Of(turned, nil)
		if err != nil || other != nil {
			t.Fatal(err, other)
		}
		a, limitA, okA := f.Remaining(30)
		b, limitB, okB := g.Remaining(30)
		if okA != okB || math.Abs(b-factor*a) > 1e-3*math.Abs(b)+1e-6*math.Abs(factor) || okA && math.Abs(limitB-math.Abs(factor)*limitA) > 1e-3*limitB {
			t.Fatalf("%g (%g %v) against %g (%g %v)", factor*a, math.Abs(factor)*limitA, okA, b, limitB, okB)
		}
	})
}

func TestWrongReadingIsLeftOut(t *testing.T) {
	s := exactly(95000, 300, 7, 30, 3, 5)
	s.Readings[4].Value += 400
	f := must(t, s, nil)
	if len(f.Wrong) != 1 || f.Wrong[0] != 4 || math.Abs(f.Tau-7) > 0.2 || !strings.Contains(strings.Join(f.Warnings, " "), "day 12") {
		t.Errorf("left out %v, τ %g, %q", f.Wrong, f.Tau, f.Warnings)
	}
}

func TestMovedInstrument(t *testing.T) {
	s := exactly(95000, 300, 7, 30, 2, 5)
	for i := range s.Readings {
		if s.Readings[i].Day < 11 {
			s.Readings[i].Value += 150
		}
	}
	if f := must(t, s, nil); f.Model != seasoning.Unsettled || f.Jump != 12 {
		t.Errorf("%s, day %g: %q", f.Model, f.Jump, f.Warnings)
	} else if _, _, ok := f.Remaining(30); ok {
		t.Error("what remains is told where it cannot be")
	}
	s.Moved = []float64{11}
	f := must(t, s, nil)
	near(t, "tau", f.Tau, 7, 1e-5)
	near(t, "final", f.Final, 95000, 1e-9) // in the zero of now
	if _, _, ok := f.Remaining(30); !ok || f.Model != seasoning.Exponential {
		t.Errorf("%s %v", f.Model, f.Warnings)
	}
}

func TestCannotTell(t *testing.T) {
	line := seasoning.Series{}
	for d := 0.0; d < 20; d += 2 {
		line.Readings = append(line.Readings, seasoning.Reading{Day: d, Value: 100 - d, SD: 1})
	}
	still := exactly(100, 0, 5, 30, 3, 1)
	for name, s := range map[string]seasoning.Series{"a straight line": line, "no change": still, "two readings": exactly(100, 50, 5, 3, 3, 1), "early": exactly(100, 50, 40, 6, 1, 2)} {
		f := must(t, s, nil)
		if _, _, ok := f.Remaining(30); ok {
			t.Errorf("%s: %s, τ %g: told", name, f.Model, f.Tau)
		}
		if _, sure := f.Ready(0, 1); !math.IsNaN(sure) {
			t.Errorf("%s: ready on day %g", name, sure)
		}
		if len(f.Warnings) == 0 {
			t.Errorf("%s: no warning", name)
		}
	}
}

func TestNoiseThatIsMoreThanGiven(t *testing.T) {
	s := chance.NewStream(9)
	series, _ := trial{tau: 7, noise: 20, last: 40, step: 2, course: plainly}.piece(s)
	for i := range series.Readings {
		series.Readings[i].SD = 2
	}
	f := must(t, series, nil)
	if f.Noise < 10 || f.Noise > 35 || !strings.Contains(strings.Join(f.Warnings, " "), "scatter") {
		t.Errorf("noise %g: %q", f.Noise, f.Warnings)
	}
}

func TestRefusedSeries(t *testing.T) {
	for name, list := range map[string][]seasoning.Reading{
		"empty": nil, "nan": {{Day: math.NaN()}}, "far": {{Day: 1e9}}, "negative noise": {{SD: -1}}, "mixed noise": {{SD: 1}, {Day: 1}},
	} {
		if _, err := seasoning.Of(seasoning.Series{Name: "P", Readings: list}, nil); err == nil {
			t.Errorf("%s is not refused", name)
		}
	}
}

// The course of a slab against its full series, and τ against the time in which a slab loses half: 0.04919 L²/D with L the whole thickness (J. Crank,
// The Mathematics of Diffusion, 1975, chapter 10).
func TestSlab(t *testing.T) {
	for x := 0.001; x < 5; x *= 1.1 {
		share, change := relax.Slab.At(x)
		if math.Abs(share-asSlab(x)) > 2e-4 && x < 0.01 || math.Abs(share-asSlab(x)) > 1e-9 && x >= 0.01 {
			t.Errorf("x %g: %g, series %g", x, share, asSlab(x))
		}
		const h = 1e-5
		up, _ := relax.Slab.At(x * math.Exp(-h))
		down, _ := relax.Slab.At(x * math.Exp(h))
		if math.Abs((up-down)/(2*h)-change) > 1e-6 {
			t.Errorf("x %g: change %g, differences %g", x, change, (up-down)/(2*h))
		}
	}
	const thick, diffusivity = 25.4, 1e-10
	tau := seasoning.DryingTau(thick, false, diffusivity)
	near(t, "tau", tau, 7.57, 0.001)
	near(t, "one face sealed", seasoning.DryingTau(thick, true, diffusivity), 4*tau, 1e-12)
	near(t, "thickness", seasoning.DryingTau(30, false, diffusivity), seasoning.Scaled(tau, thick, 30), 1e-12)
	half := 0.04919 * thick / 1000 * thick / 1000 / diffusivity / 86400
	share, _ := relax.Slab.At(half / tau)
	near(t, "half time", share, 0.5, 0.001)
}

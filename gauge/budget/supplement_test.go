package budget_test

import (
	"math"
	"testing"

	"slatewright/gauge/budget"
	"slatewright/internal/truth"
)

// The comparison loss of JCGM 101, 9.4: x₁² + x₂² of two normal inputs with u = 0.005, in millionths. Closed form: u² times a non-central chi
// squared of two degrees, so the mean is x₁² + 2u², the variance 4x₁²u² + 4u⁴, and at 0 the shortest interval goes from 0 to 2u²·ln 20.
func TestComparisonLossOfSupplement1(t *testing.T) {
	const u = 0.005
	for _, c := range []struct {
		x  float64
		at string
	}{{0, "0"}, {0.01, "0.010"}, {0.05, "0.050"}} {
		q := budget.Quantity{Name: "loss", Of: func(x []float64) float64 { return 1e6 * (x[0]*x[0] + x[1]*x[1]) },
			Inputs: []budget.Input{{Name: "real", Value: c.x, U: u, Kind: budget.Normal}, {Name: "imaginary", U: u, Kind: budget.Normal}}}
		f, err := q.Propagate(0.95)
		if err != nil {
			t.Fatal(err)
		}
		s, err := q.Simulate(0.95, 1, 4)
		if err != nil || !s.Stable {
			t.Fatal(err)
		}
		g := func(quantity string) truth.GUMFigure { return truth.GUM("9.4", quantity+" at "+c.at) }
		near(t, f.Value, g("value first order"), 0.5)
		near(t, f.U, g("u first order"), 0.5)
		near(t, f.USecond, g("u second order"), 0.6)
		near(t, s.Value, g("value"), 1+s.Tolerance)
		near(t, s.U, g("u"), 1+s.Tolerance)
		near(t, s.ShortLow, g("low"), 3*s.Tolerance+1)
		near(t, s.ShortHigh, g("high"), 3*s.Tolerance+1)
		if mean, sd := 1e6*(c.x*c.x+2*u*u), 1e6*math.Sqrt(4*c.x*c.x*u*u+4*u*u*u*u); math.Abs(s.Value-mean) > s.Tolerance || math.Abs(s.U-sd) > s.Tolerance {
			t.Errorf("at %g: %g and %g, by hand %g and %g", c.x, s.Value, s.U, mean, sd)
		}
		if a := budget.Compare(f, s, 1); a.Agree {
			t.Errorf("at %g the two ways are said to agree", c.x)
		}
	}
}

// The end gauge again, by drawn numbers: JCGM 101, 9.5, lengths in nm, 99 %. Limits that are themselves doubtful (6.4.3) are a half width drawn
// from limits, times a place drawn between −1 and 1.
func TestEndGaugeOfSupplement1(t *testing.T) {
	q := budget.Quantity{Name: "length", Inputs: []budget.Input{
		{Name: "standard", Value: 50000623, U: 25, DoF: 18, Kind: budget.Normal},
		{Name: "observations", Value: 215, U: 6, DoF: 24, Kind: budget.Normal},
		{Name: "random", U: 4, DoF: 5, Kind: budget.Normal}, {Name: "systematic", U: 7, DoF: 8, Kind: budget.Normal},
		budget.Within("expansion", 11.5e-6, 2e-6), {Name: "mean temperature", Value: -0.1, U: 0.2, Kind: budget.Normal},
		{Name: "cycle", U: 0.5 / math.Sqrt2, Kind: budget.Arcsine},
		budget.Within("half width of the difference of expansions", 1e-6, 0.1e-6), budget.Within("its place", 0, 1),
		budget.Within("half width of the difference of temperatures", 0.05, 0.025), budget.Within("its place", 0, 1),
	}, Of: func(x []float64) float64 {
		return x[0] + x[1] + x[2] + x[3] - x[0]*(x[7]*x[8]*(x[5]+x[6])+x[4]*x[9]*x[10])
	}}
	s, err := q.Simulate(0.99, 1, 9)
	if err != nil || !s.Stable {
		t.Fatal(err)
	}
	g := func(quantity string) truth.GUMFigure { return truth.GUM("9.5", quantity) }
	near(t, s.Value, g("length nm"), 0.5+s.Tolerance)
	near(t, s.U, g("u nm"), 0.5+s.Tolerance)
	near(t, s.ShortLow, g("low nm"), 2)
	near(t, s.ShortHigh, g("high nm"), 2)
}

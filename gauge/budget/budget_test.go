package budget_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatewright/gauge/budget"
	"slatewright/internal/truth"
	"slatewright/trouble"
)

// near fails where got is not within of the published figure, or of the recomputed one within a thousandth of itself.
func near(t *testing.T, got float64, f truth.GUMFigure, within float64) {
	t.Helper()
	if !(math.Abs(got-f.Published) <= within) || !(math.Abs(got-f.Computed) <= within) {
		t.Errorf("%s, %s: %.6g, published %g, computed %g (%s)", f.Example, f.Quantity, got, f.Published, f.Computed, f.Mark)
	}
}

// endGauge is the example H.1 of the GUM; lengths in nm.
func endGauge() budget.Quantity {
	return budget.Quantity{
		Name: "length",
		Inputs: []budget.Input{
			{Name: "standard", Value: 50000623, U: 25, DoF: 18, Kind: budget.Normal},
			{Name: "difference", Value: 215, U: 9.7, DoF: 25.6, Kind: budget.Normal},
			{Name: "expansion", Value: 11.5e-6, U: 1.2e-6, Kind: budget.Rectangular},
			{Name: "temperature", Value: -0.1, U: 0.41, Kind: budget.Arcsine},
			{Name: "difference of expansions", Value: 0, U: 0.58e-6, DoF: 50, Kind: budget.Rectangular},
			{Name: "difference of temperatures", Value: 0, U: 0.029, DoF: 2, Kind: budget.Rectangular},
		},
		Of: func(x []float64) float64 { return x[0] + x[1] - x[0]*(x[4]*x[3]+x[2]*x[5]) },
	}
}

func TestEndGaugeOfTheGUM(t *testing.T) {
	f, err := endGauge().Propagate(0.99)
	if err != nil {
		t.Fatal(err)
	}
	g := func(quantity string) truth.GUMFigure { return truth.GUM("H.1", quantity) }
	near(t, f.Value, g("length nm"), 0.5)
	near(t, f.Rows[0].Contribution, g("contribution l_S nm"), 1e-6)
	near(t, f.Rows[1].Contribution, g("contribution d nm"), 1e-6)
	near(t, math.Abs(f.Rows[4].Contribution), g("contribution dalpha nm"), 0.001)
	near(t, math.Abs(f.Rows[5].Contribution), g("contribution dtheta nm"), 0.1)
	near(t, f.U, g("u_c nm"), 0.5)
	near(t, f.DoF, g("effective dof"), 0.05)
	near(t, f.K, g("t99"), 0.001)
	near(t, f.K*g("u_c nm").Published, g("U99 nm"), 0.5) // the guide multiplies the rounded 32
	near(t, f.USecond, g("u_c second order nm"), 0.1)
	share := 0.0
	for _, r := range f.Rows {
		share += r.Share
	}
	if math.Abs(share-1) > 1e-12 || math.Abs(f.U-g("u_c nm").Computed) > 1e-3 {
		t.Errorf("shares add up to %.15g, u %.6g", share, f.U)
	}
	// The repeated observations and both parts of the comparator make u(d) and its degrees of freedom.
	d := budget.Quantity{Name: "d", Of: func(x []float64) float64 { return x[0] + x[1] + x[2] }, Inputs: []budget.Input{
		{Name: "observations", Value: 215, U: 5.8, DoF: 24, Kind: budget.Normal},
		{Name: "random", U: 3.9, DoF: 5, Kind: budget.Normal}, {Name: "systematic", U: 6.7, DoF: 8, Kind: budget.Normal}}}
	if f, err = d.Propagate(0.95); err != nil {
		t.Fatal(err)
	}
	near(t, f.U, g("u(d) nm"), 0.02)
	near(t, f.DoF, g("dof of u(d)"), 0.2)
}

// four adds four inputs of this kind with standard uncertainty 1, the last with u.
func four(kind budget.Kind, u float64) budget.Quantity {
	q := budget.Quantity{Name: "sum", Of: func(x []float64) float64 { return x[0] + x[1] + x[2] + x[3] }}
	for _, s := range []float64{1, 1, 1, u} {
		q.Inputs = append(q.Inputs, budget.Input{Name: "x", U: s, Kind: kind})
	}
	return q
}

func TestAdditiveModelOfSupplement1(t *testing.T) {
	run := func(q budget.Quantity) (*budget.Framework, *budget.Simulation, budget.Agreement) {
		t.Helper()
		f, err := q.Propagate(0.95)
		if err != nil {
			t.Fatal(err)
		}
		s, err := q.Simulate(0.95, 1, 7)
		if err != nil {
			t.Fatal(err)
		}
		if !s.Stable || s.Draws < 20000 {
			t.Errorf("stable %v after %d draws", s.Stable, s.Draws)
		}
		return f, s, budget.Compare(f, s, 1)
	}
	f, s, a := run(four(budget.Normal, 1))
	near(t, f.U, truth.GUM("9.2.2", "u"), 1e-9)
	near(t, f.Expanded, truth.GUM("9.2.2", "half-width"), 0.001)
	near(t, (s.High-s.Low)/2, truth.GUM("9.2.2", "half-width"), s.Tolerance)
	if !a.Agree {
		t.Errorf("normal inputs: %+v", a)
	}
	f, s, a = run(four(budget.Rectangular, 1))
	near(t, (s.High-s.Low)/2, truth.GUM("9.2.3", "half-width"), s.Tolerance)
	if !a.Agree || math.Abs(f.U-2) > 1e-12 {
		t.Errorf("four rectangles: %+v", a)
	}
	// One rectangle ten times as wide: the framework's interval is too long, and that is said.
	f, s, a = run(four(budget.Rectangular, 10))
	near(t, f.U, truth.GUM("9.2.4", "u"), 0.05)
	near(t, f.Expanded, truth.GUM("9.2.4", "half-width framework"), 0.02)
	near(t, (s.High-s.Low)/2, truth.GUM("9.2.4", "half-width"), 0.15)
	// u = 10 to one digit allows half of ten; to two digits the two ways part.
	if two := budget.Compare(f, s, 2); two.Agree || !strings.Contains(two.Why, "rectangular") || !a.Agree {
		t.Errorf("a dominant rectangle: %+v and %+v", a, two)
	}
}

// mass is the mass calibration of JCGM 101, 9.3, in mg: a weight against a reference in air, about its nominal 100 g.
func mass() budget.Quantity {
	rect := func(name string, low, high float64) budget.Input {
		return budget.Within(name, (low+high)/2, (high-low)/2)
	}
	return budget.Quantity{
		Name: "deviation from nominal",
		Inputs: []budget.Input{
			{Name: "reference", Value: 100000, U: 0.05, Kind: budget.Normal},
			{Name: "added weight", Value: 1.234, U: 0.02, Kind: budget.Normal},
			rect("air", 1.10, 1.30), rect("weight", 7000, 9000), rect("reference's density", 7950, 8050),
		},
		Of: func(x []float64) float64 {
			return (x[0]+x[1])*(1+(x[2]-1.2)*(1/x[3]-1/x[4])) - 100000
		},
	}
}

func TestMassCalibrationOfSupplement1(t *testing.T) {
	f, err := mass().Propagate(0.95)
	if err != nil {
		t.Fatal(err)
	}
	s, err := mass().Simulate(0.95, 2, 1)
	if err != nil {
		t.Fatal(err)
	}
	g := func(quantity string) truth.GUMFigure { return truth.GUM("9.3", quantity) }
	near(t, f.U, g("u mg first order"), 0.0001)
	near(t, f.USecond, g("u mg second order"), 0.0002)
	near(t, s.Value, g("value mg"), 0.0003)
	near(t, s.U, g("u mg"), 0.0003)
	near(t, s.ShortLow, g("low mg"), 0.003)
	near(t, s.ShortHigh, g("high mg"), 0.003)
	if a := budget.Compare(f, s, 2); a.Agree || !strings.Contains(a.Why, "second-order") {
		t.Errorf("the air makes the model bent, and it is not said: %+v", a)
	}
}

// For a linear model both ways have a closed form: aᵀVa.
func TestCorrelatedInputs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.Float64Range(-1, 1).Draw(t, "r")
		a, b := rapid.Float64Range(-3, 3).Draw(t, "a"), rapid.Float64Range(0.5, 3).Draw(t, "b")
		q := budget.Quantity{Name: "y", Of: func(x []float64) float64 { return a*x[0] + b*x[1] }, Correlations: []budget.Correlation{{A: 0, B: 1, R: r}},
			Inputs: []budget.Input{{Name: "p", U: 1, Kind: budget.Normal}, {Name: "q", U: 2, Kind: budget.Normal}}}
		f, err := q.Propagate(0.95)
		if err != nil {
			t.Fatal(err)
		}
		want := math.Sqrt(max(0, a*a+4*b*b+4*a*b*r))
		if math.Abs(f.U-want) > 1e-6 {
			t.Fatalf("u = %g, want %g", f.U, want)
		}
	})
	q := budget.Quantity{Name: "y", Of: func(x []float64) float64 { return x[0] + x[1] + x[2] }, Correlations: []budget.Correlation{{A: 0, B: 1, R: 1}, {A: 0, B: 2, R: -0.5}, {A: 1, B: 2, R: -0.5}},
		Inputs: []budget.Input{{Name: "p", U: 1, Kind: budget.Normal}, {Name: "q", U: 1, Kind: budget.Normal}, {Name: "r", U: 1, Kind: budget.Normal}}}
	s, err := q.Simulate(0.95, 1, 3)
	if err != nil || math.Abs(s.U-math.Sqrt(3)) > 0.05 {
		t.Errorf("u = %+v, %v; want √3", s, err)
	}
}

// Student's t with few degrees of freedom: one input is its own closed form.
func TestFewReadings(t *testing.T) {
	q := budget.Quantity{Name: "mean", Of: func(x []float64) float64 { return x[0] }, Inputs: []budget.Input{{Name: "readings", Value: 3, U: 1, DoF: 5, Kind: budget.Normal}}}
	f, err := q.Propagate(0.95)
	if err != nil {
		t.Fatal(err)
	}
	s, err := q.Simulate(0.95, 2, 1)
	if err != nil {
		t.Fatal(err)
	}
	const t5 = 2.570582 // every table of t
	if math.Abs(f.Expanded-t5) > 1e-5 || math.Abs(s.High-3-t5) > 0.03 || math.Abs(s.U-math.Sqrt(5.0/3)) > 0.02 || math.Abs(s.Low-3+t5) > 0.03 {
		t.Errorf("%+v\n%+v", f, s)
	}
	q.Inputs[0].DoF = 2
	if _, err = q.Simulate(0.95, 1, 1); !isData(err, "too-few-readings") {
		t.Errorf("2 degrees of freedom: %v", err)
	}
	if f, err = q.Propagate(0.95); err != nil || len(f.Warnings) != 1 {
		t.Errorf("%+v, %v", f, err)
	}
}

func TestTheSameSeedGivesTheSameAnswer(t *testing.T) {
	a, err := mass().Simulate(0.95, 1, 5)
	b, err2 := mass().Simulate(0.95, 1, 5)
	c, err3 := mass().Simulate(0.95, 1, 6)
	if err != nil || err2 != nil || err3 != nil || *a != *b || a.Value == c.Value {
		t.Errorf("%+v, %+v, %+v", a, b, c)
	}
}

func TestKindsHaveTheirSpread(t *testing.T) {
	for _, k := range []budget.Kind{budget.Normal, budget.Rectangular, budget.Triangular, budget.Arcsine} {
		q := budget.Quantity{Name: "x", Of: func(x []float64) float64 { return x[0] }, Inputs: []budget.Input{{Name: "x", Value: 5, U: 0.7, Kind: k}}}
		s, err := q.Simulate(0.95, 1, 11)
		if err != nil || math.Abs(s.U-0.7) > 0.01 || math.Abs(s.Value-5) > 0.01 {
			t.Errorf("%v: %+v, %v", k, s, err)
		}
	}
}

func TestTolerance(t *testing.T) {
	for _, c := range []struct {
		u      float64
		digits int
		want   float64
	}{{0.35, 1, 0.05}, {0.35, 2, 0.005}, {32, 2, 0.5}, {9.96, 2, 0.5}, {9.94, 2, 0.05}, {0, 1, 0}} {
		if got := budget.Tolerance(c.u, c.digits); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("u %g to %d digits: %g, want %g", c.u, c.digits, got, c.want)
		}
	}
}

func TestBudgetsThatCannotBe(t *testing.T) {
	of := func(x []float64) float64 { return x[0] }
	good := budget.Input{Name: "x", U: 1, Kind: budget.Normal}
	for name, q := range map[string]budget.Quantity{
		"empty":         {Of: of},
		"negative u":    {Of: of, Inputs: []budget.Input{{U: -1, Kind: budget.Normal}}},
		"no value":      {Of: of, Inputs: []budget.Input{{Value: math.NaN()}}},
		"no freedom":    {Of: of, Inputs: []budget.Input{{U: 1, DoF: 0.5, Kind: budget.Normal}}},
		"exact doubt":   {Of: of, Inputs: []budget.Input{{U: 1}}},
		"itself":        {Of: of, Inputs: []budget.Input{good}, Correlations: []budget.Correlation{{A: 0, B: 0, R: 1}}},
		"beyond 1":      {Of: of, Inputs: []budget.Input{good, good}, Correlations: []budget.Correlation{{A: 0, B: 1, R: 1.5}}},
		"rectangles":    {Of: of, Inputs: []budget.Input{good, budget.Within("r", 0, 1)}, Correlations: []budget.Correlation{{A: 0, B: 1, R: 0.5}}},
		"contradiction": {Of: of, Inputs: []budget.Input{good, good, good}, Correlations: []budget.Correlation{{A: 0, B: 1, R: 1}, {A: 1, B: 2, R: 1}, {A: 0, B: 2, R: -1}}},
	} {
		if _, err := q.Propagate(0.95); !isData(err, "bad-budget") {
			t.Errorf("%s: %v", name, err)
		}
		if _, err := q.Simulate(0.95, 1, 1); !isData(err, "bad-budget") {
			t.Errorf("%s: %v", name, err)
		}
	}
	q := budget.Quantity{Name: "1/x", Of: func(x []float64) float64 { return math.Log(x[0]) }, Inputs: []budget.Input{budget.Within("x", 1, 2)}}
	if _, err := q.Simulate(0.95, 1, 1); !isData(err, "not-finite") {
		t.Errorf("the logarithm of less than 0: %v", err)
	}
}

func isData(err error, code string) bool {
	var told *trouble.Trouble
	return errors.As(err, &told) && told.Kind == trouble.KindData && told.Code == code
}

// A simulation that was stopped before it was stable cannot say that the other way is wrong without saying so.
func TestUnstableDrawsSaySo(t *testing.T) {
	f := &budget.Framework{U: 1, USecond: 1, Low: -2, High: 2, Rows: []budget.Row{{Input: budget.Input{Kind: budget.Normal}, Share: 1}}, DoF: math.Inf(1)}
	a := budget.Compare(f, &budget.Simulation{U: 1, Low: -3, High: 2, Draws: 5}, 1)
	if a.Agree || !strings.Contains(a.Why, "not yet stable") || math.Abs(a.LowDiff-1) > 1e-15 {
		t.Errorf("%+v", a)
	}
}

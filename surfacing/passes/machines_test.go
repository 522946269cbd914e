package passes_test

import (
	"math"
	"testing"

	"slatewright/surfacing/machine"
	"slatewright/surfacing/machine/machinefile"
	"slatewright/surfacing/passes"
)

// example is the machine of the handbook.
func example(t testing.TB) *machine.Machine {
	t.Helper()
	m, err := machinefile.ReadFile("../../docs/examples/surfacing/machine.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return &m
}

func between(t testing.TB, least, mean, most float64) passes.Stock {
	t.Helper()
	s, err := passes.Between(least, mean, most)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// question is an ordinary piece of a nine-foot table.
func question(t testing.TB) passes.Question {
	bow := 0.4
	return passes.Question{Machine: example(t), X: 914, Y: 1473, Take: [2]passes.Stock{between(t, 0.3, 0.62, 1.1), between(t, 0.3, 0.7, 1.2)},
		Thickness: 26.1, ThicknessU: 0.02, Final: 25.8, Flat: 0.254, Least: 25.4, Reserve: 0.2, Bow: &bow}
}

// light is a question with little to take off.
func light(t testing.TB) passes.Question {
	q := question(t)
	q.Take = [2]passes.Stock{between(t, 0.1, 0.2, 0.3), between(t, 0.1, 0.2, 0.3)}
	q.Thickness = 25.8
	return q
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %.6g, want %.6g ± %.2g", what, got, want, within)
	}
}

// row is a cutter of the table of wear and power that a hand worked out with the formulas: 48 cm² of bits on a piece of 1473 x 914 mm.
func row(g float64) passes.Cutter {
	disc := machine.Disc{Diameter: 500, Bits: 96, BitArea: 50, BitHeight: 8}
	s := machine.Stage{Disc: disc, Speed: 1000, G: machine.Known{Value: g}, Energy: machine.Known{Value: 5}, Normal: machine.Known{Value: 3}}
	m := machine.Machine{Heads: []machine.Head{{Stiffness: machine.Known{Value: 30000}}}, Stages: []machine.Stage{s}, Table: machine.Table{Pitch: 250}}
	return passes.NewCutter(&m, 0, 1473, 914)
}

func TestWearPowerAndTiltAsWorkedOutByHand(t *testing.T) {
	for _, c := range []struct{ g, depth, want float64 }{
		{1000, 0.5, 0.14}, {1000, 0.2, 0.056}, {1000, 0.05, 0.014}, {300, 0.5, 0.14 / 0.3}, {3000, 0.5, 0.14 / 3},
	} {
		near(t, "taper", row(c.g).Taper(c.depth), c.want, 0.004*c.want/0.14*1.5)
	}
	// 0.5 mm off the piece in 10 minutes at 5 J/mm³ takes 5.6 kW
	c := row(1000)
	near(t, "power", c.Power(0.5, 1473*914/600.0/c.Width), 5.61, 0.01)
	// out of square by 0.05 mm over the diameter: hollow 0.025 mm over the full width, 0.0033 mm over half of it, and 0.025 mm from track to track
	near(t, "hollow of half a width", c.Hollow(0.05/500, 250), 0.0033, 0.0001)
	near(t, "hollow of a full width", c.Hollow(0.05/500, 500), 0.025, 1e-9)
	near(t, "ridge", c.Ridge(0.05/500, 250), 0.025, 1e-9)
	// a skin of 1 mm with 1 MPa off one face bows 1.47 m of 25.4 mm by 0.053 mm
	near(t, "skin", passes.Skin(1, 1, 48000, 25.4, 1473), 0.053, 0.0006)
}

// The width at which a leaning cutter leaves a hollow, from the published rows of package truth's source: formula and brute-force sweep agree.
func TestHollowAgainstSweptGeometry(t *testing.T) {
	for _, c := range []struct{ diameter, width, lean, want float64 }{
		{250, 150, 0.001, 0.025}, {400, 300, 0.0005, 0.033856}, {1000, 635, 0.0001, 0.011374}, {1500, 1270, 5e-5, 0.017545},
	} {
		k := row(1000)
		k.Disc.Diameter = c.diameter
		near(t, "hollow", k.Hollow(c.lean, c.width), c.want, 2e-6)
		// brute force: a ring of points on the leaning rim sweeps the track; what stands between its deepest line and the track's edge is the hollow
		deepest, edge := 0.0, 0.0
		const n = 200000
		for i := range n {
			a := math.Pi * float64(i) / n // the half that leans down
			x, z := c.diameter/2*math.Cos(a), -c.lean*c.diameter/2*math.Sin(a)
			deepest = math.Min(deepest, z)
			if math.Abs(x) >= c.width/2 {
				edge = math.Min(edge, z)
			}
		}
		near(t, "swept", k.Hollow(c.lean, c.width), edge-deepest, 1e-6+0.002*c.want)
	}
}

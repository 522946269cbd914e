package judge_test

import (
	"math"
	"strconv"
	"testing"

	"slatewright/bed"
	"slatewright/chance"
	"slatewright/face"
	"slatewright/judge"
	"slatewright/seating"
)

// Does a statement hold? Beds of invented true faces are seated finely, which gives the truth, and read on nine by six places
// with noise and a bench error, which gives the statement. The statement that must hold in 95 of 100 cases is: the true
// figure is at most value + 1.645 u, and at least value − lean − 1.645 u.

// kinds of true faces. Figures are standard deviations in mm of what is drawn, in the range that is certified or just missed.
var kinds = []struct {
	name string
	face func(draw *chance.Stream) shape
}{
	{"equal crowns", func(*chance.Stream) shape { return second(0, 0.2, 0) }},
	{"bow and twist", func(d *chance.Stream) shape { return second(0.07*d.Normal(), 0.10*d.Normal(), 0.13*d.Normal()) }},
	{"third order", func(d *chance.Stream) shape {
		return plus(second(0.07*d.Normal(), 0.10*d.Normal(), 0.13*d.Normal()), third(0.04*d.Normal(), 0.04*d.Normal()), waves(d, 0.010))
	}},
	{"near the limit", func(d *chance.Stream) shape {
		return plus(second(0.15*d.Normal(), 0.20*d.Normal(), 0.25*d.Normal()), third(0.05*d.Normal(), 0.05*d.Normal()), waves(d, 0.015))
	}},
	{"nearly flat", func(d *chance.Stream) shape { return waves(d, 0.008) }},
	{"ripple", func(d *chance.Stream) shape {
		return plus(second(0.07*d.Normal(), 0.10*d.Normal(), 0.13*d.Normal()), ripple(0.008, 90+80*d.Float64(), 6*d.Float64()))
	}},
}

// figureNames are the figures looked at, in the order of a tally.
var figureNames = [...]judge.Name{judge.Zone, judge.Lengthwise, judge.Across, judge.StepHead, judge.StepFoot}

// tally counts statements that held.
// bold counts those that
// would have held if all that noise could have added were taken off, and nothing but noise doubted.
type tally struct{ cases, above, below, bold int }

// missed tells whether fewer than 95 of 100 held by more than chance: three standard deviations of the count.
func missed(held, cases int) bool {
	n := float64(cases)
	return float64(held) < 0.95*n-3*math.Sqrt(n*0.95*0.05)
}

// oneBed draws a bed of the kind and returns its truth and its findings.
func oneBed(t *testing.T, kind int, number int, u, bench float64) (seating.Result, judge.Judgement) {
	draw := chance.NewStream(1000).Split(kinds[kind].name + strconv.Itoa(number))
	spec := bed.NineFoot()
	spec.Uncertainty.Bench = bench
	common := draw.Split("bench")
	k := bench / math.Sqrt(3)
	off := second(-1.5*math.Sqrt(5)*k*common.Normal(), -1.5*math.Sqrt(5)*k*common.Normal(), 12*k*common.Normal())
	var truth, seen [3]*face.Face
	for i := range 3 {
		piece := draw.Split("piece" + strconv.Itoa(i))
		s := kinds[kind].face(piece)
		truth[i] = read(s, 21, 33)
		seen[i] = disturb(grid(plus(s, off)), piece.Split("noise"), u)
	}
	q := question(spec, truth[:]...)
	r, err := seating.Seat(q)
	if err != nil {
		t.Fatal(err)
	}
	return r, judged(t, question(spec, seen[:]...))
}

func count(t *testing.T, kind, beds int, u, bench float64) (out [len(figureNames)]tally) {
	for n := range beds {
		truth, j := oneBed(t, kind, n, u, bench)
		for i, name := range figureNames {
			f := j.Finding(name)
			value := [...]float64{truth.Zone, truth.Lengthwise.Value, truth.Across.Value, truth.Joints[0].Largest, truth.Joints[1].Largest}[i]
			out[i].cases++
			if value <= f.Value+1.645*f.U {
				out[i].above++
			}
			if value <= f.Read-2.414*f.Noise+1.645*f.Parts[0].U {
				out[i].bold++
			}
			if value >= f.Value-f.Lean-1.645*f.U {
				out[i].below++
			}
		}
	}
	return out
}

func TestStatementsHold(t *testing.T) {
	if testing.Short() {
		t.Skip("long statistics")
	}
	const beds = 30
	var all [len(figureNames)]tally
	for kind := range kinds {
		for _, errors := range [][2]float64{{0.010, 0.005}, {0.005, 0.004}} {
			got := count(t, kind, beds, errors[0], errors[1])
			for i, c := range got {
				t.Logf("%s, u %v: %s: %d and %d of %d", kinds[kind].name, errors[0], figureNames[i], c.above, c.below, c.cases)
				all[i].cases += c.cases
				all[i].above += c.above
				all[i].below += c.below
				all[i].bold += c.bold
				if missed(c.above, c.cases) {
					t.Errorf("%s, u %v: the true %s was at most what is stated in %d of %d cases", kinds[kind].name, errors[0], figureNames[i], c.above, c.cases)
				}
			}
		}
	}
	for i, c := range all {
		if c.cases == 0 || missed(c.above, c.cases) {
			t.Errorf("the true %s was at most what is stated in %d of %d cases", figureNames[i], c.above, c.cases)
		}
		t.Logf("%s: %d and %d of %d; boldly %d", figureNames[i], c.above, c.below, c.cases, c.bold)
	}
	if c := all[0]; !missed(c.bold, c.cases) {
		t.Errorf("a bold statement about the zone would have passed: %d of %d", c.bold, c.cases)
	}
}

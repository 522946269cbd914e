package judge_test

import (
	"flag"
	"fmt"
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
// with noise and a bench error, which gives the statement. Both statements must hold in 95 of 100 cases: the true figure is at
// most value + 1.645 u, and at least value − lean − 1.645 u. The second may fail more often where the true figure is nearly
// zero: little but noise is read there, and what does not conform is far from it.
//
// The figures in the comment of estimate come from
//
//	go test ./judge -run StatementsHold -v -beds 300

var beds = flag.Int("beds", 30, "how many beds of each kind and noise TestStatementsHold draws")

// nearZero is the true figure, mm, below which little but noise is read, and leastNearZero the share of the second statements that
// must hold there.
const (
	nearZero      = 0.03
	leastNearZero = 0.85
)

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

// tally counts cases and the statements that held: above, at most what is stated; below, at least that; boldly, at most what
// would be stated if all that noise could have added were taken off, and nothing but noise doubted. nearly and its below count
// the cases whose true figure is nearly zero apart.
type tally struct{ cases, above, below, boldly, nearly, belowNearly int }

func (c tally) plus(o tally) tally {
	return tally{c.cases + o.cases, c.above + o.above, c.below + o.below, c.boldly + o.boldly, c.nearly + o.nearly, c.belowNearly + o.belowNearly}
}

// check holds both statements against their shares.
func (c tally) check(t *testing.T, what string) {
	t.Helper()
	t.Logf("%s: at most %d of %d (boldly %d), at least %d of %d, nearly zero %d of %d", what, c.above, c.cases, c.boldly, c.below, c.cases-c.nearly,
		c.belowNearly, c.nearly)
	if c.cases == 0 || missed(c.above, c.cases, 0.95) {
		t.Errorf("%s was truly at most what is stated in %d of %d cases", what, c.above, c.cases)
	}
	if missed(c.below, c.cases-c.nearly, 0.95) || missed(c.belowNearly, c.nearly, leastNearZero) {
		t.Errorf("%s was truly at least what is stated in %d of %d cases, and where it was nearly zero in %d of %d", what, c.below, c.cases-c.nearly,
			c.belowNearly, c.nearly)
	}
}

// missed tells whether fewer than the share held by more than chance: three standard deviations of the count.
func missed(held, cases int, share float64) bool {
	n := float64(cases)
	return float64(held) < share*n-3*math.Sqrt(n*share*(1-share))
}

// oneBed draws a bed of the kind and returns its true figures and its findings. Zone and steps are those of the true faces as
// they are laid by the readings, straightness that of the true faces as they lie best.
func oneBed(t *testing.T, kind int, number int, u, bench float64) (seating.Figures, judge.Judgement) {
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
	in := input(t, question(spec, seen[:]...), judge.FewestDraws)
	f := seating.Figures{Lengthwise: r.Lengthwise.Value, Across: r.Across.Value}
	low, high := math.Inf(1), math.Inf(-1)
	var rows [3][2][]float64 // heights of each piece along its edges, −x and +x
	for place, s := range in.Result.Pieces {
		for i, z := range truth[place].Z {
			x, y := truth[place].X[i], truth[place].Y[i]
			z += s.Height + s.TiltX*x + s.TiltY*y // these pieces are never turned
			switch truth[place].Row[i] {
			case face.NoRow:
				low, high = min(low, z), max(high, z)
			case face.JointMinus:
				rows[place][0] = append(rows[place][0], z)
			case face.JointPlus:
				rows[place][1] = append(rows[place][1], z)
			}
		}
	}
	f.Zone = high - low
	for j := range f.Steps {
		for i, z := range rows[j+1][0] {
			f.Steps[j] = max(f.Steps[j], math.Abs(z-rows[j][1][i]))
		}
	}
	in.Reseater = nil // cures are not the point
	return f, set(t, in)
}

func count(t *testing.T, kind, beds int, u, bench float64) (out [len(figureNames)]tally) {
	for n := range beds {
		truth, j := oneBed(t, kind, n, u, bench)
		for i, name := range figureNames {
			f := j.Finding(name)
			value := [...]float64{truth.Zone, truth.Lengthwise, truth.Across, truth.Steps[0], truth.Steps[1]}[i]
			out[i].cases++
			if value <= f.Value+1.645*f.U {
				out[i].above++
			}
			if value <= f.Read-2.414*f.Noise+1.645*f.Parts[0].U {
				out[i].boldly++
			}
			held := 0
			if value >= f.Value-f.Lean-1.645*f.U {
				held = 1
			}
			if value < nearZero {
				out[i].nearly, out[i].belowNearly = out[i].nearly+1, out[i].belowNearly+held
			} else {
				out[i].below += held
			}
		}
	}
	return out
}

func TestStatementsHold(t *testing.T) {
	if testing.Short() {
		t.Skip("long statistics")
	}
	var all [len(figureNames)]tally
	for kind := range kinds {
		for _, errors := range [][2]float64{{0.010, 0.005}, {0.005, 0.004}} {
			for i, c := range count(t, kind, *beds, errors[0], errors[1]) {
				c.check(t, fmt.Sprintf("%s, u %v: %s", kinds[kind].name, errors[0], figureNames[i]))
				all[i] = all[i].plus(c)
			}
		}
	}
	for i, c := range all {
		c.check(t, fmt.Sprintf("in all, %s", figureNames[i]))
	}
	if c := all[2]; !missed(c.boldly, c.cases, 0.95) {
		t.Errorf("a bold statement about %s would have passed: %d of %d", figureNames[2], c.boldly, c.cases)
	}
}

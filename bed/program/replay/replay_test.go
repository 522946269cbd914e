package replay

import (
	"fmt"
	"math"
	"os"
	"testing"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/patternfile"
	"slatewright/bed/pattern/shape"
	"slatewright/bed/program"
	"slatewright/bed/program/gcode"
	"slatewright/bed/program/machine"
	"slatewright/bed/program/machinefile"
	"slatewright/bed/program/setup"
)

// shipped is the machine of the handbook.
func shipped(t interface{ Fatal(...any) }) machine.Machine {
	text, err := os.ReadFile("../../../docs/examples/program/machine.yaml")
	if err != nil {
		t.Fatal(err)
	}
	m, err := machinefile.Parse("machine.yaml", text)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// headPiece is an invented piece: rail bolts in two rows, screws with counterbores and countersinks, two corner pockets and a round opening.
func headPiece() setup.Job {
	j := setup.Job{Pattern: "invented", Revision: "1", Piece: "head", Stone: shape.Rectangle(shape.Point{X: -457, Y: -736.5}, shape.Point{X: 457, Y: 736.5}), Thickness: 25.4}
	tol := pattern.Tolerance{Position: 0.5, Diameter: 0.3, Depth: 0.5}
	for i := range 8 {
		for k, y := range []float64{-690, 690} {
			j.Bores = append(j.Bores, setup.Bore{Name: fmt.Sprintf("rb-%d%d", i+1, k+1), X: -280 + 80*float64(i), Y: y, Diameter: 12.7, Tolerance: tol})
		}
	}
	for i, x := range []float64{-300, 300} {
		for k, y := range []float64{-500, 0, 500} {
			b := setup.Bore{Name: fmt.Sprintf("bs-%d%d", i+1, k+1), X: x, Y: y, Diameter: 8, Tolerance: tol, Counter: &pattern.Counter{Diameter: 22, Depth: 9}}
			if k == 1 {
				b.Counter = &pattern.Counter{Diameter: 16, Depth: 4, Angle: math.Pi / 2}
			}
			j.Bores = append(j.Bores, b)
		}
	}
	for i, side := range []float64{-1, 1} {
		drop := shape.Contour{{X: -530, Y: -40}, {X: -387, Y: -60, Bulge: 0.6}, {X: -407, Y: 90}, {X: -530, Y: 60}}
		if side > 0 {
			drop = drop.Mirrored(false, true)
		}
		j.Cuts = append(j.Cuts, setup.Cut{Name: fmt.Sprintf("pocket %d", i+1), Outline: drop.Moved(0, 0, 733*side), Tolerance: tol})
	}
	j.Cuts = append(j.Cuts, setup.Cut{Name: "opening", Outline: shape.Circle(shape.Point{}, 40), Tolerance: tol})
	return j
}

// replayed follows a text on a setup.
func replayed(t testing.TB, text []byte, s *setup.Setup, m *machine.Machine) *Result {
	t.Helper()
	p, err := gcode.Parse("piece.nc", text, m.Control)
	if err != nil {
		t.Fatal(err)
	}
	c, err := gcode.Follow(p)
	if err != nil {
		t.Fatal(err)
	}
	return Of(c, s, m)
}

// written makes the programs of the invented piece and their setups.
func written(t testing.TB, m *machine.Machine) (list []*program.Program) {
	t.Helper()
	all, err := setup.Of(headPiece(), m)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range all {
		p, err := program.Write(s, m)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, p)
	}
	return list
}

// What is written passes its replay, in each way of care for the far face, with each form of holes and zeros.
func TestWhatIsWrittenRemovesWhatIsDrawn(t *testing.T) {
	seen := 0
	for _, way := range []machine.Way{machine.OnBoard, machine.BothFaces} {
		for _, canned := range []bool{false, true} {
			for _, zero := range []machine.Level{machine.Stone, machine.Board} {
				m := shipped(t)
				m.Break.Way, m.Control.Canned, m.ZeroZ, m.ZeroXY = way, canned, zero, machine.Middle
				if zero == machine.Board {
					m.ZeroXY, m.WorkX, m.WorkY = machine.Lower, 600, 400
				}
				for _, p := range written(t, &m) {
					r := replayed(t, p.Text, p.Setup, &m)
					for _, f := range r.Faults {
						t.Errorf("%s, canned %v, zero on the %s, %s up: %+v", way, canned, zero, p.Setup.Up, f)
					}
					if len(r.Made) != len(p.Setup.Targets) || len(r.Made) == 0 {
						t.Errorf("%d of %d targets are told", len(r.Made), len(p.Setup.Targets))
					}
					for _, made := range r.Made {
						seen++
						if made.Left > made.Limit || made.Over > 1e-3 || made.Depth < made.Wants-1e-3 {
							t.Errorf("%s: %+v", way, made)
						}
					}
				}
			}
		}
	}
	if seen < 200 {
		t.Errorf("only %d targets were looked at", seen)
	}
}

// What is removed against closed forms: 16 rail-bolt holes, 6 screw holes, 4 counterbores and 2 countersinks less what their holes take, the round opening;
// the pockets by their own lines and arcs.
func TestVolumeAgainstClosedForms(t *testing.T) {
	m := shipped(t)
	p := written(t, &m)[0]
	r := replayed(t, p.Text, p.Setup, &m)
	round := func(d float64) float64 { return math.Pi * d * d / 4 }
	want := 25.4*(16*round(12.7)+6*round(8)+round(80)) + 4*9*(round(22)-round(8))
	want += 2 * math.Pi * 4 / 3 * (64 + 32 + 16 - 3*16) // frustum of 16 to 8 over 4, less the hole's cylinder
	left, _, err := shape.Subtract(headPiece().Stone, headPiece().Cuts[0].Outline)
	if err != nil {
		t.Fatal(err)
	}
	want += 25.4 * 2 * (914*1473 - left[0].Area())
	// The tool goes a few thousandths beyond its wall by the rounding of places.
	if math.Abs(r.Stone-want) > 1e-5*want {
		t.Errorf("%.0f mm3, closed forms give %.0f", r.Stone, want)
	}
}

// planted is a program that is wrong in one way, and the codes that must be told of it.
// Every kind of fault is planted in a good program, caught, and named with its line and its target. None is told of the good program.
// A router that only goes round the wall leaves an island on a floor.
func TestIslandOnAFloor(t *testing.T) {
	m := shipped(t)
	m.Tools = append(m.Tools, machine.Tool{Number: 60, Name: "thin", Kind: machine.Router, Diameter: 6, Reach: 30, Speed: 5000, Feed: 300, Plunge: 100, Step: 4})
	j := headPiece()
	j.Cuts, j.Bores = nil, []setup.Bore{{Name: "recess", Diameter: 22, Depth: 3}}
	all, err := setup.Of(j, &m)
	if err != nil {
		t.Fatal(err)
	}
	text := "G21 G90 G54\nT60 M6\nS5000 M3\nG43 H60\nM8\nG0 Z60\nG0 X8 Y0\nG0 Z3\nG1 Z0 F100\nG3 X-8 Z-1.5 I-8 J0\nG3 X8 Z-3 I8 J0\nG3 X8 I-8 J0\nG0 Z60\nM30\n"
	r := replayed(t, []byte(text), all[0], &m)
	// The middle is 11 from the wall.
	if len(r.Faults) != 1 || r.Faults[0].Code != Left || r.Faults[0].Where != "recess" || math.Abs(r.Faults[0].By-11) > 0.3 {
		t.Errorf("%+v", r.Faults)
	}
	if made := r.Made[0]; math.Abs(made.Area-math.Pi*(121-25)) > 1 || made.Left != 0 {
		t.Errorf("%+v, a ring of %.2f is made", made, math.Pi*(121-25))
	}
}

// The four patterns of the handbook are written and replayed, every piece and face, on a board and from both faces.
func TestEveryPatternOfTheHandbook(t *testing.T) {
	programs := 0
	for _, way := range []machine.Way{machine.OnBoard, machine.BothFaces} {
		m := shipped(t)
		m.Break.Way = way
		for _, name := range []string{"seven-foot", "eight-foot", "nine-foot", "snooker-twelve-foot"} {
			p, err := patternfile.ReadFile("../../../docs/examples/bed/" + name + ".yaml")
			if err != nil {
				t.Fatal(err)
			}
			jobs, err := setup.From(p, "", 0)
			if err != nil {
				t.Fatal(err)
			}
			for _, j := range jobs {
				all, err := setup.Of(j, &m)
				if err != nil {
					t.Fatal(err)
				}
				for _, s := range all {
					w, err := program.Write(s, &m)
					if err != nil {
						t.Errorf("%s %s: %v", name, j.Piece, err)
						continue
					}
					programs++
					r := replayed(t, w.Text, s, &m)
					for _, f := range r.Faults {
						t.Errorf("%s, %s %s, %s up: %+v", way, name, j.Piece, s.Up, f)
					}
					for _, l := range w.Legs {
						if l.Bound > l.Travel+1e-9 || l.Bound < 0.9*l.Travel {
							t.Errorf("%s %s: %+v", name, j.Piece, l)
						}
					}
				}
			}
		}
	}
	if programs < 40 {
		t.Errorf("%d programs", programs)
	}
}

// A height of 3.9875 is rounded alike where it is reached on a slope and where it is held: found by a draw.
func TestHeightsAreRoundedAlike(t *testing.T) {
	m := shipped(t)
	j := headPiece()
	j.Cuts, j.Bores, j.Thickness = nil, []setup.Bore{{Name: "a", X: 270.2, Y: -381.5, Diameter: 15, Tolerance: pattern.Tolerance{Diameter: 0.2}, From: pattern.Bottom,
		Counter: &pattern.Counter{Diameter: 17.1, Angle: math.Pi / 2}}}, 21
	all, err := setup.Of(j, &m)
	if err != nil || len(all) != 2 {
		t.Fatal(err)
	}
	for _, s := range all {
		p, err := program.Write(s, &m)
		if err != nil {
			t.Fatal(err)
		}
		if r := replayed(t, p.Text, s, &m); len(r.Faults) > 0 {
			t.Errorf("%+v", r.Faults)
		}
	}
}

// Times by hand: a rapid move of 100, a cut of 50 at 600 mm/min, with 500 mm/s2.
func TestTimesByHand(t *testing.T) {
	m := shipped(t)
	m.Accelerate, m.Rapid, m.ChangeTime, m.SpindleTime, m.Flow = machine.Axes{XY: 500, Z: 500}, machine.Axes{XY: 12000, Z: 12000}, 7, 3, 6
	all, err := setup.Of(headPiece(), &m)
	if err != nil {
		t.Fatal(err)
	}
	r := replayed(t, []byte("G21 G90 G54\nT1 M6\nS100 M3\nG0 X0 Y0 Z50\nM8\nG0 X100\nG1 X150 F600\nG2 X150 Y-20 I0 J-10\nG1 Y-30\nM9\nG0 Z60\nM30\n"), all[0], &m)
	arc := math.Pi * 10
	// 200 mm/s and 500 mm/s2: full speed is reached over 80 mm; 10 mm/s is reached at once, and line and arc run on, and stop at the corner behind; 10 mm up are over before full speed.
	least := 7 + 3 + 100.0/200 + (50+arc)/10 + 10.0/10 + 10.0/200
	full := 7 + 3 + 100.0/200 + 200.0/500 + (50+arc)/10 + 10.0/500 + 10.0/10 + 10.0/500 + 2*math.Sqrt(10.0/500)
	if math.Abs(r.Least-least) > 1e-9 || math.Abs(r.Seconds-full) > 1e-9 {
		t.Errorf("%.6f and %.6f s, by hand %.6f and %.6f", r.Least, r.Seconds, least, full)
	}
	if wet := 100.0/200 + 200.0/500 + (50+arc)/10 + 10.0/500 + 10.0/10 + 10.0/500; math.Abs(r.Litres-wet/10) > 1e-9 {
		t.Errorf("%.6f l, by hand %.6f", r.Litres, wet/10)
	}
	m.Accelerate, m.Flow = machine.Axes{}, 0
	if r := replayed(t, []byte("G21 G90 G54\nG0 X0 Y0 Z50\nG0 X100\nM30\n"), all[0], &m); r.Seconds != 0 || r.Litres != 0 || r.Least != 0.5 {
		t.Errorf("%+v", r)
	}
}

// However wrong a program is, its replay ends, tells no more than can be read, and has no number that is none.

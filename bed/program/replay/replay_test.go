package replay

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

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
type planted struct {
	what  string
	wrong func(text string) string
	codes []string
	where string // target, or "" for any
}

// first replaces the first match of a pattern behind a mark.
func first(mark, pattern, by string) func(string) string {
	return func(text string) string {
		i := strings.Index(text, mark)
		if i < 0 {
			return ""
		}
		at := regexp.MustCompile(pattern).FindStringIndex(text[i:])
		if at == nil {
			return ""
		}
		return text[:i+at[0]] + regexp.MustCompile(pattern).ReplaceAllString(text[i+at[0]:i+at[1]], by) + text[i+at[1]:]
	}
}

// without takes the block of one target out.
func without(mark string) func(string) string {
	return func(text string) string {
		i := strings.Index(text, mark)
		if i < 0 {
			return ""
		}
		n := regexp.MustCompile(`\n(\(\d:|N\d+ M9\nN\d+ M5\nN\d+ [MT]\d+ )`).FindStringIndex(text[i+1:])
		return text[:i] + text[i+1+n[0]+1:]
	}
}

func every(pattern, by string) func(string) string {
	return func(text string) string { return regexp.MustCompile(pattern).ReplaceAllString(text, by) }
}

// aside moves all places of one target's block by 2 mm along x.
func aside(mark string) func(string) string {
	return func(text string) string {
		i := strings.Index(text, mark)
		end := i + 1 + strings.Index(text[i+1:], "\n("+mark[1:3])
		block := regexp.MustCompile(`X-?\d+\.\d+`).ReplaceAllStringFunc(text[i:end], func(x string) string {
			v, _ := strconv.ParseFloat(x[1:], 64)
			return fmt.Sprintf("X%.3f", v+2)
		})
		return text[:i] + block + text[end:]
	}
}

// turnedOver is the program of a piece that lies with the other face up.
func turnedOver(text string) string {
	text = regexp.MustCompile(`([XI])(-?\d)`).ReplaceAllString(text, "$1-$2")
	text = strings.NewReplacer("X--", "X", "I--", "I").Replace(text)
	return strings.NewReplacer("G2 ", "G3 ", "G3 ", "G2 ").Replace(text)
}

func plantedFaults() []planted {
	return []planted{
		{"a hole is left out", without("(2: RB-41)"), []string{Missing}, "rb-41"},
		{"a pocket is left out in both stages", func(s string) string { return without("(4: POCKET 1)")(without("(3: POCKET 1)")(s)) }, []string{Missing}, "pocket 1"},
		{"a pocket is never cut through", without("(4: POCKET 1)"), []string{Shallow}, "pocket 1"},
		{"a counterbore is left out", without("(1: BS-11 COUNTERBORE)"), []string{Missing}, "bs-11 counterbore"},
		{"a hole is 1 mm aside", first("(2: RB-41)", `Y-?690\.0|X-40\.0`, "X-41.0"), []string{Outside, Left}, "rb-41"},
		{"a hole is 0.3 mm aside", first("(2: RB-41)", `X-40\.0`, "X-40.3"), []string{Aside}, "rb-41"},
		{"a hole is drilled with the core bit of 12", every(`T2 M6`, "T9 M6"), []string{Size}, "rb-41"},
		{"a hole that nobody drew", first("(2: RB-41)", `(?s)G0 Z3\.0`, "G0 X-150.0 Y200.0\nG0 Z3.0"), []string{Outside, Missing}, ""},
		{"a hole is drilled with the other core bit", every(`T2 M6`, "T1 M6"), []string{Left}, "rb-41"},
		{"a hole stops short of the far face", first("(2: RB-41)", `Z-29\.4`, "Z-25.0"), []string{Shallow}, "rb-41"},
		{"a counterbore is 1 mm too deep", first("(1: BS-13 COUNTERBORE)", `(?s)Z-9\.0`, "Z-10.0"), []string{TooDeep}, "bs-13 counterbore"},
		{"a countersink is 1 mm too deep", first("(1: BS-22 COUNTERSINK)", `Z-7\.0`, "Z-8.0"), []string{Outside}, "bs-22 countersink"},
		{"a countersink is 1 mm too shallow", first("(1: BS-22 COUNTERSINK)", `Z-7\.0`, "Z-6.0"), []string{Shallow}, "bs-22 countersink"},
		{"a rapid move over the stone is too low", first("(2: RB-41)", `(?s)\nN\d+ G0 [^\n]*\nN\d+ G0 Z3\.0`, "\nG0 Z-5.0$0"), []string{RapidInStone}, ""},
		{"a hole is drilled by a rapid move", first("(2: RB-41)", `G1 Z-8\.0( F40\.0)?`, "G0 Z-8.0"), []string{RapidInStone}, "rb-41"},
		{"it goes through the board", first("(2: RB-41)", `Z-29\.4`, "Z-44.0"), []string{IntoTable}, ""},
		{"it goes beyond the travel", first("(3: POCKET 1)", `G0 X-?\d+\.\d+`, "G0 X1200.0\n$0"), []string{Travel}, "X"},
		{"the spindle stands", first("T2 M6", ` M3\n`, "\n"), []string{SpindleOff}, "T2"},
		{"the spindle turns too fast", every(`S3600\.0`, "S6000.0"), []string{SpindleFast}, "T2"},
		{"the water is off", first("T2 M6", `M8\n`, "M9\n"), []string{Dry}, "T2"},
		{"the length is not taken in", first("T2 M6", `G43 H2`, "G49"), []string{NoLength}, "T2"},
		{"the zero of the work is missing", every(`N\d+ G54\n`, ""), []string{NoZero}, ""},
		{"a tool that is not there", every(`T2 M6`, "T77 M6"), []string{NoTool, Missing}, ""},
		{"it feeds too fast", first("(2: RB-41)", `G1 Z-8\.0( F40\.0)?`, "G1 Z-8.0 F80.0"), []string{FeedFast}, "rb-41"},
		{"it comes out too fast", first("(2: RB-41)", `Z-29\.4 F16\.0`, "Z-29.4 F40.0"), []string{BreakFast}, "rb-41"},
		{"a core bit is moved along", first("(2: RB-41)", `(Z-29\.4 F16\.0)`, "$1\nG1 X-40.2"), []string{Sideways}, "rb-41"},
		{"a router goes straight down", first("(3: OPENING)", `G1 Z0\.0 F120\.0`, "G1 Z-5.0 F120.0"), []string{StraightDown}, "opening"},
		{"a router takes two steps at once", first("(3: POCKET 1)", `(?s)Z-4\.\d+( F120\.0)?`, "Z-12.0 F120.0"), []string{Step}, "pocket 1"},
		{"a pocket is cut 2 mm aside", aside("(4: POCKET 1)"), []string{Outside}, "pocket 1"},
		{"the piece lies the other way", turnedOver, []string{Outside, Missing}, ""},
		{"it goes down before its place is given", first("N60 ", `G0 Z60\.0`, "G0 Z-5.0"), []string{Unplaced}, ""},
		{"the program has no end", every(`N\d+ M30\n`, ""), []string{NoEnd}, ""},
	}
}

// Every kind of fault is planted in a good program, caught, and named with its line and its target. None is told of the good program.
func TestPlantedFaultsAreNamed(t *testing.T) {
	m := shipped(t)
	p := written(t, &m)[0]
	told := map[string]bool{}
	for _, c := range plantedFaults() {
		text := c.wrong(string(p.Text))
		if text == string(p.Text) || text == "" {
			t.Errorf("%s: nothing was planted", c.what)
			continue
		}
		r := replayed(t, []byte(text), p.Setup, &m)
		for _, code := range c.codes {
			found := slices.ContainsFunc(r.Faults, func(f Fault) bool {
				placed := f.Line > 0 || code == Missing || code == Left || code == Shallow || code == NoEnd || code == Size || code == Aside
				return f.Code == code && placed && f.What != "" && (c.where == "" || f.Where == c.where)
			})
			if !found {
				t.Errorf("%s: no %s at %q among %+v", c.what, code, c.where, r.Faults)
			}
			told[code] = true
		}
		if len(c.codes) > 0 && len(r.Faults) > 18 && c.where != "" {
			t.Errorf("%s: %d faults are told", c.what, len(r.Faults))
		}
	}
	for _, code := range []string{Travel, NoTool, NoLength, NoZero, SpindleOff, SpindleFast, Dry, FeedFast, BreakFast, RapidInStone, IntoTable, Outside, TooDeep, Sideways,
		StraightDown, Step, Missing, Left, Shallow, Size, Aside, NoEnd, Unplaced} {
		if !told[code] {
			t.Errorf("no planted program shows %s", code)
		}
	}
}

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

// The four patterns of the handbook are written and replayed, every piece and face.
func TestEveryPatternOfTheHandbook(t *testing.T) {
	m := shipped(t)
	pieces := 0
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
				pieces++
				r := replayed(t, w.Text, s, &m)
				for _, f := range r.Faults {
					t.Errorf("%s %s, %s up: %+v", name, j.Piece, s.Up, f)
				}
				t.Log(name, j.Piece, s.Up, len(s.Targets), w.Notes, r.Seconds/60, w.Legs)
			}
		}
	}
	if pieces < 20 {
		t.Errorf("%d programs", pieces)
	}
}

// Whatever is drawn of holes the machine has tools for, and of round and long cuts, from either face, is written and passes its replay; what it removes is what
// closed forms say.
func TestEveryDrawnPieceIsMade(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := shipped(t)
		m.Break.Way = rapid.SampledFrom([]machine.Way{machine.OnBoard, machine.BothFaces}).Draw(t, "way")
		m.Control.Canned = rapid.Bool().Draw(t, "canned")
		if rapid.Bool().Draw(t, "from the board's corner") {
			m.ZeroXY, m.ZeroZ, m.WorkX, m.WorkY = machine.Lower, machine.Board, 600, 400
		}
		j, area := drawnPiece(t)
		all, err := setup.Of(j, &m)
		if err != nil {
			t.Fatal(err)
		}
		through := 0.0
		for _, s := range all {
			w, err := program.Write(s, &m)
			if err != nil {
				t.Fatal(err)
			}
			p, err := gcode.Parse("piece.nc", w.Text, m.Control)
			if err != nil {
				t.Fatal(err)
			}
			c, err := gcode.Follow(p)
			if err != nil {
				t.Fatal(err)
			}
			got := Of(c, s, &m)
			if len(got.Faults) > 0 {
				t.Fatalf("%s up: %+v\n%s", s.Up, got.Faults, w.Text)
			}
			for k, made := range got.Made {
				if target := s.Targets[k]; target.Kind != setup.Cone && !target.Floored() {
					through += made.Area
				}
			}
		}
		if m.Break.Way == machine.BothFaces {
			area *= 2 // each face removes its half of all
		}
		if math.Abs(through-area) > 1e-4*area {
			t.Fatalf("%.2f mm2 go through, closed forms give %.2f", through, area)
		}
	})
}

// drawnPiece draws a piece, with the area that goes through it by closed forms.
func drawnPiece(t *rapid.T) (j setup.Job, area float64) {
	j = setup.Job{Pattern: "drawn", Revision: "1", Piece: "one", Thickness: float64(rapid.IntRange(18, 45).Draw(t, "thickness")),
		Stone: shape.Rectangle(shape.Point{X: -450, Y: -700}, shape.Point{X: 450, Y: 700})}
	tol := pattern.Tolerance{Position: 0.4, Diameter: 0.2, Depth: 0.3}
	mm := func(low, high int, name string) float64 {
		return float64(rapid.IntRange(10*low, 10*high).Draw(t, name)) / 10
	}
	face := func() pattern.Face {
		return rapid.SampledFrom([]pattern.Face{pattern.Top, pattern.Bottom}).Draw(t, "face")
	}
	for i := range rapid.IntRange(0, 14).Draw(t, "holes") {
		b := setup.Bore{Name: fmt.Sprintf("h%d", i), X: -390 + 60*float64(i) + mm(-5, 5, "x"), Y: mm(-650, -250, "y"), Tolerance: tol, From: face(),
			Diameter: rapid.SampledFrom([]float64{7, 8, 9, 12, 12.7, 15}).Draw(t, "bit")}
		area += math.Pi * b.Diameter * b.Diameter / 4
		switch rapid.IntRange(0, 4).Draw(t, "kind") {
		case 0:
			area -= math.Pi * b.Diameter * b.Diameter / 4
			b.Diameter = mm(26, 45, "wide") // by a router
			area += math.Pi * b.Diameter * b.Diameter / 4
		case 1:
			b.Counter = &pattern.Counter{Diameter: mm(17, 40, "counterbore"), Depth: mm(2, 12, "depth"), From: face()}
		case 2:
			b.Counter = &pattern.Counter{Diameter: b.Diameter + mm(2, 10, "countersink"), Angle: math.Pi / 2, From: face()}
		case 3:
			area -= math.Pi * b.Diameter * b.Diameter / 4
			b.Diameter, b.Depth = rapid.SampledFrom([]float64{4, 6, 10, 22.5}).Draw(t, "blind"), mm(2, 15, "blind depth")
		}
		j.Bores = append(j.Bores, b)
	}
	for i := range rapid.IntRange(1, 3).Draw(t, "cuts") {
		at, r, long := shape.Point{X: -300 + 300*float64(i), Y: mm(-60, 60, "cut y")}, mm(15, 50, "cut r"), mm(0, 60, "long")
		c := shape.Circle(at, r)
		if long > 1 {
			c = shape.Contour{{X: at.X - long, Y: at.Y - r}, {X: at.X + long, Y: at.Y - r, Bulge: 1}, {X: at.X + long, Y: at.Y + r}, {X: at.X - long, Y: at.Y + r, Bulge: 1}}
		}
		area += c.Area()
		j.Cuts = append(j.Cuts, setup.Cut{Name: fmt.Sprintf("c%d", i), Outline: c, Tolerance: tol, From: face()})
	}
	// A drop about the middle of the far side, round, with flanks that open by an angle.
	r, open := mm(30, 70, "drop"), mm(0, 1, "open")*0.6
	sin, cos := math.Sincos(open)
	y := mm(640, 690, "drop y")
	flank := (720 - y + r*sin) / cos
	drop := shape.Contour{{X: r*cos + flank*sin, Y: 720}, {X: -r*cos - flank*sin, Y: 720}, {X: -r * cos, Y: y - r*sin, Bulge: math.Tan((math.Pi - 2*open) / 4)}, {X: r * cos, Y: y - r*sin}}
	left, _, err := shape.Subtract(j.Stone, drop)
	if err != nil {
		t.Fatal(err)
	}
	j.Cuts = append(j.Cuts, setup.Cut{Name: "drop", Outline: drop, Tolerance: tol, From: face()})
	return j, area + j.Stone.Area() - left[0].Area()
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
	r := replayed(t, []byte("G21 G90 G54\nT1 M6\nS100 M3\nG0 X0 Y0 Z50\nM8\nG0 X100\nG1 X150 F600\nG2 X150 Y-20 I0 J-10\nM9\nG0 Z60\nM30\n"), all[0], &m)
	arc := math.Pi * 10
	// 200 mm/s and 500 mm/s2: full speed is reached over 80 mm; 10 mm/s is reached at once, and line and arc run on; 10 mm up are over before full speed.
	least := 7 + 3 + 100.0/200 + (50+arc)/10 + 10.0/200
	full := 7 + 3 + 100.0/200 + 200.0/500 + (50+arc)/10 + 10.0/500 + 2*math.Sqrt(10.0/500)
	if math.Abs(r.Least-least) > 1e-9 || math.Abs(r.Seconds-full) > 1e-9 {
		t.Errorf("%.6f and %.6f s, by hand %.6f and %.6f", r.Least, r.Seconds, least, full)
	}
	if wet := 100.0/200 + 200.0/500 + (50+arc)/10 + 10.0/500; math.Abs(r.Litres-wet/10) > 1e-9 {
		t.Errorf("%.6f l, by hand %.6f", r.Litres, wet/10)
	}
	m.Accelerate, m.Flow = machine.Axes{}, 0
	if r := replayed(t, []byte("G21 G90 G54\nG0 X0 Y0 Z50\nG0 X100\nM30\n"), all[0], &m); r.Seconds != 0 || r.Litres != 0 || r.Least != 0.5 {
		t.Errorf("%+v", r)
	}
}

// However wrong a program is, its replay ends, tells no more than can be read, and has no number that is none.
func FuzzReplay(f *testing.F) {
	m := shipped(f)
	j := headPiece()
	j.Bores, j.Cuts = j.Bores[14:20], j.Cuts[1:]
	all, err := setup.Of(j, &m)
	if err != nil {
		f.Fatal(err)
	}
	for _, p := range []string{"G21 G90 G54\nT2 M6\nS3000 M3\nG43 H2\nM8\nG0 X0 Y0 Z5\nG83 X-300 Y0 Z-29 R3 Q5 F40\nG80\nM30\n",
		"G21 G90\nT4 M6\nG1 X0 Y0 Z-5 F9\nG3 X0 Y0 Z-20 I30 J0\nG2 X600 Y10 I300 J5\n", "G21 G90\nT5 M6\nF1\nG1 Z-7\nX-300Y0\nG0 X-9999"} {
		f.Add([]byte(p))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		p, err := gcode.Parse("piece.nc", text, m.Control)
		if err != nil {
			return
		}
		c, err := gcode.Follow(p)
		if err != nil {
			return
		}
		r := Of(c, all[0], &m)
		if len(r.Faults) > mostFaults+1 || len(r.Faults) == 0 {
			t.Fatalf("%d faults", len(r.Faults))
		}
		for _, v := range []float64{r.Least, r.Seconds, r.Litres, r.Stone, r.Low.X, r.High.Z, r.Cut, r.Rapid} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%+v", r)
			}
		}
		for _, made := range r.Made {
			if v := made.Over + made.Left + made.Area + made.Drawn; math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%+v", made)
			}
		}
	})
}

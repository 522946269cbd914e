package program_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/patternfile"
	"slatewright/bed/pattern/shape"
	"slatewright/bed/program"
	"slatewright/bed/program/gcode"
	"slatewright/bed/program/machine"
	"slatewright/bed/program/machinefile"
	"slatewright/bed/program/setup"
	"slatewright/trouble"
)

// shipped is the machine of the handbook.
func shipped(t testing.TB) machine.Machine {
	t.Helper()
	text, err := os.ReadFile("../../docs/examples/program/machine.yaml")
	if err != nil {
		t.Fatal(err)
	}
	m, err := machinefile.Parse("machine.yaml", text)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// every writes the programs of all patterns of the handbook, with the patterns' names.
func every(t testing.TB, m *machine.Machine) (list []*program.Program) {
	t.Helper()
	for _, name := range []string{"seven-foot", "eight-foot", "nine-foot", "snooker-twelve-foot"} {
		p, err := patternfile.ReadFile("../../docs/examples/bed/" + name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		jobs, err := setup.From(p, "", 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, j := range jobs {
			list = append(list, written(t, j, m)...)
		}
	}
	return list
}

func written(t testing.TB, j setup.Job, m *machine.Machine) (list []*program.Program) {
	t.Helper()
	all, err := setup.Of(j, m)
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

func course(t testing.TB, p *program.Program, m *machine.Machine) *gcode.Course {
	t.Helper()
	read, err := gcode.Parse("piece.nc", p.Text, m.Control)
	if err != nil {
		t.Fatal(err)
	}
	c, err := gcode.Follow(read)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// plate is a piece of 800 by 1200 with what is given.
func plate(bores []setup.Bore, cuts ...setup.Cut) setup.Job {
	return setup.Job{Pattern: "plate", Revision: "1", Piece: "head", Thickness: 25, Bores: bores, Cuts: cuts,
		Stone: shape.Rectangle(shape.Point{X: -400, Y: -600}, shape.Point{X: 400, Y: 600})}
}

// independent follows programs by a general-purpose library that has nothing to do with ours.
type independent struct {
	Motion, Spindle, Coolant, WCS string
	Tool                          int
	From, To                      [3]float64
	Middle                        []float64
}

func follow(t *testing.T, files []string) (all [][]independent) {
	t.Helper()
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("node is not here")
	}
	library, err := filepath.Abs("../../internal/web/script/node_modules/gcode-toolpath")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(library); err != nil {
		if _, err := exec.LookPath("npm"); err != nil {
			t.Skip("npm is not here: the library was not fetched")
		}
		t.Fatalf("%s is not here: run 'make pages', which fetches it", library)
	}
	var out, wrong bytes.Buffer
	cmd := exec.Command(node, append([]string{"testdata/follow.cjs", library}, files...)...)
	cmd.Stdout, cmd.Stderr = &out, &wrong
	if err := cmd.Run(); err != nil {
		t.Fatalf("%v\n%s", err, wrong.String())
	}
	if err := json.Unmarshal(out.Bytes(), &all); err != nil {
		t.Fatal(err)
	}
	return all
}

// ours joins the parts of arcs, and gives the moves as the library does.
func ours(c *gcode.Course) (list []gcode.Move) {
	for _, m := range c.Moves {
		if n := len(list); n > 0 && list[n-1].Line == m.Line && m.Way.Radius > 0 && !m.Rapid && !list[n-1].Rapid {
			list[n-1].To = m.To
			continue
		}
		list = append(list, m)
	}
	return list
}

// An independent reader of G-code sees the same moves, tools, spindle, water and zero in every program of the handbook.
func TestAnIndependentReaderSeesTheSameMoves(t *testing.T) {
	m := shipped(t)
	programs := every(t, &m)
	dir := t.TempDir()
	var files []string
	for i, p := range programs {
		file := filepath.Join(dir, fmt.Sprintf("%d.nc", i))
		if err := os.WriteFile(file, p.Text, 0o644); err != nil {
			t.Fatal(err)
		}
		files = append(files, file)
	}
	seen := 0
	for i, theirs := range follow(t, files) {
		mine := ours(course(t, programs[i], &m))
		if len(mine) != len(theirs) || len(mine) == 0 {
			t.Errorf("program %d: %d moves, the library sees %d", i, len(mine), len(theirs))
			continue
		}
		for k, a := range mine {
			b := theirs[k]
			seen++
			far := math.Max(math.Hypot(a.To.X-b.To[0], a.To.Y-b.To[1]), math.Abs(a.To.Z-b.To[2]))
			motion := map[bool]string{true: "G0", false: "G1"}[a.Rapid]
			if a.Way.Radius > 0 {
				motion = map[bool]string{true: "G3", false: "G2"}[a.Way.Sweep > 0]
				far = math.Max(far, math.Hypot(a.Way.Centre.X-b.Middle[0], a.Way.Centre.Y-b.Middle[1]))
			}
			// The middle of our arc is worked out anew from its ends, which are rounded.
			if far > 2e-3 || motion != b.Motion || a.Tool != b.Tool || a.Turning != (b.Spindle == "M3") || a.Water != (b.Coolant == "M8") || a.Work != b.WCS {
				t.Fatalf("program %d, line %d: %+v, the library sees %+v", i, a.Line, a, b)
			}
		}
	}
	if seen < 4000 {
		t.Errorf("%d moves were compared", seen)
	}
}

func TestSameInputSameBytes(t *testing.T) {
	m := shipped(t)
	first, second := every(t, &m), every(t, &m)
	for i := range first {
		if !bytes.Equal(first[i].Text, second[i].Text) {
			t.Errorf("program %d differs from itself", i)
		}
	}
}

// Every program begins with its warnings, in words that a control shows.
func TestHeadsWarn(t *testing.T) {
	m := shipped(t)
	for _, p := range every(t, &m) {
		read, err := gcode.Parse("piece.nc", p.Text, m.Control)
		if err != nil {
			t.Fatal(err)
		}
		head := strings.Join(read.Comments[:min(20, len(read.Comments))], " ")
		for _, w := range append(program.Warnings(), "! Invented machine: not for use") {
			if !strings.Contains(head, strings.ToUpper(strings.TrimSuffix(w, "."))) {
				t.Errorf("%s %s: no %q in %q", p.Setup.Job.Piece, p.Setup.Up, w, head)
			}
		}
		if first := bytes.IndexByte(p.Text, 'G'); bytes.Index(p.Text, []byte("DRY RUN")) > first && first >= 0 && !bytes.Contains(p.Text[:first], []byte("(")) {
			t.Error("a word stands before the warnings")
		}
		for i, line := range strings.Split(string(p.Text), "\n") {
			if len(line) > 80 {
				t.Errorf("line %d is %d long: %s", i+1, len(line), line)
			}
		}
	}
}

// The order keeps the stone strong: no stage comes back, holes before cuts, all cuts stand on their web before the first goes through, the smallest first.
func TestOrderKeepsTheStoneStrong(t *testing.T) {
	m := shipped(t)
	round := func(name string, x, r float64) setup.Cut {
		return setup.Cut{Name: name, Outline: shape.Circle(shape.Point{X: x}, r)}
	}
	j := plate([]setup.Bore{{Name: "a", X: -300, Y: 500, Diameter: 8, Counter: &pattern.Counter{Diameter: 22, Depth: 8}}, {Name: "b", X: 300, Y: -500, Diameter: 12.7},
		{Name: "blind", X: 100, Y: 300, Diameter: 6, Depth: 10}}, round("large", -200, 80), round("small", 0, 30), round("middle", 200, 60)) // on a tour small would stand between the others
	p := written(t, j, &m)[0]
	var stages []int
	var through []string
	for _, found := range regexp.MustCompile(`(?m)^\((\d): (.*)\)$`).FindAllStringSubmatch(string(p.Text), -1) {
		stages = append(stages, int(found[1][0]-'0'))
		if found[1] == "4" {
			through = append(through, found[2])
		}
	}
	if !slices.IsSorted(stages) || len(stages) != 10 {
		t.Errorf("the stages are %v", stages)
	}
	if !slices.Equal(through, []string{"SMALL", "MIDDLE", "LARGE"}) {
		t.Errorf("cut through in the order %v", through)
	}
	deepest := 0.0
	for _, move := range course(t, p, &m).Moves {
		line := strings.Count(string(p.Text[:strings.Index(string(p.Text), "(4: SMALL)")]), "\n")
		if move.Line < line && move.Tool == 4 {
			deepest = math.Min(deepest, move.To.Z)
		}
	}
	if want := -(j.Thickness - m.Break.Web); math.Abs(deepest-want) > 1e-3 {
		t.Errorf("cuts go to %g before the first goes through; the web is left at %g", deepest, want)
	}
}

// The tool in the spindle goes on where it can.
func TestToolsAreChangedAsSeldomAsCanBe(t *testing.T) {
	m := shipped(t)
	// The 12 mm router makes a counterbore and a cut too narrow for the 20 mm one, which makes a counterbore too: one change more than tools would be two.
	j := plate([]setup.Bore{{Name: "a", Diameter: 8, Counter: &pattern.Counter{Diameter: 16, Depth: 8}}, {Name: "b", X: 300, Diameter: 12.7, Counter: &pattern.Counter{Diameter: 40, Depth: 8}}},
		setup.Cut{Name: "narrow", Outline: shape.Rectangle(shape.Point{X: -200, Y: 100}, shape.Point{X: -100, Y: 114}), Tolerance: pattern.Tolerance{Diameter: 6}})
	p := written(t, j, &m)[0]
	if p.Changes != 5 { // 4, 3, then 1, 2 for the holes, then 3 again: the holes stand between
		t.Errorf("%d changes", p.Changes)
	}
	j.Bores[0].Diameter, j.Bores[1].Diameter = 12.7, 12.7
	j.Bores[0].Counter.Diameter = 22
	if p := written(t, j, &m)[0]; p.Changes != 4 {
		t.Errorf("%d changes where one core bit makes all holes", p.Changes)
	}
}

// A new tool goes up before it goes over: it may be longer than the one before.
func TestANewToolGoesUpFirst(t *testing.T) {
	m := shipped(t)
	changes := 0
	for _, p := range every(t, &m) {
		lines := strings.Split(string(p.Text), "\n")
		for i, line := range lines {
			if !strings.Contains(line, " G43 H") {
				continue
			}
			changes++
			rest := slices.DeleteFunc(slices.Clone(lines[i+1:i+4]), func(l string) bool { return strings.HasPrefix(l, "(") })
			if !regexp.MustCompile(`^N\d+ G0 Z60\.0$`).MatchString(rest[0]) || !regexp.MustCompile(`^N\d+ G0 X\S+ Y\S+$`).MatchString(rest[1]) {
				t.Errorf("behind %q: %q", line, rest)
			}
		}
	}
	if changes < 40 {
		t.Errorf("%d changes", changes)
	}
}

// With the bottom up, x is mirrored: what the drawing has at (120, 340) is drilled at (−120, 340), to the depth it wants.
func TestTurnedOverXIsMirrored(t *testing.T) {
	m := shipped(t)
	j := plate([]setup.Bore{{Name: "a", X: 120, Y: 340, Diameter: 6, Depth: 10, From: pattern.Bottom}, {Name: "b", X: 120, Y: 340 - 100, Diameter: 8}})
	both := written(t, j, &m)
	if len(both) != 2 || both[0].Setup.Up != pattern.Bottom || both[1].Setup.Up != pattern.Top {
		t.Fatalf("%d setups", len(both))
	}
	for i, want := range []gcode.Place{{X: -120, Y: 340, Z: -10}, {X: 120, Y: 240, Z: -29}} {
		low := gcode.Place{}
		for _, move := range course(t, both[i], &m).Moves {
			if move.To.Z < low.Z {
				low = move.To
			}
		}
		if low != want {
			t.Errorf("drilled at %+v, want %+v", low, want)
		}
	}
	if !strings.Contains(string(both[0].Text), "X IS MIRRORED") {
		t.Error("nobody is told that x is mirrored")
	}
	m.ZeroXY = machine.Lower
	if p := written(t, j, &m)[0]; !strings.Contains(string(p.Text), "X280.0 Y940.0") { // from the corner at (−400, −600)
		t.Errorf("from the corner:\n%s", p.Text)
	}
}

// A router comes to a wall and leaves it along the wall: no corner on the way but those of the drawing.
func TestLeadsAreTangential(t *testing.T) {
	m := shipped(t)
	j := plate([]setup.Bore{{Name: "wide", X: 200, Diameter: 44}, {Name: "recess", X: 200, Y: 300, Diameter: 50, Depth: 10}},
		setup.Cut{Name: "round", Outline: shape.Circle(shape.Point{X: -200}, 40)},
		setup.Cut{Name: "stadium", Outline: shape.Contour{{X: -50, Y: -320}, {X: 50, Y: -320, Bulge: 1}, {X: 50, Y: -240}, {X: -50, Y: -240, Bulge: 1}}})
	looked := 0
	for _, p := range written(t, j, &m) {
		moves := course(t, p, &m).Moves
		for i := 1; i < len(moves); i++ {
			a, b := moves[i-1], moves[i]
			if a.Rapid || b.Rapid || a.Straight() || b.Straight() {
				continue
			}
			if b.Way.Radius == 0 && b.Way.Length() < 20 && a.Way.Radius > 0 && math.Abs(b.Way.From.Y-300) < 30 || a.Way.Radius == 0 && math.Abs(a.Way.To.Y-300) < 30 {
				continue // from the wall of a floor back to its middle
			}
			ux, uy := ends(a.Way, true)
			vx, vy := ends(b.Way, false)
			looked++
			if turn := math.Abs(math.Atan2(ux*vy-uy*vx, ux*vx+uy*vy)); turn > 2e-3 {
				t.Errorf("line %d: the way turns by %.4f rad after %+v", b.Line, turn, a.Way)
			}
		}
	}
	if looked < 80 {
		t.Errorf("%d joins were looked at", looked)
	}
}

// The tool leaves a cut through the stone on a way that it has cut at that depth before: what it would have to cut may be loose.
func TestTheWasteIsLeftThroughWhatIsCut(t *testing.T) {
	m := shipped(t)
	looked := 0
	for _, p := range written(t, plate([]setup.Bore{{Name: "wide", X: 200, Diameter: 44}}, setup.Cut{Name: "round", Outline: shape.Circle(shape.Point{X: -200}, 40)}), &m) {
		moves := course(t, p, &m).Moves
		for i := 1; i < len(moves); i++ {
			last := moves[i-1]
			if !moves[i].Rapid || last.Rapid || last.To.Z > -p.Setup.Thickness {
				continue
			}
			looked++
			before := slices.ContainsFunc(moves[:i-1], func(b gcode.Move) bool {
				return b.From == last.From && b.To == last.To && math.Abs(b.Way.Bulge-last.Way.Bulge) < 1e-9
			})
			if !before {
				t.Errorf("line %d leaves on a way of its own: %+v", last.Line, last)
			}
		}
	}
	if looked != 2 {
		t.Errorf("%d ways out", looked)
	}
	// And it goes round once only where it comes out.
	for _, p := range written(t, plate(nil, setup.Cut{Name: "round", Outline: shape.Circle(shape.Point{X: -200}, 40)}), &m) {
		levels := map[float64]bool{}
		for _, move := range course(t, p, &m).Moves {
			if !move.Rapid && move.From.Z == move.To.Z && move.To.Z <= -p.Setup.Thickness {
				levels[move.To.Z] = true
			}
		}
		if len(levels) != 1 {
			t.Errorf("it goes round at %v below the stone", levels)
		}
	}
}

// ends is the direction of a way at one of its ends.
func ends(s shape.Segment, end bool) (x, y float64) {
	t := 0.0
	if end {
		t = 1
	}
	if s.Radius == 0 {
		return s.To.X - s.From.X, s.To.Y - s.From.Y
	}
	p := s.Along(t)
	x, y = -(p.Y - s.Centre.Y), p.X-s.Centre.X
	if s.Sweep < 0 {
		x, y = -x, -y
	}
	return x, y
}

// A corner that no router reaches is named, with what stays: for a square corner (√2 − 1) of the thinnest radius.
func TestSharpCornersAreNamed(t *testing.T) {
	m := shipped(t)
	j := plate(nil, setup.Cut{Name: "square", Outline: shape.Rectangle(shape.Point{X: -60, Y: -60}, shape.Point{X: 60, Y: 60}), Tolerance: pattern.Tolerance{Diameter: 0.2}})
	p := written(t, j, &m)[0]
	want := fmt.Sprintf("%.2f mm of stone stay there", 6*(math.Sqrt2-1))
	if len(p.Notes) != 1 || !strings.Contains(p.Notes[0], "square: the corner at X") || !strings.Contains(p.Notes[0], want) || !strings.Contains(string(p.Text), "NOTE: SQUARE") {
		t.Errorf("%q, want %q", p.Notes, want)
	}
	j.Cuts[0].Tolerance.Diameter = 3
	if p := written(t, j, &m)[0]; len(p.Notes) != 0 || p.Legs[0].Tool != 3 {
		t.Errorf("within 3 mm: %q by T%d", p.Notes, p.Legs[0].Tool)
	}
	j.Cuts[0].Tolerance.Diameter = 5
	if p := written(t, j, &m)[0]; p.Legs[0].Tool != 4 { // 4.14 mm stay
		t.Errorf("within 5 mm by T%d, the thicker one reaches", p.Legs[0].Tool)
	}
}

func TestWhatNoToolMakesIsNamed(t *testing.T) {
	m := shipped(t)
	for _, c := range []struct {
		what string
		job  setup.Job
		says string
	}{
		{"a hole between two bits", plate([]setup.Bore{{Name: "odd", Diameter: 10.3}}), "no tool makes odd: 10.3 mm across, 29 mm deep"},
		{"a blind hole for a core bit", plate([]setup.Bore{{Name: "blind", Diameter: 8, Depth: 10}}), "no tool makes blind: 8 mm across, 10 mm deep"},
		{"a countersink of another angle", plate([]setup.Bore{{Name: "cone", Diameter: 8, Counter: &pattern.Counter{Diameter: 16, Depth: 4, Angle: math.Pi / 3}}}), "no tool makes cone countersink"},
		{"a cut that is too narrow", plate(nil, setup.Cut{Name: "slit", Outline: shape.Rectangle(shape.Point{X: -60}, shape.Point{X: 60, Y: 8})}), "no router cuts slit"},
	} {
		all, err := setup.Of(c.job, &m)
		if err != nil {
			t.Fatal(err)
		}
		_, err = program.Write(all[0], &m)
		if at := new(trouble.Trouble); !errors.As(err, &at) || at.Code != "no-tool" || !strings.Contains(at.What, c.says) || at.Next == "" {
			t.Errorf("%s: %v", c.what, err)
		}
	}
}

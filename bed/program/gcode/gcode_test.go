package gcode_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatewright/bed/pattern/shape"
	"slatewright/bed/program/gcode"
	"slatewright/bed/program/machine"
	"slatewright/trouble"
)

// control knows what is followed, and a word of its own for the water.
var control = machine.Control{Knows: strings.Fields("G0 G1 G2 G3 G4 G17 G21 G40 G43 G49 G54 G55 G64 G80 G81 G83 G90 G94 G98 G99 M0 M2 M3 M5 M6 M8 M9 M10 M30 M88 M89 G91"),
	Places: 3, Change: "T{tool} M6", Length: "G43 H{tool}", Start: "M3", Stop: "M5", Water: "M88", Dry: "M89", Pause: "M0"}

func run(t testing.TB, text string) (*gcode.Course, error) {
	t.Helper()
	p, err := gcode.Parse("p.nc", []byte(text), control)
	if err != nil {
		return nil, err
	}
	return gcode.Follow(p)
}

const begin = "G21 G90 G94 G17\nG0 X0 Y0 Z10\nF100\n"

// What is not understood is refused, with its line.
func TestRefusedWithItsLine(t *testing.T) {
	for _, c := range []struct{ text, line, what string }{
		{"G21\nG5 X1", "2", "does not know G5"},
		{"G21\nM7", "2", "does not know M7"},
		{"G91", "1", "G91 cannot be followed"},
		{"G90\nG0 X1", "2", "before G21 and G90"},
		{"G21\nG0 X1", "2", "before G21 and G90"},
		{begin + "G0 A3", "4", "A3 cannot be followed"},
		{begin + "G0 X#1", "4", "no number"},
		{begin + "#1=3", "4", "cannot be followed"},
		{begin + "/G0 X1", "4", "cannot be followed"},
		{begin + "g0 X1", "4", "cannot be followed"},
		{begin + "G0 X1 X2", "4", "X stands twice"},
		{begin + "G0 G1 X2", "4", "G0 and G1"},
		{begin + "G0 X", "4", "no number"},
		{begin + "G0 X1e3", "4", "cannot be followed"},
		{begin + "G0 X1.2.3", "4", "no number"},
		{begin + "G0 X900000", "4", "no place on a machine"},
		{begin + "G0 X1 N10", "4", "behind other words"},
		{begin + "(open", "4", "does not end"},
		{begin + "(a (b) c)", "4", "within a comment"},
		{begin + "G2 X10 Y0 R5", "4", "no middle"},
		{begin + "G2 X10 Y0", "4", "no middle"},
		{begin + "G2 X10 Y0 I4 J0", "4", "begins 4.0000 mm from its middle and ends 6.0000"},
		{begin + "G4", "4", "no time"},
		{begin + "G81 X1 Y1 Z-5", "4", "no R"},
		{begin + "G83 X1 Y1 Z-5 R2", "4", "no Q"},
		{begin + "G83 X1 Y1 Z-5 R2 Q0", "4", "Q0"},
		{begin + "G81 X1 Y1 Z5 R2", "4", "up to"},
		{"G21 G90\nG1 X1", "2", "no feed"},
		{"G21 G90\nX1", "2", "no motion"},
		{begin + "G80\nX1", "5", "no motion"},
		{begin + "M30\nG0 X1", "5", "behind its end"},
	} {
		_, err := run(t, c.text)
		if at := new(trouble.Trouble); !errors.As(err, &at) || at.Code != "bad-program" || at.Where != "p.nc:"+c.line || !strings.Contains(at.What, c.what) || at.Next == "" {
			t.Errorf("%q: %v", c.text, err)
		}
	}
}

// State by state: tool, spindle, water by the machine's own word, length, zero.
func TestStateIsFollowed(t *testing.T) {
	c, err := run(t, "%\nO12 (TITLE)\nN10 G21 G90 G94 G54\nT3 M6\nG0X5.Y-2.5 ; no spaces\nS3000 M3\nG43 H3\nM88\nM10\nG1 Z-1 F50\nG55\nX7\nM89 M5\nG0 Z5\nT4 M6\nX0\nM30\n%\n")
	if err != nil {
		t.Fatal(err)
	}
	want := []gcode.State{{Tool: 3, Work: "G54"}, {Tool: 3, Speed: 3000, Turning: true, Water: true, Measured: true, Work: "G54"},
		{Tool: 3, Speed: 3000, Turning: true, Water: true, Measured: true, Work: "G55"}, {Tool: 3, Speed: 3000, Measured: true, Work: "G55"}, {Tool: 4, Speed: 3000, Work: "G55"}}
	if len(c.Moves) != len(want) || !c.Ended || len(c.Changes) != 2 || c.Starts != 1 {
		t.Fatalf("%+v", c)
	}
	for i, w := range want {
		if c.Moves[i].State != w {
			t.Errorf("move %d: %+v, want %+v", i, c.Moves[i].State, w)
		}
	}
	if m := c.Moves[2]; m.Rapid || m.Feed != 50 || m.From != (gcode.Place{X: 5, Y: -2.5, Z: -1}) || m.To != (gcode.Place{X: 7, Y: -2.5, Z: -1}) {
		t.Errorf("a modal feed: %+v", m)
	}
}

// Arcs against closed forms: a full turn, three quarters, a helix, both ways round.
func TestArcs(t *testing.T) {
	for _, c := range []struct {
		text   string
		turned float64 // of a turn
		left   bool
		z      float64
	}{
		{"G3 X0 Y0 I10 J0", 1, true, 10}, {"G2 I10 J0", 1, false, 10}, {"G3 X10 Y-10 I10 J0", 0.25, true, 10}, {"G2 X10 Y-10 I10 J0", 0.75, false, 10},
		{"G3 X20 Y0 Z-4 I10 J0", 0.5, true, -4}, {"G2 X10 Y-10 I10 J0 Z-4", 0.75, false, -4},
	} {
		got, err := run(t, begin+c.text+"\nM30")
		if err != nil {
			t.Fatal(err)
		}
		l := 0.0
		for _, m := range got.Moves[1:] {
			l += m.Way.Length()
			if m.Way.Sweep > 0 != c.left || math.Abs(m.Way.Sweep) > math.Pi+1e-6 || math.Abs(m.Way.Radius-10) > 1e-9 || math.Hypot(m.Way.Centre.X-10, m.Way.Centre.Y) > 1e-9 {
				t.Errorf("%s: %+v", c.text, m.Way)
			}
			// The height goes down evenly.
			if want := 10 + (c.z-10)*l/(2*math.Pi*10*c.turned); math.Abs(m.To.Z-want) > 1e-9 {
				t.Errorf("%s: at %g, want %g", c.text, m.To.Z, want)
			}
		}
		if want := 2 * math.Pi * 10 * c.turned; math.Abs(l-want) > 1e-9 {
			t.Errorf("%s: %.6f long, want %.6f", c.text, l, want)
		}
	}
}

// Cycles write out as the moves that they stand for, and go on from line to line.
func TestCycles(t *testing.T) {
	heights := func(text string) (list []float64) {
		c, err := run(t, begin+text+"\nM30")
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range c.Moves[1:] {
			list = append(list, m.To.X, m.To.Z)
		}
		return list
	}
	for _, c := range []struct {
		text string
		want []float64
	}{
		{"G98 G81 X5 Y0 Z-8 R2\nG80", []float64{5, 10, 5, 2, 5, -8, 5, 10}},
		{"G99 G81 X5 Y0 Z-8 R2\nX6\nG80", []float64{5, 10, 5, 2, 5, -8, 5, 2, 6, 2, 6, 2, 6, -8, 6, 2}},
		{"G98 G83 X5 Y0 Z-8 R2 Q5\nG80", []float64{5, 10, 5, 2, 5, -3, 5, 2, 5, -2.5, 5, -8, 5, 10}},
	} {
		got := heights(c.text)
		if len(got) != len(c.want) {
			t.Errorf("%s: %v, want %v", c.text, got, c.want)
			continue
		}
		for i := range got {
			if math.Abs(got[i]-c.want[i]) > 1e-9 {
				t.Errorf("%s: %v, want %v", c.text, got, c.want)
				break
			}
		}
	}
}

// What is written is read again, move by move, at the places that the decimals leave.
func TestWhatIsWrittenIsReadAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := gcode.NewWriter(control)
		w.Words("G21", "G90")
		w.Begin(gcode.Place{X: 1, Y: 2, Z: 3})
		place := func(name string) float64 { return float64(rapid.IntRange(-9000, 9000).Draw(t, name)) / 7 }
		var want []gcode.Place
		for range rapid.IntRange(1, 12).Draw(t, "moves") {
			before := w.At()
			from := shape.Point{X: before.X, Y: before.Y}
			to := shape.Point{X: place("x"), Y: place("y")}
			bulge := float64(rapid.IntRange(-10, 10).Draw(t, "bulge")) / 10
			if math.Hypot(to.X-from.X, to.Y-from.Y) < 1 {
				bulge = 0
			}
			if rapid.Bool().Draw(t, "rapid") {
				w.Rapid(gcode.Place{X: to.X, Y: to.Y, Z: place("z")})
			} else {
				w.Cut(shape.NewSegment(from, to, bulge), place("z"), float64(rapid.IntRange(1, 900).Draw(t, "feed")))
			}
			if w.At() != before {
				want = append(want, w.At())
			}
		}
		p, err := gcode.Parse("p.nc", w.Bytes(), control)
		if err != nil {
			t.Fatal(err)
		}
		c, err := gcode.Follow(p)
		if err != nil {
			t.Fatalf("%v\n%s", err, w.Bytes())
		}
		var got []gcode.Place
		for i, m := range c.Moves[2:] {
			if i+3 < len(c.Moves) && c.Moves[i+3].Line == m.Line {
				continue // a part of an arc
			}
			got = append(got, m.To)
		}
		if len(got) != len(want) {
			t.Fatalf("%d moves, want %d\n%s", len(got), len(want), w.Bytes())
		}
		for i := range got {
			if math.Hypot(got[i].X-want[i].X, got[i].Y-want[i].Y) > 1e-9 || math.Abs(got[i].Z-want[i].Z) > 1e-9 {
				t.Fatalf("%+v, want %+v\n%s", got[i], want[i], w.Bytes())
			}
		}
	})
}

func TestNumbersHaveTheirPoint(t *testing.T) {
	w := gcode.NewWriter(control)
	for v, want := range map[float64]string{1: "1.0", 0: "0.0", -0.0001: "0.0", 12.3456: "12.346", -7.5: "-7.5", 100: "100.0"} {
		if got := w.Number(v); got != want {
			t.Errorf("%g is written %q, want %q", v, got, want)
		}
	}
}

// No text makes the reader or the follower fall over, and every place that a move has is finite.
func FuzzProgram(f *testing.F) {
	f.Add([]byte(begin + "G2 X10 Y0 I5 J0\nG83 X1 Y1 Z-5 R2 Q1\nG80\nM30\n"))
	f.Add([]byte("%\nO1\n(A)\nN10 G21 G90 G54\nT1 M6\nG1 X1 F10\nG3 I1 J0 Z-1\n"))
	f.Add([]byte("G21G90G99G81X0Y0Z-1R1F1\nX2\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		p, err := gcode.Parse("p.nc", text, control)
		if err != nil {
			if at := new(trouble.Trouble); !errors.As(err, &at) {
				t.Fatalf("%v is no trouble", err)
			}
			return
		}
		c, err := gcode.Follow(p)
		if err != nil {
			if at := new(trouble.Trouble); !errors.As(err, &at) {
				t.Fatalf("%v is no trouble", err)
			}
			return
		}
		for _, m := range c.Moves {
			if l := m.Length(); math.IsNaN(l) || math.IsInf(l, 0) {
				t.Fatalf("%+v", m)
			}
		}
	})
}

package toolmarks_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"slatewright/chance"
	"slatewright/internal/rehearsal/grinding"
	"slatewright/internal/truth"
	"slatewright/surfacing/toolmarks"
	"slatewright/trouble"
)

func TestHollowAgainstTruth(t *testing.T) {
	rows := truth.SpindleTilts()
	if len(rows) == 0 {
		t.Fatal("no rows")
	}
	for _, row := range rows {
		if got := toolmarks.Hollow(row.Diameter, row.Width, row.Tilt); math.Abs(got-row.Formula) > 1e-6 || math.Abs(got-row.Brute) > 2e-6 {
			t.Errorf("disc %g, track %g, lean %g: %.6f, want %.6f", row.Diameter, row.Width, row.Tilt, got, row.Formula)
		}
	}
	if got := toolmarks.Step(200, 0.00025); math.Abs(got-0.05) > 1e-8 {
		t.Errorf("a step of %g", got)
	}
}

// lines are places on so many lines across the tracks (along t), step apart.
func lines(n int, size [2]float64, step float64) (s, t []float64) {
	for i := range n {
		for x := -size[1]/2 + 10; x <= size[1]/2-10; x += step {
			s, t = append(s, (float64(i)/float64(n-1)-0.5)*(size[0]-100)), append(t, x)
		}
	}
	return s, t
}

var piece = [2]float64{914, 1473}

func cut(m grinding.Machine, n int, step float64) toolmarks.Map {
	s, t := lines(n, piece, step)
	z, d := m.Cut(s, t), chance.NewStream(uint64(n)).Split("noise")
	for i := range z {
		z[i] += 5e-4 * d.Normal()
	}
	return toolmarks.Map{Name: "cut", S: s, T: t, Z: z, Size: piece, Day: math.NaN()}
}

func sound() grinding.Machine {
	return grinding.Machine{Diameter: 400, Rim: 10, Bits: 60, Pitch: 200, First: -630, Tracks: 7, Travel: 700, Feed: 15}
}

var facts = toolmarks.Facts{Diameter: 400, Pitch: 200, Turn: 15, Order: toolmarks.Alternate}

func look(t *testing.T, f toolmarks.Facts, maps ...toolmarks.Map) *toolmarks.Finding {
	t.Helper()
	got, err := toolmarks.Look(maps, f)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// Without noise, what was built in is found again, to a twentieth.
func TestLeansAreFoundAgain(t *testing.T) {
	for _, c := range []struct {
		along, across float64
		cause         toolmarks.Cause
	}{{3e-4, 0, toolmarks.LeanAlong}, {-3e-4, 0, toolmarks.LeanAlong}, {0, 8e-5, toolmarks.LeanAcross}, {0, -8e-5, toolmarks.LeanAcross}} {
		m := sound()
		m.Along, m.Across = c.along, c.across
		f := look(t, facts, cut(m, 5, 14))
		if f.First() != c.cause {
			t.Errorf("%+v: %q", c, f.First())
			continue
		}
		lean := f.Marks[0].Leans
		if e := math.Abs(lean[0].Value - math.Abs(c.along)); e > 0.05*3e-4 {
			t.Errorf("along %g: found %g", c.along, lean[0].Value)
		}
		if e := math.Abs(lean[1].Value - c.across); e > 0.05*8e-5 {
			t.Errorf("across %g: found %g", c.across, lean[1].Value)
		}
		if f.Pitch == nil || math.Abs(f.Pitch.Value-200) > 8 {
			t.Errorf("%+v: pitch %v", c, f.Pitch)
		}
	}
}

func TestPitchIsFound(t *testing.T) {
	m := sound()
	m.Along = 4e-4
	f := facts
	f.Pitch = 0
	got := look(t, f, cut(m, 5, 14))
	if got.Pitch == nil || math.Abs(got.Pitch.Value-200) > 6 || got.Pitch.Low > 200 || got.Pitch.High < 200 {
		t.Errorf("pitch %+v", got.Pitch)
	}
	f.Pitch = 260 // what the machine's book says may be wrong
	got = look(t, f, cut(m, 5, 14))
	if !strings.Contains(strings.Join(got.Warnings, " "), "repeat every") {
		t.Errorf("a wrong pitch is not seen: %q", got.Warnings)
	}
}

// A map that is too coarse says so, and names no mark.
func TestCoarseMapsAreBlind(t *testing.T) {
	m := sound()
	m.Along = 3e-4
	f := facts
	f.Pitch = 200
	got := look(t, f, cut(m, 7, 100))
	if len(got.Marks) != 0 || len(got.Blind) == 0 || !strings.Contains(got.Blind[0], "cannot be seen in lines 100 mm apart") {
		t.Errorf("marks %+v, blind %q", got.Marks, got.Blind)
	}
}

// Nothing is found where nothing is, and in a face that was cut in one go.
func TestNothingIsFoundInNothing(t *testing.T) {
	for _, f := range []toolmarks.Facts{facts, {}, {Diameter: 400}} {
		if got := look(t, f, cut(sound(), 5, 14)); len(got.Marks) != 0 {
			t.Errorf("%+v: %+v", f, got.Marks)
		}
	}
}

// The wedge's cause: told by pieces cut from both ends, and not by pieces cut alike.
func TestWedgesAreToldApart(t *testing.T) {
	build := func(wear float64, bed func(s, t float64) float64, starts ...int) (maps []toolmarks.Map) {
		for _, start := range starts {
			m := sound()
			m.Wear, m.Bed, m.Backward, m.OneWay = wear, bed, start < 0, true
			one := cut(m, 5, 20)
			for _, p := range [][2]float64{{-300, -600}, {300, -600}, {300, 600}, {-300, 600}, {0, -600}, {0, 600}} {
				one.Calipers = append(one.Calipers, [3]float64{p[0], p[1], 25.4 + m.Cut(p[:1], p[1:])[0]})
			}
			one.Start = start
			maps = append(maps, one)
		}
		return maps
	}
	leans := func(s, t float64) float64 { return -5e-5 * t }
	f := facts
	f.Order = toolmarks.OneWay
	for _, c := range []struct {
		name string
		maps []toolmarks.Map
		want toolmarks.Cause
	}{
		{"bed, both ends", build(0, leans, 1, -1, 1, -1), toolmarks.Bed},
		{"wear, both ends", build(0.06, nil, 1, -1, 1, -1), toolmarks.Wear},
		{"bed, one end", build(0, leans, 1, 1, 1), toolmarks.Wedge},
	} {
		if got := look(t, f, c.maps...); got.First() != c.want {
			t.Errorf("%s: %q, want %q: %+v", c.name, got.First(), c.want, got.Marks)
		}
	}
}

func TestRefused(t *testing.T) {
	good := cut(sound(), 3, 20)
	bad := good
	bad.Z = append([]float64{math.NaN()}, good.Z[1:]...)
	for _, c := range []struct {
		maps []toolmarks.Map
		f    toolmarks.Facts
		code string
	}{
		{nil, facts, "no-maps"},
		{[]toolmarks.Map{{S: []float64{1}, T: []float64{1}, Z: []float64{1}}}, facts, "few-readings"},
		{[]toolmarks.Map{bad}, facts, "bad-reading"},
		{[]toolmarks.Map{good}, toolmarks.Facts{Diameter: 100, Pitch: 200}, "bad-machine"},
		{[]toolmarks.Map{good}, toolmarks.Facts{Diameter: math.NaN()}, "bad-machine"},
		{[]toolmarks.Map{good}, toolmarks.Facts{Turn: -1}, "bad-machine"},
	} {
		_, err := toolmarks.Look(c.maps, c.f)
		var wrong *trouble.Trouble
		if !errors.As(err, &wrong) || wrong.Code != c.code {
			t.Errorf("want %s, got %v", c.code, err)
		}
	}
}

// Odd maps do no harm: one line, one column, all readings at one place, a plane.
func TestOddMaps(t *testing.T) {
	line := func(n int, f func(i int) (s, t, z float64)) toolmarks.Map {
		m := toolmarks.Map{Name: "odd", Size: piece, Day: math.NaN()}
		for i := range n {
			s, t, z := f(i)
			m.S, m.T, m.Z = append(m.S, s), append(m.T, t), append(m.Z, z)
		}
		return m
	}
	for i, m := range []toolmarks.Map{
		line(40, func(i int) (s, t, z float64) { return float64(i) * 20, 0, 0.01 * float64(i%3) }),
		line(40, func(i int) (s, t, z float64) { return 0, float64(i) * 20, 0.01 * float64(i%3) }),
		line(40, func(i int) (s, t, z float64) { return 5, 5, float64(i) }),
		line(400, func(i int) (s, t, z float64) { return float64(i%20) * 40, float64(i/20) * 60, 1e-3 * float64(i%20) }),
		line(400, func(i int) (s, t, z float64) {
			return float64(i * i % 907), float64(i * i * i % 1451), 0.01 * float64(i%7)
		}),
	} {
		got := look(t, facts, m)
		for _, k := range got.Marks {
			if math.IsNaN(k.Strength.Value + k.Probability + k.Strength.Low + k.Strength.High) {
				t.Errorf("map %d: %+v", i, k)
			}
		}
	}
}

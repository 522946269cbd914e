package drafting

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatewright/internal/picture/ink"
)

func TestBoxes(t *testing.T) {
	b := Box{0, 0, 10, 5}
	for _, c := range []struct {
		p    part
		want bool
	}{{part{At(-5, 2), At(15, 2)}, true}, {part{At(2, 1), At(3, 2)}, true}, {part{At(-5, 6), At(15, 6)}, false}, {part{At(-1, -1), At(-1, 8)}, false},
		{part{At(-4, 0), At(4, 8)}, true}, {part{At(-4, 2), At(4, 10)}, false}, {part{At(0, -1), At(0, 6)}, false}} {
		if got := b.crossed(c.p); got != c.want {
			t.Errorf("%v: %v", c.p, got)
		}
	}
	p, q, ok := b.cut(At(-5, 2), At(15, 2))
	if !ok || p != At(0, 2) || q != At(10, 2) {
		t.Errorf("%v to %v", p, q)
	}
}

// The box of turned words is that of the words, turned to the left about their place.
func TestBoxOfTurnedWords(t *testing.T) {
	d := New(0.35, 1)
	for _, a := range []ink.Align{ink.Left, ink.Middle, ink.Right} {
		flat := d.BoxOf(Text{At: At(0, 0), Words: "−1300.64", Height: Least, Align: a})
		up := d.BoxOf(Text{At: At(0, 0), Words: "−1300.64", Height: Least, Align: a, Turned: true})
		// (x, y) on the sheet turns to (y, −x).
		if math.Abs(up.X0-flat.Y0) > 1e-12 || math.Abs(up.X1-flat.Y1) > 1e-12 || math.Abs(up.Y0+flat.X1) > 1e-12 || math.Abs(up.Y1+flat.X0) > 1e-12 {
			t.Errorf("%v: %v, flat %v", a, up, flat)
		}
	}
}

// What lies over something is told: the measure by which sheets are judged must find a planted fault of each kind.
func TestClashesAreFound(t *testing.T) {
	plant := func(f func(d *Drawing)) int {
		d := New(0.35, 1)
		d.Width, d.Height = 100, 100
		d.Words("L", 20, 50, "first")
		f(d)
		return len(d.Clashes())
	}
	for name, c := range map[string]struct {
		f    func(d *Drawing)
		want int
	}{
		"nothing":  {func(*Drawing) {}, 0},
		"words":    {func(d *Drawing) { d.Words("L", 22, 51, "second") }, 1},
		"a line":   {func(d *Drawing) { d.Line("L", Thin, At(0, 49), At(90, 49)) }, 1},
		"an arc":   {func(d *Drawing) { d.Circle("L", Thin, At(22, 60), 11, "") }, 1},
		"arrow":    {func(d *Drawing) { d.Arrow("L", At(22, 49), 1, 0) }, 1},
		"the edge": {func(d *Drawing) { d.Words("L", 99, 20, "second") }, 1},
		"beside":   {func(d *Drawing) { d.Line("L", Thin, At(0, 52), At(90, 52)); d.Words("L", 40, 50, "third") }, 0},
	} {
		if got := plant(c.f); got != c.want {
			t.Errorf("%s: %d clashes, want %d", name, got, c.want)
		}
	}
}

// However places crowd, no figure of a chain lies over another or over a line, and figures keep their order.
func TestChainsDoNotClash(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 30).Draw(t, "places")
		d := New(0.35, 1)
		d.Width, d.Height = 400, 400
		c := Chain{Upright: rapid.Bool().Draw(t, "upright"), Side: 1, Level: 180, Datum: 150, Low: 60, High: 240}
		if rapid.Bool().Draw(t, "other side") {
			c.Side = -1
		}
		known := map[int]bool{}
		for range n {
			at := rapid.IntRange(700, 2300).Draw(t, "at")
			if !known[at] {
				known[at] = true
				c.Entries = append(c.Entries, Entry{At: float64(at) / 10, From: 180 - c.Side*20, Words: "−1234.56"})
			}
		}
		d.Chain(c)
		if list := d.Clashes(); len(list) > 0 {
			t.Fatal(list)
		}
		slots := c.slots()
		for i := 1; i < len(slots); i++ {
			if slots[i]-slots[i-1] < slot-1e-9 {
				t.Fatalf("%v", slots)
			}
		}
		if c.Fits() && (slots[0] < c.Low || slots[len(slots)-1] > c.High) {
			t.Fatalf("%v beyond %v to %v", slots, c.Low, c.High)
		}
	})
}

// Marks find their places among lines and words, and lie over nothing.
func TestMarksLieOverNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := New(0.35, 1)
		d.Width, d.Height = 200, 150
		for range rapid.IntRange(0, 12).Draw(t, "lines") {
			x := func() float64 { return float64(rapid.IntRange(0, 200).Draw(t, "x")) }
			d.Line("L", Thin, At(x(), x()*0.75), At(x(), x()*0.75))
		}
		for range rapid.IntRange(1, 25).Draw(t, "marks") {
			at := At(float64(rapid.IntRange(20, 180).Draw(t, "mx")), float64(rapid.IntRange(20, 130).Draw(t, "my")))
			d.Mark("M", at, 1, "E12", Box{2, 2, 198, 148})
		}
		if list := d.Clashes(); len(list) > 0 {
			t.Fatal(list)
		}
	})
}

// A hatched ring with a hole in it has lines in the one and none in the other, as long together as the area over the pitch.
func TestHatch(t *testing.T) {
	d := New(0.35, 1)
	square := func(x0, y0, x1, y1 float64) []Point {
		return []Point{At(x0, y0), At(x1, y0), At(x1, y1), At(x0, y1)}
	}
	d.Hatch("H", 0.5, square(0, 0, 40, 30), square(10, 10, 20, 25))
	long := 0.0
	hole := Box{10, 10, 20, 25}.Grown(-1e-6)
	for _, s := range d.Strokes {
		a, b := s.Curve.C[0].Point, s.Curve.C[1].Point
		long += math.Hypot(a.X-b.X, a.Y-b.Y)
		if hole.crossed(part{a, b}) {
			t.Fatalf("a line from %v to %v in the hole", a, b)
		}
	}
	if want := (1200 - 150) / 0.5; math.Abs(long-want) > 0.02*want {
		t.Errorf("%.1f mm of lines, want %.1f", long, want)
	}
}

// An arc's flat points lie on its circle, on the side that its bulge says.
func TestFlat(t *testing.T) {
	half := ink.Curve{C: []ink.Corner{{Point: At(10, 0), Bulge: 1}, {Point: At(-10, 0)}}}
	p := Flat(half, 0.01)
	for _, q := range p {
		if math.Abs(math.Hypot(q.X, q.Y)-10) > 1e-9 || q.Y > 1e-9 {
			t.Errorf("%v: turns left on the sheet, over the top", q)
		}
	}
	if len(p) < 30 {
		t.Errorf("%d points", len(p))
	}
}

// Moved, a drawing is written as before, moved.
func TestMove(t *testing.T) {
	made := func() *Drawing {
		d := New(0.35, 10)
		d.Width, d.Height = 100, 80
		d.Across(10, 40, 10, 20, "300")
		d.Upright(10, 40, 10, 50, "300")
		d.Leader("L", At(5, 5), At(20, 20), "R5", true)
		d.Datum("D", At(50, 50), 1, 0, "A")
		d.Frame("F", 10, 60, "⌀1", "A", "B")
		d.Circle("H", Wide, At(30, 30), 3, "one")
		d.Origin = At(10, 10)
		return d
	}
	var a, b bytes.Buffer
	d, e := made(), made()
	e.Move(7, 9)
	if d.DXF(&a) != nil || e.DXF(&b) != nil || a.String() != b.String() {
		t.Error("the DXF of a moved drawing differs, though its origin moved with it")
	}
	x, y := d.Bounds(), e.Bounds()
	if math.Abs(y.X0-x.X0-7) > 1e-9 || math.Abs(y.Y1-x.Y1-9) > 1e-9 {
		t.Errorf("%v, %v", x, y)
	}
	var s bytes.Buffer
	if d.SVG(&s) != nil || !strings.Contains(s.String(), "<title>one</title></circle>") {
		t.Error("the circle has lost its name")
	}
}

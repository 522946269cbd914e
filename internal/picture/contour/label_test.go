package contour

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func drawBox(t *rapid.T, name string) Box {
	f := func(low, high float64, what string) float64 { return rapid.Float64Range(low, high).Draw(t, name+what) }
	return Box{At: Point{f(-10, 10, "x"), f(-10, 10, "y")}, W: f(1, 12, "w"), H: f(1, 6, "h"), Angle: f(-3.2, 3.2, "angle")}
}

// holds says whether the box holds the point: the slow way by which Overlaps and Crosses are checked.
func (b Box) holds(p Point) bool {
	return Box{At: p, W: 1e-12, H: 1e-12}.within(b)
}

func TestOverlapsAgreesWithSampling(t *testing.T) {
	both := 0
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawBox(t, "a"), drawBox(t, "b")
		if a.Overlaps(b) != b.Overlaps(a) {
			t.Fatal("not symmetric")
		}
		sampled := false
		u, v := a.axes()
		for i := -20; i <= 20; i++ {
			for j := -20; j <= 20; j++ {
				s, r := float64(i)/20.5, float64(j)/20.5
				sampled = sampled || b.holds(Point{a.At.X + s*u.X + r*v.X, a.At.Y + s*u.Y + r*v.Y})
			}
		}
		if sampled && !a.Overlaps(b) {
			t.Fatalf("%v and %v share a point and are said not to overlap", a, b)
		}
		if a.Overlaps(b) && !a.Grown(0.7).Overlaps(b.Grown(0.7)) {
			t.Fatal("growing parted them")
		}
		if !sampled && a.Overlaps(b) && !a.Grown(0.7).sampledWith(b.Grown(0.7)) {
			t.Fatalf("%v and %v are said to overlap, and even when grown share no point", a, b)
		}
		if sampled {
			both++
		}
	})
	if both == 0 {
		t.Error("no pair overlapped")
	}
}

func (b Box) sampledWith(o Box) bool {
	u, v := b.axes()
	for i := -40; i <= 40; i++ {
		for j := -40; j <= 40; j++ {
			s, r := float64(i)/40, float64(j)/40
			if o.holds(Point{b.At.X + s*u.X + r*v.X, b.At.Y + s*u.Y + r*v.Y}) {
				return true
			}
		}
	}
	return false
}

func TestCrossesAgreesWithSampling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBox(t, "b")
		p := Point{rapid.Float64Range(-15, 15).Draw(t, "px"), rapid.Float64Range(-15, 15).Draw(t, "py")}
		q := Point{rapid.Float64Range(-15, 15).Draw(t, "qx"), rapid.Float64Range(-15, 15).Draw(t, "qy")}
		along := func(box Box) bool {
			for k := 0; k <= 2000; k++ {
				s := float64(k) / 2000
				if box.holds(Point{p.X + s*(q.X-p.X), p.Y + s*(q.Y-p.Y)}) {
					return true
				}
			}
			return false
		}
		if along(b.Grown(-0.03)) && !b.Crosses(p, q) {
			t.Fatal("a line through the box was not seen")
		}
		if b.Crosses(p, q) && !along(b.Grown(0.03)) {
			t.Fatal("a line beside the box was taken for one through it")
		}
	})
}

// hills is a face with several summits, mapped to paper with y down.
func hills(t *testing.T) []Line {
	t.Helper()
	m := mesh(t, grid(61, 61, 80, 60, func(x, y float64) float64 {
		return math.Sin(x/17) + math.Cos(y/13) + 0.3*math.Sin((x+2*y)/9)
	}), 5)
	var lines []Line
	for z := -1.75; z <= 1.75; z += 0.5 {
		for _, l := range m.Lines(z) {
			lines = append(lines, l.Map(func(p Point) Point { return Point{p.X + 100, 80 - p.Y} }).Simplify(0.02))
		}
	}
	if len(lines) < 10 {
		t.Fatalf("only %d lines", len(lines))
	}
	return lines
}

func TestLabelsStandClear(t *testing.T) {
	lines := hills(t)
	bounds := Box{At: Point{100, 80}, W: 158, H: 118}
	p := NewPlacer(bounds, lines)
	blocked := Box{At: Point{100, 80}, W: 30, H: 20}
	p.Block(blocked)
	const w, h = 5.0, 1.4
	perLine := make([][]Label, len(lines))
	var all []Box
	for i := range lines {
		perLine[i] = p.Along(i, w, h)
		for _, l := range perLine[i] {
			all = append(all, l.Box)
		}
	}
	if len(all) < 12 {
		t.Fatalf("only %d labels", len(all))
	}
	for i, a := range all {
		if a.Overlaps(blocked) { // property 1
			t.Errorf("label %d stands on the blocked box", i)
		}
		for _, b := range all[:i] {
			if a.Overlaps(b) {
				t.Errorf("labels at %v and %v overlap", a.At, b.At)
			}
		}
		if a.Angle <= -math.Pi/2 || a.Angle > math.Pi/2 || !a.within(bounds) { // property 2
			t.Errorf("label %d at %v is turned by %g", i, a.At, a.Angle)
		}
	}
	for i, labels := range perLine { // property 3
		r := newRuler(lines[i])
		for _, l := range labels {
			for k, other := range lines {
				for s := range other.sides() {
					a, b := other.side(s)
					if k != i && l.Box.Crosses(a, b) {
						t.Errorf("line %d runs through a label of line %d", k, i)
					}
				}
			}
			c, d := math.Cos(l.Angle), math.Sin(l.Angle)
			for k := 0; k <= 50; k++ {
				q := r.at(l.From + (l.To-l.From)*float64(k)/50)
				if off := math.Abs((q.Y-l.At.Y)*c - (q.X-l.At.X)*d); off > 0.25*h {
					t.Errorf("beneath a label %g high line %d bends by %g", h, i, off)
				}
			}
		}
	}
}

func TestCutLeavesTheGaps(t *testing.T) {
	lines := hills(t)
	p := NewPlacer(Box{At: Point{100, 80}, W: 158, H: 118}, lines)
	closed, open := 0, 0
	for i, l := range lines {
		labels := p.Along(i, 5, 1.4)
		parts := Cut(l, labels)
		var left, gaps float64
		for _, part := range parts {
			if part.Closed && len(labels) > 0 {
				t.Errorf("line %d: a ring with a label in it is still closed", i)
			}
			left += part.Length()
		}
		for _, g := range labels {
			gaps += g.To - g.From
		}
		if math.Abs(left+gaps-l.Length()) > 1e-6 {
			t.Errorf("line %d of length %g: %g drawn and %g left out", i, l.Length(), left, gaps)
		}
		for _, part := range parts {
			for k := range part.sides() {
				a, b := part.side(k)
				for _, g := range labels {
					core := g.Box
					core.W, core.H = 0.8*core.W, 0.5*core.H
					if core.Crosses(a, b) {
						t.Errorf("line %d is drawn through its own label", i)
					}
				}
			}
		}
		if len(labels) > 0 && l.Closed {
			closed++
		} else if len(labels) > 0 {
			open++
		}
	}
	if closed == 0 || open == 0 {
		t.Errorf("labels on %d closed and %d open lines; want both", closed, open)
	}
}

func TestCrowdedLinesGetNoLabel(t *testing.T) {
	var lines []Line
	for i := range 20 {
		y := 10 + 0.5*float64(i)
		lines = append(lines, Line{P: []Point{{0, y}, {100, y}}})
	}
	p := NewPlacer(Box{At: Point{50, 15}, W: 100, H: 30}, lines)
	for i := 1; i < 19; i++ {
		if l := p.Along(i, 5, 1.4); len(l) != 0 {
			t.Errorf("line %d between neighbours 0.5 mm away got a label", i)
		}
	}
	if p.Free(Box{At: Point{50, 15}, W: 5, H: 1.4}) {
		t.Error("a place full of lines is said to be free")
	}
	if !p.Free(Box{At: Point{50, 5}, W: 5, H: 1.4}) {
		t.Error("an empty place is said to be taken")
	}
}

func TestALineThatComesBackIsNotLabelledThere(t *testing.T) {
	hairpin := Line{P: []Point{{10, 10}, {60, 10}, {60, 10.4}, {10, 10.4}}}
	if got := NewPlacer(Box{At: Point{50, 10}, W: 100, H: 20}, []Line{hairpin}).Along(0, 5, 1.4); len(got) != 0 {
		t.Errorf("a label stands across both arms of a hairpin: %v", got)
	}
	wide := Line{P: []Point{{10, 5}, {60, 5}, {60, 15}, {10, 15}}}
	if got := NewPlacer(Box{At: Point{50, 10}, W: 100, H: 20}, []Line{wide}).Along(0, 5, 1.4); len(got) == 0 {
		t.Error("a bow with room between its arms got no label")
	}
}

func TestLongLinesGetMoreLabels(t *testing.T) {
	long := Line{P: []Point{{0, 10}, {300, 10}}}
	p := NewPlacer(Box{At: Point{150, 10}, W: 300, H: 20}, []Line{long})
	labels := p.Along(0, 5, 1.4)
	if len(labels) < 3 {
		t.Errorf("%d labels on 300 mm", len(labels))
	}
	for i := range labels {
		for j := range labels[:i] {
			if math.Abs(labels[i].From-labels[j].From) < labelApart {
				t.Error("two labels stand close together")
			}
		}
	}
}

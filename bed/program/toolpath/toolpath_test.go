package toolpath

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"slatewright/bed/pattern/shape"
)

func at(x, y float64) shape.Point { return shape.Point{X: x, Y: y} }

func around(paths []Path) (l float64) {
	for _, p := range paths {
		l += p.Length()
	}
	return l
}

// Closed forms: a circle, a rectangle, and a stadium whose half circles shrink.
func TestWithinHasTheLengthOfItsClosedForm(t *testing.T) {
	stadium := shape.Contour{{X: -50, Y: -20}, {X: 50, Y: -20, Bulge: 1}, {X: 50, Y: 20}, {X: -50, Y: 20, Bulge: 1}}
	for _, c := range []struct {
		name  string
		c     shape.Contour
		r     float64
		paths int
		want  float64
	}{
		{"circle", shape.Circle(at(3, 4), 20), 6, 1, 2 * math.Pi * 14},
		{"circle that is too small", shape.Circle(at(3, 4), 5), 6, 0, 0},
		{"rectangle", shape.Rectangle(at(-10, -20), at(30, 20)), 5, 1, 4 * 30},
		{"rectangle that turns right", shape.Rectangle(at(-10, -20), at(30, 20)).Reversed(), 5, 1, 4 * 30},
		{"rectangle that is too small", shape.Rectangle(at(0, 0), at(30, 9)), 5, 0, 0},
		{"stadium", stadium, 8, 1, 200 + 2*math.Pi*12},
		// Two chambers of 30 x 30 that a neck 8 wide joins: a tool of 10 goes round each, not through.
		{"neck", shape.Contour{{X: 0, Y: 0}, {X: 30, Y: 0}, {X: 30, Y: 11}, {X: 50, Y: 11}, {X: 50, Y: 0}, {X: 80, Y: 0}, {X: 80, Y: 30}, {X: 50, Y: 30}, {X: 50, Y: 19},
			{X: 30, Y: 19}, {X: 30, Y: 30}, {X: 0, Y: 30}}, 5, 2, 2 * neck()},
		// An inward corner is gone round on a quarter circle.
		{"inward corner", shape.Contour{{X: 0, Y: 0}, {X: 60, Y: 0}, {X: 60, Y: 60}, {X: 30, Y: 60}, {X: 30, Y: 30}, {X: 0, Y: 30}}, 5, 1, 50 + 50 + 20 + 25 + 5*math.Pi/2 + 25 + 20 + 0},
	} {
		got := Within(c.c, c.r)
		if len(got) != c.paths || math.Abs(around(got)-c.want) > 1e-6 {
			t.Errorf("%s: %d paths, %.6f long, want %d with %.6f", c.name, len(got), around(got), c.paths, c.want)
		}
	}
}

// neck is the way round one chamber: the walls' parallels, and the arcs about the two corners of the neck as far as they reach into it.
func neck() float64 {
	h := 3.0 // the tool's middle reaches 3 into the neck: √(5² − 4²)
	arc := 5 * math.Asin(4.0/5)
	_ = h
	return 20 + 20 + 20 + 2*(11-5) + 2*arc
}

// For every drawn contour, every point of every path is exactly r from the wall, or further inside where arcs meet; never nearer.
func TestNoPathComesNearerThanTheTool(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 9).Draw(t, "corners")
		var c shape.Contour
		for i := range n { // star shaped, so that it does not cross itself
			r := float64(rapid.IntRange(20, 80).Draw(t, "r"))
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			c = append(c, shape.Vertex{X: r * cos, Y: r * sin, Bulge: float64(rapid.IntRange(-1, 2).Draw(t, "bulge")) / 10})
		}
		r := float64(rapid.IntRange(2, 30).Draw(t, "tool"))
		wall := c.Segments()
		for _, p := range Within(c, r) {
			for _, s := range p {
				for _, share := range []float64{0, 0.3, 0.7, 1} {
					if d := From(s.Along(share), wall); d < r-1e-5 || d > r+1e-5 {
						t.Fatalf("%v is %.7f from the wall, the tool is %g", s.Along(share), d, r)
					}
				}
			}
		}
	})
}

func TestAlongAnOpenWall(t *testing.T) {
	wall := []shape.Segment{shape.NewSegment(at(0, 0), at(100, 0), 0), shape.NewSegment(at(100, 0), at(100, 100), 0)}
	got := Along(wall, 10) // inside the corner
	if len(got) != 1 || math.Abs(got[0].Length()-180) > 1e-9 || gap(got[0][0].From, at(0, 10)) > 1e-9 || gap(got[0][1].To, at(90, 100)) > 1e-9 {
		t.Errorf("inside: %+v", got)
	}
	wall[0], wall[1] = shape.NewSegment(at(100, 100), at(100, 0), 0), shape.NewSegment(at(100, 0), at(0, 0), 0)
	got = Along(wall, 10) // around it
	if len(got) != 1 || math.Abs(got[0].Length()-200-10*math.Pi/2) > 1e-9 || got[0].Closed() {
		t.Errorf("around: %+v", got)
	}
	if x, y := got[0].Start(); x != 0 || y != -1 {
		t.Errorf("it begins towards %g, %g", x, y)
	}
	if x, y := got[0].End(); x != -1 || y != 0 {
		t.Errorf("it ends towards %g, %g", x, y)
	}
}

// Distances beside a fine walk along both sides.
func TestDistanceBesideAWalk(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		side := func() shape.Segment {
			c := func() float64 { return float64(rapid.IntRange(-30, 30).Draw(t, "c")) }
			from, to := at(c(), c()), at(c(), c())
			if from == to {
				to.X++
			}
			return shape.NewSegment(from, to, float64(rapid.IntRange(-10, 10).Draw(t, "bulge"))/10)
		}
		a, b := side(), side()
		walked := math.Inf(1)
		for i := range 401 {
			p := a.Along(float64(i) / 400)
			on, _ := b.Nearest(p)
			walked = math.Min(walked, gap(on, p))
		}
		got, step := Nearest(a, []shape.Segment{b}), a.Length()/800
		if got > walked+1e-7 || got < walked-step-1e-7 {
			t.Fatalf("%g, walked %g with steps of %g", got, walked, step)
		}
	})
}

// Areas under sweeps against closed forms: a stadium, half a ring, a core bit's ring.
func TestAreaUnderASweep(t *testing.T) {
	half := shape.NewSegment(at(30, 0), at(-30, 0), 1)
	for _, c := range []struct {
		name string
		s    Sweep
		want float64
	}{
		{"line", Sweep{Way: shape.NewSegment(at(0, 0), at(40, 30), 0), Radius: 6}, 50*12 + math.Pi*36},
		{"half circle", Sweep{Way: half, Radius: 6}, math.Pi/2*(36*36-24*24) + math.Pi*36},
		{"core bit", Sweep{Way: shape.NewSegment(at(5, 5), at(5, 5), 0), Radius: 8, Hole: 5}, math.Pi * (64 - 25)},
	} {
		area, pitch := 0.0, 0.01
		for y := -60 + pitch/2; y < 60; y += pitch {
			area += pitch * Length(Across([]Sweep{c.s}, y))
		}
		if math.Abs(area-c.want) > 1e-4*c.want {
			t.Errorf("%s: %.3f, closed form %.3f", c.name, area, c.want)
		}
	}
}

// A wall of 100 under a tool that passes 6 from it: bare where it did not pass, exactly.
func TestUncovered(t *testing.T) {
	wall := shape.NewSegment(at(0, 0), at(100, 0), 0)
	pass := []Sweep{{Way: shape.NewSegment(at(20, 6), at(70, 6), 0), Radius: 6}}
	bare := Uncovered(wall, pass, 0.5)
	reach := math.Sqrt(6.5*6.5 - 36) // by which the round tool reaches along the wall beyond its way
	if len(bare) != 2 || math.Abs(bare[0].Length()-(20-reach)) > 1e-6 || math.Abs(bare[1].Length()-(30-reach)) > 1e-6 {
		t.Errorf("bare: %+v", bare)
	}
	if all := Uncovered(wall, nil, 1); len(all) != 1 || all[0].Length() != 100 {
		t.Errorf("without a tool: %+v", all)
	}
}

func TestSpans(t *testing.T) {
	a := Together([]Span{{5, 7}, {0, 2}, {1, 3}})
	if len(a) != 2 || a[0] != (Span{0, 3}) || Length(a) != 5 {
		t.Errorf("%v", a)
	}
	if b := Common(a, []Span{{2, 6}}); len(b) != 2 || Length(b) != 2 {
		t.Errorf("%v", b)
	}
	if got := Inside(shape.Circle(at(0, 0), 5), 3); len(got) != 1 || math.Abs(Length(got)-8) > 1e-9 {
		t.Errorf("%v", got)
	}
}

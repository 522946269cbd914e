package polygon_test

import (
	"math"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"pgregory.net/rapid"

	"slatewright/polygon"
)

// place stands for any caller's type.
type place struct{ X, Y float64 }

// star draws a ring around the origin that does not cross itself: corners in the order of their directions, no two further apart than
// half a turn, between 20 and 100 from it, either way round.
func star(t *rapid.T) []place {
	n := rapid.IntRange(4, 12).Draw(t, "corners")
	ring := make([]place, n)
	for i := range ring {
		r, off := rapid.Float64Range(20, 100).Draw(t, "r"), rapid.Float64Range(0, 0.9).Draw(t, "off")
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + off) / float64(n))
		ring[i] = place{r * cos, r * sin}
	}
	if rapid.Bool().Draw(t, "backward") {
		for i, k := 0, n-1; i < k; i, k = i+1, k-1 {
			ring[i], ring[k] = ring[k], ring[i]
		}
	}
	return ring
}

func anywhere(t *rapid.T, name string) place {
	x := rapid.Float64Range(-120, 120)
	return place{x.Draw(t, name+"x"), x.Draw(t, name+"y")}
}

func lineString(ring []place) geom.LineString {
	var flat []float64
	for _, p := range ring {
		flat = append(flat, p.X, p.Y)
	}
	return geom.NewLineString(geom.NewSequence(flat, geom.DimXY))
}

func closed(ring []place) []place { return append(ring[:len(ring):len(ring)], ring[0]) }

func library(ring []place) geom.Geometry {
	return geom.NewPolygon([]geom.LineString{lineString(closed(ring))}).AsGeometry()
}

func libraryPoint(p place) geom.Geometry {
	return geom.NewPoint(geom.Coordinates{XY: geom.XY{X: p.X, Y: p.Y}, Type: geom.DimXY}).AsGeometry()
}

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-8 }

// Area, inside, distances, convexity and crossings agree with a general polygon library, wherever the ring begins.
func TestAgainstPolygonLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ring, p := star(t), anywhere(t, "p")
		theirs := library(ring)
		if err := theirs.Validate(); err != nil {
			t.Fatal(err)
		}
		if got := math.Abs(polygon.Area(ring)); !near(got, theirs.Area()) {
			t.Fatalf("area %g, the library has %g", got, theirs.Area())
		}
		if left := polygon.Anticlockwise(ring); !near(polygon.Area(left), theirs.Area()) {
			t.Fatalf("run anticlockwise it has %g", polygon.Area(left))
		}
		edge := math.Inf(1)
		for i, a := range ring {
			edge = min(edge, polygon.Away(p, a, closed(ring)[i+1]))
		}
		if d, ok := geom.Distance(libraryPoint(p), theirs.Boundary()); !ok || !near(edge, d) {
			t.Fatalf("%v is %g from the ring, the library has %g", p, edge, d)
		}
		inside, err := geom.Contains(theirs, libraryPoint(p))
		if err != nil {
			t.Fatal(err)
		}
		if edge > 1e-8 && polygon.Inside(ring, p) != inside {
			t.Fatalf("%v inside: %v", p, !inside)
		}
		if i, k, found := polygon.Crossing(ring); found {
			t.Fatalf("the sides from %d and %d cross", i, k)
		}
		if beyond := theirs.ConvexHull().Area() - theirs.Area(); beyond > 1e-6 && polygon.Convex(ring) || beyond == 0 && !polygon.Convex(ring) {
			t.Fatalf("the hull is larger by %g, convex: %v", beyond, polygon.Convex(ring))
		}
	})
}

// Two corners that change places make a ring cross itself where the library says that its line is not simple; lines that only touch are
// left to no one.
func TestCrossingAgainstPolygonLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ring := star(t)
		n := len(ring)
		i, k := rapid.IntRange(0, n-1).Draw(t, "i"), rapid.IntRange(0, n-1).Draw(t, "k")
		ring[i], ring[k] = ring[k], ring[i]
		first, second, found := polygon.Crossing(ring)
		if simple := lineString(closed(ring)).IsSimple(); found == simple {
			t.Fatalf("%v crosses itself: %v", ring, found)
		}
		if found {
			theirs := geom.Intersects(lineString([]place{ring[first], ring[first+1]}).AsGeometry(), lineString([]place{ring[second], closed(ring)[second+1]}).AsGeometry())
			if !theirs {
				t.Fatalf("the sides from %d and %d of %v do not meet", first, second, ring)
			}
		}
	})
}

// What is kept on both sides of a line makes the whole, and what is kept of a rectangle is what the library keeps.
func TestClipAgainstPolygonLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ring, a, b := star(t), anywhere(t, "a"), anywhere(t, "b")
		left := polygon.Clip(ring, func(p place) float64 { return polygon.Turn(a, b, p) })
		right := polygon.Clip(ring, func(p place) float64 { return polygon.Turn(b, a, p) })
		if parts, whole := polygon.Area(left)+polygon.Area(right), polygon.Area(ring); !near(parts, whole) && a != b {
			t.Fatalf("%g and %g make %g", polygon.Area(left), polygon.Area(right), whole)
		}
		low, high := place{min(a.X, b.X), min(a.Y, b.Y)}, place{max(a.X, b.X), max(a.Y, b.Y)}
		if high.X-low.X < 1e-3 || high.Y-low.Y < 1e-3 {
			return // the library has no rectangle without area
		}
		kept := polygon.ClipBox(ring, low, high)
		theirs, err := geom.Intersection(library(ring), library([]place{low, {high.X, low.Y}, high, {low.X, high.Y}}))
		if err != nil {
			return // the library's own limit: "pathological cases of numerical degeneracy"
		}
		if got := math.Abs(polygon.Area(kept)); !near(got, theirs.Area()) {
			t.Fatalf("%g is left, the library leaves %g", got, theirs.Area())
		}
		if l, h := polygon.Around(kept); len(kept) > 0 && (l.X < low.X-1e-9 || l.Y < low.Y-1e-9 || h.X > high.X+1e-9 || h.Y > high.Y+1e-9) {
			t.Fatalf("what is kept reaches from %v to %v", l, h)
		}
	})
}

// A way meets a rectangle where the library finds it no distance off; by how much it runs in at least is a trifle.
func TestMeetsAgainstPolygonLibrary(t *testing.T) {
	const trifle = 1e-6
	box := func(w, h float64) geom.Geometry { return library([]place{{-w, -h}, {w, -h}, {w, h}, {-w, h}}) }
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.Float64Range(1, 80).Draw(t, "w"), rapid.Float64Range(1, 80).Draw(t, "h")
		a, b := anywhere(t, "a"), anywhere(t, "b")
		if rapid.Bool().Draw(t, "upright") {
			b.X = a.X
		}
		if a == b {
			return // the library has no way without length
		}
		way, meets := lineString([]place{a, b}).AsGeometry(), polygon.Meets(a, b, place{-w, -h}, place{w, h})
		if meets && !geom.Intersects(way, box(w+trifle, h+trifle)) || !meets && geom.Intersects(way, box(w-trifle, h-trifle)) {
			t.Fatalf("the way from %v to %v meets the rectangle: %v", a, b, meets)
		}
	})
	for _, c := range []struct {
		a, b place
		want bool
	}{{place{0, 0}, place{0, 0}, true}, {place{2, 2}, place{2, 2}, false}, {place{1, 1}, place{3, 3}, true}, {place{-2, 0}, place{0, -2}, true}, {place{-2.5, 0}, place{0, -2.5}, false},
		{place{1, -5}, place{1, 5}, true}, {place{1.5, -5}, place{1.5, 5}, false}} {
		if polygon.Meets(c.a, c.b, place{-1, -1}, place{1, 1}) != c.want {
			t.Errorf("from %v to %v: %v", c.a, c.b, !c.want)
		}
	}
}

// Corners on whole numbers: the area is the number of whole places inside and half of those on the line, less one (G. Pick,
// Geometrisches zur Zahlenlehre, 1899). Every count is exact.
func TestPicksTheorem(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ring := star(t)
		for i, p := range ring {
			ring[i] = place{math.Round(p.X / 4), math.Round(p.Y / 4)}
		}
		if !lineString(closed(ring)).IsSimple() {
			return // rounded onto itself
		}
		low, high := polygon.Around(ring)
		var inside, on float64
		for x := low.X; x <= high.X; x++ {
			for y := low.Y; y <= high.Y; y++ {
				p, line := place{x, y}, false
				for i, a := range ring {
					line = line || polygon.Away(p, a, closed(ring)[i+1]) < 1e-9
				}
				switch {
				case line:
					on++
				case polygon.Inside(ring, p):
					inside++
				}
			}
		}
		if want := inside + on/2 - 1; math.Abs(polygon.Area(ring)) != want {
			t.Fatalf("%v: area %g, counted %g", ring, polygon.Area(ring), want)
		}
	})
}

// By hand: signs, what has no area, what is nearest, and what only touches.
func TestByHand(t *testing.T) {
	square := []place{{0, 0}, {4, 0}, {4, 4}, {0, 4}}
	arrow := []place{{0, 0}, {4, 0}, {1, 1}, {0, 4}}
	eight := []place{{0, 0}, {4, 4}, {4, 0}, {0, 4}}
	touching := []place{{0, 0}, {4, 0}, {4, 4}, {2, 0}, {0, 4}} // a corner on a side
	for _, c := range []struct {
		ring   []place
		area   float64
		convex bool
		cross  bool
	}{
		{nil, 0, true, false}, {square[:2], 0, true, false}, {square, 16, true, false}, {[]place{{0, 4}, {4, 4}, {4, 0}, {0, 0}}, -16, true, false},
		{arrow, 4, false, false}, {eight, 0, false, true}, {touching, 8, false, false}, {append([]place{{2, 0}}, square[1:]...), 12, true, false},
	} {
		_, _, cross := polygon.Crossing(c.ring)
		if polygon.Area(c.ring) != c.area || polygon.Convex(c.ring) != c.convex || cross != c.cross {
			t.Errorf("%v: area %g, convex %v, crosses itself %v", c.ring, polygon.Area(c.ring), polygon.Convex(c.ring), cross)
		}
	}
	if i, k, _ := polygon.Crossing(eight); i != 0 || k != 2 {
		t.Errorf("the sides from %d and %d cross", i, k)
	}
	for _, c := range []struct {
		p           place
		share, away float64
	}{{place{-3, 4}, 0, 5}, {place{1, 7}, 0.25, 7}, {place{7, -4}, 1, 5}, {place{2, 0}, 0.5, 0}} {
		a, b := square[0], square[1]
		if polygon.Share(c.p, a, b) != c.share || polygon.Away(c.p, a, b) != c.away {
			t.Errorf("%v: %g of the way, %g away", c.p, polygon.Share(c.p, a, b), polygon.Away(c.p, a, b))
		}
	}
	if polygon.Share(place{5, 5}, square[1], square[1]) != 0 || polygon.Away(place{1, 4}, square[1], square[1]) != 5 {
		t.Error("a way without length")
	}
	if polygon.Inside(nil, place{}) || polygon.Clip(nil, func(place) float64 { return 1 }) != nil {
		t.Error("something is within nothing")
	}
	if l, h := polygon.Around([]place(nil)); !math.IsInf(l.X, 1) || !math.IsInf(h.Y, -1) {
		t.Errorf("nothing reaches from %v to %v", l, h)
	}
	// A horseshoe cut through its arms: two parts in one ring.
	shoe := []place{{0, 0}, {6, 0}, {6, 4}, {4, 4}, {4, 2}, {2, 2}, {2, 4}, {0, 4}}
	if got := polygon.Area(polygon.ClipBox(shoe, place{-1, 3}, place{9, 9})); got != 4 {
		t.Errorf("the arms have %g", got)
	}
}

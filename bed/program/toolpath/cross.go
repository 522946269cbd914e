// Package toolpath has the plane geometry of a round tool along lines and arcs: where two sides cross, how near they come, which way the
// middle of a tool goes to cut a wall ([Along] a wall, [Within] a contour), and which part of a line lies under its sweep.
//
// Everything is worked out on lines and arcs of circles; nothing is replaced by polygons. The package knows no heights, feeds or stone.
// Lengths are in mm. Contours and sides are those of package shape.
package toolpath

import (
	"math"
	"slices"

	"slatewright/bed/pattern/shape"
)

// near is what rounding may put between two points that are one, mm.
const near = 1e-6

func gap(a, b shape.Point) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }

// crossings returns the shares of the way along a at which it meets b, unsorted. Sides that lie on one another meet at the ends of either.
func crossings(a, b shape.Segment) (at []float64) {
	points, along := a.Meet(b)
	if along {
		points = []shape.Point{a.From, a.To, b.From, b.To}
	}
	for _, p := range points {
		on, t := a.Nearest(p)
		if gap(on, p) > near {
			continue
		}
		if on, _ := b.Nearest(p); gap(on, p) <= near {
			at = append(at, t)
		}
	}
	return at
}

// Part is the side from share t to share u of the way along s, t ≤ u.
func Part(s shape.Segment, t, u float64) shape.Segment {
	if t <= 0 && u >= 1 {
		return s
	}
	if s.Radius == 0 {
		return shape.NewSegment(s.Along(t), s.Along(u), 0)
	}
	return shape.NewSegment(s.Along(t), s.Along(u), math.Tan(s.Sweep*(u-t)/4))
}

// Split cuts a side wherever it meets one of the others. Parts shorter than rounding are left out.
func Split(s shape.Segment, others []shape.Segment) []shape.Segment {
	at := []float64{0, 1}
	for _, o := range others {
		if !apart(s, o, near) {
			at = append(at, crossings(s, o)...)
		}
	}
	slices.Sort(at)
	var parts []shape.Segment
	from := 0.0
	for _, t := range at {
		if (t-from)*s.Length() > 10*near {
			parts = append(parts, Part(s, from, t))
			from = t
		}
	}
	if len(parts) == 0 {
		return nil
	}
	if n := len(parts) - 1; from < 1 { // what is left is shorter than rounding
		last := parts[n]
		parts[n] = Part(s, from-last.Length()/s.Length(), 1)
	}
	return parts
}

// apart reports whether two sides are surely further than by from each other, from the boxes around them.
func apart(a, b shape.Segment, by float64) bool {
	aLow, aHigh := box(a)
	bLow, bHigh := box(b)
	return aLow.X > bHigh.X+by || bLow.X > aHigh.X+by || aLow.Y > bHigh.Y+by || bLow.Y > aHigh.Y+by
}

// box is a rectangle that holds a side; that of an arc may be larger than it must.
func box(s shape.Segment) (low, high shape.Point) {
	bulge := 0.0
	if s.Radius > 0 { // an arc goes no further from its chord than its own height
		bulge = math.Min(2*s.Radius, math.Abs(s.Bulge)*gap(s.From, s.To)/2)
	}
	return shape.Point{X: math.Min(s.From.X, s.To.X) - bulge, Y: math.Min(s.From.Y, s.To.Y) - bulge},
		shape.Point{X: math.Max(s.From.X, s.To.X) + bulge, Y: math.Max(s.From.Y, s.To.Y) + bulge}
}

// Nearest is the least distance from a side to any of the others, +Inf where there are none.
func Nearest(s shape.Segment, others []shape.Segment) float64 {
	if gap(s.From, s.To) <= near { // a tool that stands
		return From(s.From, others)
	}
	least := math.Inf(1)
	for _, o := range others {
		if !apart(s, o, least) {
			d, _, _ := s.Apart(o)
			least = math.Min(least, d)
		}
	}
	return least
}

// From is the least distance from a point to any of the sides, +Inf where there are none.
func From(p shape.Point, sides []shape.Segment) float64 {
	least := math.Inf(1)
	for _, s := range sides {
		on, _ := s.Nearest(p)
		least = math.Min(least, gap(on, p))
	}
	return least
}

package plate

import (
	"fmt"
	"math"

	"slatewright/polygon"
	"slatewright/trouble"
)

// Point is a place on the piece, mm in the piece frame: x along the table, y across it, from the middle of the piece.
type Point struct{ X, Y float64 }

// Outline is what is left of a rectangle X by Y mm around the origin when the cuts are taken off: pockets, whose polygons may
// reach over the edge, and holes. A cut's polygon is simple, in either direction; no two cuts overlap.
type Outline struct {
	X, Y float64
	Cuts [][]Point
}

// Rectangle is an outline without cuts.
func Rectangle(x, y float64) Outline { return Outline{X: x, Y: y} }

// WithRound returns the outline with a round cut of radius r at (x, y), as a polygon of 48 sides of the same area.
func (o Outline) WithRound(x, y, r float64) Outline {
	const sides = 48
	turn := 2 * math.Pi / sides
	r *= math.Sqrt(turn / math.Sin(turn))
	var ring []Point
	for k := range sides {
		s, c := math.Sincos(turn * (float64(k) + 0.5))
		ring = append(ring, Point{x + r*c, y + r*s})
	}
	return o.WithCut(ring)
}

// WithCut returns the outline with a polygon taken off.
func (o Outline) WithCut(ring []Point) Outline {
	o.Cuts = append(append([][]Point(nil), o.Cuts...), ring)
	return o
}

// Has tells whether the stone is at p; the outer edge belongs to it.
func (o Outline) Has(p Point) bool {
	if math.Abs(p.X) > o.X/2+edgeSlack || math.Abs(p.Y) > o.Y/2+edgeSlack {
		return false
	}
	for _, c := range o.Cuts {
		if polygon.Inside(c, p) {
			return false
		}
	}
	return true
}

// edgeSlack is how far off the edge a place still counts as on it, mm: rounding of what people write.
const edgeSlack = 1e-6

// Area returns the area of the stone, mm².
func (o Outline) Area() float64 {
	a := o.X * o.Y
	for _, c := range o.Cuts {
		a -= math.Abs(polygon.Area(clip(c, -o.X/2, o.X/2, -o.Y/2, o.Y/2)))
	}
	return a
}

// Check is the trouble with an outline from which no stone can be cut.
func (o Outline) Check() error {
	if !(o.X >= smallestSide && o.X <= largestSide && o.Y >= smallestSide && o.Y <= largestSide) {
		return trouble.Data("bad-size", "size", fmt.Sprintf("a piece of %g x %g mm; sides from %d to %d mm are worked with", o.X, o.Y, smallestSide, largestSide),
			"give the size of the piece, x along the table by y across it")
	}
	for i, c := range o.Cuts {
		if len(c) < 3 || polygon.Area(c) == 0 {
			return trouble.Data("bad-cut", fmt.Sprintf("cut %d", i+1), "the cut has no area", "give at least three corners that are not on one line")
		}
		if from, to, crosses := polygon.Crossing(c); crosses {
			return trouble.Data("bad-cut", fmt.Sprintf("cut %d", i+1), fmt.Sprintf("the edge after corner %d crosses the one after corner %d", from+1, to+1), "give the corners in their order around it")
		}
	}
	for i, c := range o.Cuts {
		for j, d := range o.Cuts {
			mid := centre(d)
			for _, q := range d {
				q = Point{q.X + 1e-6*(mid.X-q.X), q.Y + 1e-6*(mid.Y-q.Y)} // cuts may share an edge
				if i != j && polygon.Inside(c, q) && math.Abs(q.X) < o.X/2 && math.Abs(q.Y) < o.Y/2 {
					return trouble.Data("bad-cut", fmt.Sprintf("cut %d", j+1), fmt.Sprintf("it overlaps cut %d at (%g, %g)", i+1, q.X, q.Y), "give cuts that overlap as one")
				}
			}
		}
	}
	if a := o.Area(); a < 0.3*o.X*o.Y {
		return trouble.Data("bad-cut", "cuts", "the cuts leave less than a third of the piece, or they overlap", "give each cut once")
	}
	return nil
}

// centre is the mean of the corners.
func centre(ring []Point) (c Point) {
	for _, q := range ring {
		c.X, c.Y = c.X+q.X/float64(len(ring)), c.Y+q.Y/float64(len(ring))
	}
	return c
}

// Sides in mm outside these are a wrong unit or a slip: far below and above any piece of a bed.
const (
	smallestSide = 50
	largestSide  = 10000
)

// clip returns the part of a polygon inside a rectangle.
func clip(ring []Point, x0, x1, y0, y1 float64) []Point {
	return polygon.ClipBox(ring, Point{x0, y0}, Point{x1, y1})
}

package plate

import (
	"fmt"
	"math"

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
		if within(c, p) {
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
		a -= math.Abs(area(clip(c, -o.X/2, o.X/2, -o.Y/2, o.Y/2)))
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
		if len(c) < 3 || area(c) == 0 {
			return trouble.Data("bad-cut", fmt.Sprintf("cut %d", i+1), "the cut has no area", "give at least three corners that are not on one line")
		}
	}
	for i, c := range o.Cuts {
		for j, d := range o.Cuts {
			mid := centre(d)
			for _, q := range d {
				q = Point{q.X + 1e-6*(mid.X-q.X), q.Y + 1e-6*(mid.Y-q.Y)} // cuts may share an edge
				if i != j && within(c, q) && math.Abs(q.X) < o.X/2 && math.Abs(q.Y) < o.Y/2 {
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

// within tells whether p is inside a polygon, by the crossings of a ray.
func within(ring []Point, p Point) (in bool) {
	a := ring[len(ring)-1]
	for _, b := range ring {
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
		a = b
	}
	return in
}

// area is the signed area, + counterclockwise.
func area(ring []Point) (s float64) {
	if len(ring) < 3 {
		return 0
	}
	o, a := ring[0], ring[len(ring)-1]
	for _, b := range ring {
		s += (a.X-o.X)*(b.Y-o.Y) - (b.X-o.X)*(a.Y-o.Y)
		a = b
	}
	return s / 2
}

// clip returns the part of a polygon inside a rectangle (Sutherland and Hodgman). A part that falls in two stays joined by edges
// that run to and fro along the rectangle's side; integrals over it are not changed by them.
func clip(ring []Point, x0, x1, y0, y1 float64) []Point {
	ring = clipSide(ring, func(p Point) float64 { return p.X - x0 })
	ring = clipSide(ring, func(p Point) float64 { return x1 - p.X })
	ring = clipSide(ring, func(p Point) float64 { return p.Y - y0 })
	return clipSide(ring, func(p Point) float64 { return y1 - p.Y })
}

// clipSide keeps where inside is not negative.
func clipSide(ring []Point, inside func(Point) float64) (kept []Point) {
	if len(ring) == 0 {
		return nil
	}
	a := ring[len(ring)-1]
	da := inside(a)
	for _, b := range ring {
		db := inside(b)
		if (da < 0) != (db < 0) {
			t := da / (da - db)
			kept = append(kept, Point{a.X + t*(b.X-a.X), a.Y + t*(b.Y-a.Y)})
		}
		if db >= 0 {
			kept = append(kept, b)
		}
		a, da = b, db
	}
	return kept
}

// crosses tells whether the segment a–b meets the rectangle.
func crosses(a, b Point, x0, x1, y0, y1 float64) bool {
	from, to := 0.0, 1.0
	for _, s := range [4][2]float64{{a.X - b.X, a.X - x0}, {b.X - a.X, x1 - a.X}, {a.Y - b.Y, a.Y - y0}, {b.Y - a.Y, y1 - a.Y}} {
		switch d, room := s[0], s[1]; {
		case d == 0 && room < 0:
			return false
		case d < 0:
			from = math.Max(from, room/d)
		case d > 0:
			to = math.Min(to, room/d)
		}
	}
	return from <= to
}

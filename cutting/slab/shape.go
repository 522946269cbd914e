package slab

import "math"

// Box is an upright rectangle.
type Box struct{ X1, Y1, X2, Y2 float64 }

// Around is the box around points.
func Around(points []Point) Box {
	b := Box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, p := range points {
		b.X1, b.X2 = math.Min(b.X1, p.X), math.Max(b.X2, p.X)
		b.Y1, b.Y2 = math.Min(b.Y1, p.Y), math.Max(b.Y2, p.Y)
	}
	return b
}

// Area is positive for corners in anticlockwise order.
func Area(c []Point) (sum float64) {
	for i, p := range c {
		q := c[(i+1)%len(c)]
		sum += (p.X-c[0].X)*(q.Y-c[0].Y) - (q.X-c[0].X)*(p.Y-c[0].Y)
	}
	return sum / 2
}

// side is positive when c lies to the left of the way from a to b.
func side(a, b, c Point) float64 { return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X) }

// cross tells whether two edges cross, each running through the other.
func cross(a, b, c, d Point) bool {
	return side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0
}

func convex(c []Point) bool {
	turn := 0.0
	for i := range c {
		s := side(c[i], c[(i+1)%len(c)], c[(i+2)%len(c)])
		if s*turn < 0 {
			return false
		}
		if s != 0 {
			turn = s
		}
	}
	return true
}

// Inside tells whether a point lies within corners, by the edges to its right.
func Inside(c []Point, p Point) bool {
	in := false
	for i, a := range c {
		b := c[(i+1)%len(c)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y) {
			in = !in
		}
	}
	return in
}

package ground

import (
	"math"

	"slatewright/cutting/slab"
)

// stroke is a segment with a radius about it.
type stroke struct {
	a, b slab.Point
	r    float64
}

// reach gives how far left and right the stroke comes between two heights; false when it does not come there.
func (s stroke) reach(low, high float64) (left, right float64, there bool) {
	if math.Max(s.a.Y, s.b.Y)+s.r <= low || math.Min(s.a.Y, s.b.Y)-s.r >= high {
		return 0, 0, false
	}
	l, r := s.a, s.a
	if s.b.X < l.X {
		l = s.b
	}
	if s.b.X > r.X {
		r = s.b
	}
	if s.a.X == s.b.X { // both ends are as far out: the nearer counts
		l.Y = math.Min(math.Max((low+high)/2, math.Min(s.a.Y, s.b.Y)), math.Max(s.a.Y, s.b.Y))
		r.Y = l.Y
	}
	left, right = l.X-s.r, r.X+s.r
	if l.Y < low || l.Y > high {
		left = s.edge(math.Min(math.Max(l.Y, low), high), -1)
	}
	if r.Y < low || r.Y > high {
		right = s.edge(math.Min(math.Max(r.Y, low), high), 1)
	}
	return left, right, true
}

// edge is the border of the stroke at a height, on the left (−1) or right (1). The border is convex, so beyond its furthest point it only falls back.
func (s stroke) edge(y, to float64) float64 {
	out := math.Inf(-1)
	for _, p := range []slab.Point{s.a, s.b} {
		if d := y - p.Y; math.Abs(d) <= s.r {
			out = math.Max(out, to*p.X+math.Sqrt(math.Max(0, s.r*s.r-d*d)))
		}
	}
	dx, dy := s.b.X-s.a.X, s.b.Y-s.a.Y
	if dy == 0 {
		return to * out
	}
	n := math.Hypot(dx, dy)
	nx, ny := dy/n*s.r, -dx/n*s.r
	if nx*to < 0 {
		nx, ny = -nx, -ny
	}
	if t := (y - s.a.Y - ny) / dy; t >= 0 && t <= 1 {
		out = math.Max(out, to*(s.a.X+nx+t*dx))
	}
	return to * out
}

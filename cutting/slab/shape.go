package slab

import "math"

// box is an upright rectangle.
type box struct{ x1, y1, x2, y2 float64 }

func around(points []Point) box {
	b := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, p := range points {
		b.x1, b.x2 = math.Min(b.x1, p.X), math.Max(b.x2, p.X)
		b.y1, b.y2 = math.Min(b.y1, p.Y), math.Max(b.y2, p.Y)
	}
	return b
}

// area is positive for corners in anticlockwise order.
func area(c []Point) (sum float64) {
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

// inside tells whether a point lies within corners, by the edges to its right.
func inside(c []Point, p Point) bool {
	in := false
	for i, a := range c {
		b := c[(i+1)%len(c)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y) {
			in = !in
		}
	}
	return in
}

// frame is a turn of the saw's lines: along is its x axis.
type frame struct{ cos, sin float64 }

func newFrame(degrees float64) frame {
	switch d := math.Mod(degrees, 360); d { // exact where it can be
	case 0:
		return frame{1, 0}
	case 90, -270:
		return frame{0, 1}
	case 180, -180:
		return frame{-1, 0}
	case 270, -90:
		return frame{0, -1}
	}
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	return frame{cos, sin}
}

// in gives a place of the slab in the frame; out the other way round.
func (f frame) in(p Point) Point  { return Point{f.cos*p.X + f.sin*p.Y, f.cos*p.Y - f.sin*p.X} }
func (f frame) out(p Point) Point { return Point{f.cos*p.X - f.sin*p.Y, f.sin*p.X + f.cos*p.Y} }

func (f frame) all(points []Point) []Point {
	out := make([]Point, len(points))
	for i, p := range points {
		out[i] = f.in(p)
	}
	return out
}

// stroke is a segment with a radius about it.
type stroke struct {
	a, b Point
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
	for _, p := range []Point{s.a, s.b} {
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

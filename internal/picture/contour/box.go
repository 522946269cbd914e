package contour

import "math"

// Box is a rectangle W by H about a middle, turned by Angle radians: on paper, where y runs down, a positive angle turns
// clockwise.
type Box struct {
	At          Point
	W, H, Angle float64
}

// axes returns the two half sides as vectors.
func (b Box) axes() (u, v Point) {
	c, s := math.Cos(b.Angle), math.Sin(b.Angle)
	return Point{b.W / 2 * c, b.W / 2 * s}, Point{-b.H / 2 * s, b.H / 2 * c}
}

func (b Box) corners() [4]Point {
	u, v := b.axes()
	at := func(i, j float64) Point { return Point{b.At.X + i*u.X + j*v.X, b.At.Y + i*u.Y + j*v.Y} }
	return [4]Point{at(-1, -1), at(1, -1), at(1, 1), at(-1, 1)}
}

// Grown returns the box with a margin on all sides.
func (b Box) Grown(margin float64) Box {
	b.W, b.H = b.W+2*margin, b.H+2*margin
	return b
}

// Overlaps says whether two boxes share any area (separating axes).
func (b Box) Overlaps(o Box) bool {
	if dist(b.At, o.At) > math.Hypot(b.W, b.H)/2+math.Hypot(o.W, o.H)/2 {
		return false
	}
	p, q := b.corners(), o.corners()
	return !b.parts(q[:]) && !o.parts(p[:])
}

// Crosses says whether the straight side p–q runs through the box.
func (b Box) Crosses(p, q Point) bool {
	if fromSide(b.At, p, q) > math.Hypot(b.W, b.H)/2 {
		return false
	}
	if b.parts([]Point{p, q}) {
		return false
	}
	c := b.corners()
	var left, right bool
	for _, k := range c {
		side := cross(p, q, k)
		left, right = left || side > 0, right || side < 0
	}
	return left && right
}

// parts says whether one of the box's own two axes separates it from the points.
func (b Box) parts(pts []Point) bool {
	c, s := math.Cos(b.Angle), math.Sin(b.Angle)
	const graze = 1e-9 // touching is not overlapping
	for _, axis := range [2]struct{ x, y, half float64 }{{c, s, b.W / 2}, {-s, c, b.H / 2}} {
		low, high := math.Inf(1), math.Inf(-1)
		for _, p := range pts {
			d := (p.X-b.At.X)*axis.x + (p.Y-b.At.Y)*axis.y
			low, high = math.Min(low, d), math.Max(high, d)
		}
		if low >= axis.half-graze || high <= -axis.half+graze {
			return true
		}
	}
	return false
}

// within says whether all of o lies in the box.
func (b Box) within(o Box) bool {
	c, s := math.Cos(o.Angle), math.Sin(o.Angle)
	for _, p := range b.corners() {
		dx, dy := p.X-o.At.X, p.Y-o.At.Y
		if math.Abs(dx*c+dy*s) > o.W/2+1e-9 || math.Abs(dy*c-dx*s) > o.H/2+1e-9 {
			return false
		}
	}
	return true
}

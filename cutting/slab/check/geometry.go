package check

import (
	"math"

	"slatewright/cutting/slab"
	"slatewright/polygon"
)

// common is the area that a convex polygon, its corners anticlockwise, has in common with another polygon.
func common(p, other []slab.Point) float64 {
	for i, a := range p {
		b := p[(i+1)%len(p)]
		other = polygon.Clip(other, func(q slab.Point) float64 { return polygon.Turn(a, b, q) })
	}
	return math.Abs(polygon.Area(other))
}

// meets tells whether a flaw comes nearer to a convex polygon than its clearance; what only touches does not.
func meets(p []slab.Point, f slab.Flaw) bool {
	n := len(f.Points)
	if f.Area && common(p, f.Points) > polygon.Area(p)/2 { // it lies around the polygon, or an edge of it runs through
		return true
	}
	for i := range n {
		k := i + 1
		if k == n {
			if n > 1 && !f.Area {
				break
			}
			k = 0
		}
		if gap(p, f.Points[i], f.Points[k]) < f.Clearance-near {
			return true
		}
	}
	return false
}

// gap is the distance of a segment from a convex polygon; negative where it runs through it deeper than rounding.
func gap(p []slab.Point, a, b slab.Point) float64 {
	if deep(p, a, b) {
		return -1
	}
	least := math.Inf(1)
	for i, c := range p {
		d := p[(i+1)%len(p)]
		least = min(least, polygon.Away(a, c, d), polygon.Away(b, c, d), polygon.Away(c, a, b), polygon.Away(d, a, b))
	}
	return least
}

// deep tells whether some of a segment lies inside a convex polygon by more than near: the least depth over the edges is concave along the segment, so
// golden sections find its highest.
func deep(p []slab.Point, a, b slab.Point) bool {
	at := func(t float64) float64 { return depth(p, slab.Point{X: a.X + t*(b.X-a.X), Y: a.Y + t*(b.Y-a.Y)}) }
	low, high := 0.0, 1.0
	for range 80 {
		one, two := high-(high-low)*0.618, low+(high-low)*0.618
		if at(one) > at(two) {
			high = two
		} else {
			low = one
		}
	}
	return at((low+high)/2) > near
}

// depth is how far a point lies inside a convex polygon, its corners anticlockwise; negative outside.
func depth(p []slab.Point, q slab.Point) float64 {
	least := math.Inf(1)
	for i, c := range p {
		d := p[(i+1)%len(p)]
		if n := math.Hypot(d.X-c.X, d.Y-c.Y); n > 0 {
			least = min(least, polygon.Turn(c, d, q)/n)
		}
	}
	return least
}

// within is how far a point lies inside a zone.
func within(z slab.Zone, p slab.Point) float64 {
	if z.Radius > 0 {
		return z.Radius - math.Hypot(p.X-z.Centre.X, p.Y-z.Centre.Y)
	}
	return depth(polygon.Anticlockwise(z.Corners), p)
}

package check

import (
	"math"

	"slatewright/cutting/slab"
)

// polygon is a convex polygon.
type polygon []slab.Point

func area(c []slab.Point) (sum float64) {
	for i := range c {
		k := (i + 1) % len(c)
		sum += (c[i].X-c[0].X)*(c[k].Y-c[0].Y) - (c[k].X-c[0].X)*(c[i].Y-c[0].Y)
	}
	return sum / 2
}

func (p polygon) area() float64 { return math.Abs(area(p)) }

// common is the area that a polygon has in common with another, which need not be convex (I. E. Sutherland and G. W. Hodgman, Reentrant polygon
// clipping, Communications of the ACM 17, 1974, 32; edges that run back over themselves enclose nothing).
func (p polygon) common(other []slab.Point) float64 {
	turn := 1.0
	if area(p) < 0 {
		turn = -1
	}
	rest := other
	for i := range p {
		a, b := p[i], p[(i+1)%len(p)]
		height := func(q slab.Point) float64 { return turn * ((b.X-a.X)*(q.Y-a.Y) - (b.Y-a.Y)*(q.X-a.X)) }
		var kept []slab.Point
		for k, q := range rest {
			r := rest[(k+1)%len(rest)]
			hq, hr := height(q), height(r)
			if hq >= 0 {
				kept = append(kept, q)
			}
			if hq*hr < 0 {
				t := hq / (hq - hr)
				kept = append(kept, slab.Point{X: q.X + t*(r.X-q.X), Y: q.Y + t*(r.Y-q.Y)})
			}
		}
		if rest = kept; len(rest) < 3 {
			return 0
		}
	}
	return math.Abs(area(rest))
}

// meets tells whether a flaw comes nearer to a convex polygon than its clearance; what only touches does not.
func meets(p polygon, f slab.Flaw) bool {
	n := len(f.Points)
	if f.Area && p.common(f.Points) > p.area()/2 { // it lies around the polygon, or an edge of it runs through
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
func gap(p polygon, a, b slab.Point) float64 {
	if deep(p, a, b) {
		return -1
	}
	least := math.Inf(1)
	for i := range p {
		c, d := p[i], p[(i+1)%len(p)]
		for _, far := range []float64{toSegment(a, c, d), toSegment(b, c, d), toSegment(c, a, b), toSegment(d, a, b)} {
			least = math.Min(least, far)
		}
	}
	return least
}

// deep tells whether some of a segment lies inside a convex polygon by more than near: the least depth over the edges is concave along the segment, so
// golden sections find its highest.
func deep(p polygon, a, b slab.Point) bool {
	turn := 1.0
	if area(p) < 0 {
		turn = -1
	}
	at := func(t float64) float64 {
		q := slab.Point{X: a.X + t*(b.X-a.X), Y: a.Y + t*(b.Y-a.Y)}
		least := math.Inf(1)
		for i := range p {
			c, d := p[i], p[(i+1)%len(p)]
			least = math.Min(least, turn*((d.X-c.X)*(q.Y-c.Y)-(d.Y-c.Y)*(q.X-c.X))/math.Hypot(d.X-c.X, d.Y-c.Y))
		}
		return least
	}
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

func toSegment(q, a, b slab.Point) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	t := 0.0
	if n := dx*dx + dy*dy; n > 0 {
		t = math.Min(1, math.Max(0, ((q.X-a.X)*dx+(q.Y-a.Y)*dy)/n))
	}
	return math.Hypot(q.X-a.X-t*dx, q.Y-a.Y-t*dy)
}

// depth is how far a point lies inside a zone.
func depth(z slab.Zone, p slab.Point) float64 {
	if z.Radius > 0 {
		return z.Radius - math.Hypot(p.X-z.Centre.X, p.Y-z.Centre.Y)
	}
	turn := 1.0
	if area(z.Corners) < 0 {
		turn = -1
	}
	least := math.Inf(1)
	for i, c := range z.Corners {
		d := z.Corners[(i+1)%len(z.Corners)]
		if n := math.Hypot(d.X-c.X, d.Y-c.Y); n > 0 {
			least = math.Min(least, turn*((d.X-c.X)*(p.Y-c.Y)-(d.Y-c.Y)*(p.X-c.X))/n)
		}
	}
	return least
}

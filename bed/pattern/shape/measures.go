package shape

import (
	"math"

	"slatewright/polygon"
)

// Length is the way around the contour.
func (c Contour) Length() (l float64) {
	for _, s := range c.Segments() {
		l += s.Length()
	}
	return l
}

// Area is positive where the contour turns left, negative where it turns right.
func (c Contour) Area() float64 {
	a, _, _ := c.moments()
	return a
}

// Centroid is the middle of the area. It is not defined for a contour without area.
func (c Contour) Centroid() Point {
	a, mx, my := c.moments()
	return Point{mx / a, my / a}
}

// moments returns the area and its first moments, by Green's theorem: the polygon of the vertices, and the piece of disc
// that each arc adds to its chord or takes from it. They are taken about the first vertex, so that a contour far from the
// origin loses no digits.
func (c Contour) moments() (a, mx, my float64) {
	if len(c) == 0 {
		return 0, 0, 0
	}
	o := c[0].At()
	for _, s := range c.Segments() {
		x0, y0, x1, y1 := s.From.X-o.X, s.From.Y-o.Y, s.To.X-o.X, s.To.Y-o.Y
		triangle := polygon.Turn(o, s.From, s.To) / 2
		a += triangle
		mx += triangle * (x0 + x1) / 3
		my += triangle * (y0 + y1) / 3
		if s.Radius == 0 {
			continue
		}
		// A segment of a disc with the angle θ: area r²(θ − sin θ)/2, centroid 4r sin³(θ/2) / 3(θ − sin θ) from the centre,
		// towards the middle of the arc (any table of plane figures). The moment is written out, so that nothing is divided.
		area := s.Radius * s.Radius * (s.Sweep - math.Sin(s.Sweep)) / 2
		half := math.Sin(s.Sweep / 2)
		far := 2 * s.Radius * s.Radius * s.Radius * half * half * half / 3
		sin, cos := math.Sincos(s.Start + s.Sweep/2)
		a += area
		mx += area*(s.Centre.X-o.X) + far*cos
		my += area*(s.Centre.Y-o.Y) + far*sin
	}
	return a, mx + a*o.X, my + a*o.Y
}

// Bounds returns the least rectangle with sides along the axes that holds the contour.
func (c Contour) Bounds() (low, high Point) {
	low, high = Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	take := func(p Point) {
		low = Point{math.Min(low.X, p.X), math.Min(low.Y, p.Y)}
		high = Point{math.Max(high.X, p.X), math.Max(high.Y, p.Y)}
	}
	for _, s := range c.Segments() {
		take(s.From)
		if s.Radius == 0 {
			continue
		}
		for _, d := range [4]Point{{1, 0}, {0, 1}, {-1, 0}, {0, -1}} {
			edge := Point{s.Centre.X + s.Radius*d.X, s.Centre.Y + s.Radius*d.Y}
			if _, on := s.share(edge); on {
				take(edge)
			}
		}
	}
	return low, high
}

// Nearest returns the point of the contour nearest to p and how far it is. A point inside has a distance too; see Inside.
func (c Contour) Nearest(p Point) (at Point, distance float64) {
	distance = math.Inf(1)
	for _, s := range c.Segments() {
		if q, _ := s.Nearest(p); between(p, q) < distance {
			at, distance = q, between(p, q)
		}
	}
	return at, distance
}

// Inside reports whether p lies within the contour, whichever way it turns. On the contour itself either answer may come;
// ask Nearest where that matters.
func (c Contour) Inside(p Point) bool {
	// The winding number of the polygon of chords, and one turn more or less where p lies between an arc and its chord. On a
	// chord, p counts as moved a trifle to the right and then less up, for the polygon and the arc alike.
	winding := 0
	for _, s := range c.Segments() {
		dx, dy, side := s.To.X-s.From.X, s.To.Y-s.From.Y, polygon.Turn(s.From, s.To, p)
		left := side > 0 || side == 0 && (dy < 0 || dy == 0 && dx > 0)
		switch {
		case s.From.Y <= p.Y && s.To.Y > p.Y && left:
			winding++
		case s.From.Y > p.Y && s.To.Y <= p.Y && !left:
			winding--
		}
		if s.Radius == 0 || between(p, s.Centre) >= s.Radius {
			continue
		}
		// An arc that turns left lies to the right of its chord.
		if s.Sweep > 0 && !left {
			winding++
		} else if s.Sweep < 0 && left {
			winding--
		}
	}
	return winding != 0
}

// Mirrored returns the contour seen in a mirror: x changes sign where ends is true, y where sides is. It turns the same way
// as before.
func (c Contour) Mirrored(ends, sides bool) Contour {
	m := make(Contour, len(c))
	for i, v := range c {
		if ends {
			v.X, v.Bulge = 0-v.X, 0-v.Bulge
		}
		if sides {
			v.Y, v.Bulge = 0-v.Y, 0-v.Bulge
		}
		m[i] = v
	}
	if ends != sides {
		return m.Reversed()
	}
	return m
}

// Reversed returns the contour run the other way. It begins at the same vertex.
func (c Contour) Reversed() Contour {
	n := len(c)
	r := make(Contour, n)
	for i := range c {
		r[i] = Vertex{c[(n-i)%n].X, c[(n-i)%n].Y, 0 - c[(2*n-i-1)%n].Bulge}
	}
	return r
}

// Moved returns the contour turned about the origin by angle and then moved by (dx, dy).
func (c Contour) Moved(angle, dx, dy float64) Contour {
	sin, cos := math.Sincos(angle)
	m := make(Contour, len(c))
	for i, v := range c {
		m[i] = Vertex{dx + cos*v.X - sin*v.Y, dy + sin*v.X + cos*v.Y, v.Bulge}
	}
	return m
}

// Polygon returns points along the contour, each on it, so that no arc is further than chord from the polygon's side. The
// vertices are among them. chord must be positive.
func (c Contour) Polygon(chord float64) []Point {
	var list []Point
	for _, s := range c.Segments() {
		list = append(list, s.From)
		if s.Radius == 0 {
			continue
		}
		// A side over the angle 2φ leaves r(1 − cos φ) between it and the arc.
		step := 2 * math.Acos(1-math.Min(chord/s.Radius, 1))
		n := math.Ceil(math.Abs(s.Sweep) / step)
		for i := 1.0; i < n; i++ {
			list = append(list, s.Along(i/n))
		}
	}
	return list
}

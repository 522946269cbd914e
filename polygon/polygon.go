// Package polygon has the plane geometry of rings with straight sides: area, inside, crossings of sides, cutting off, distances.
//
// A ring is a list of corners; the last goes on to the first, and either way round will do unless a function says otherwise. Places
// are of any type with X and Y, so that a place on a slab, on a piece and in a layer stay three types; units are the caller's, one
// for both axes. Of what is told here nothing hangs on where the origin is but by rounding.
//
// The package knows no arcs (bed/pattern/shape does), no holes in a ring, no stone, and no slack: what may be off by rounding is
// the caller's to say.
package polygon

import (
	"math"
	"slices"
)

// Place is any type for a place in the plane.
type Place interface{ ~struct{ X, Y float64 } }

type point struct{ X, Y float64 }

// Turn is twice the area of the triangle a, b, c: positive where c lies to the left of the way from a to b, 0 on its line. Each
// product is rounded by itself, so that every machine sees the same sign.
func Turn[P Place](a, b, c P) float64 {
	p, q, r := point(a), point(b), point(c)
	return float64((q.X-p.X)*(r.Y-p.Y)) - float64((q.Y-p.Y)*(r.X-p.X))
}

// Area is positive for corners in anticlockwise order, negative the other way; 0 of fewer than three corners. Sides that run back
// over themselves enclose nothing.
func Area[P Place](ring []P) (area float64) {
	for i := 1; i+1 < len(ring); i++ {
		area += Turn(ring[0], ring[i], ring[i+1])
	}
	return area / 2
}

// Anticlockwise gives the ring with its corners in anticlockwise order: itself, or a copy run backward.
func Anticlockwise[P Place](ring []P) []P {
	if !(Area(ring) < 0) {
		return ring
	}
	ring = slices.Clone(ring)
	slices.Reverse(ring)
	return ring
}

// Around are the least and the largest coordinates of places; of none, low is +Inf and high −Inf.
func Around[P Place](places []P) (low, high P) {
	l, h := point{math.Inf(1), math.Inf(1)}, point{math.Inf(-1), math.Inf(-1)}
	for _, p := range places {
		q := point(p)
		l = point{min(l.X, q.X), min(l.Y, q.Y)}
		h = point{max(h.X, q.X), max(h.Y, q.Y)}
	}
	return P(l), P(h)
}

// Inside tells whether a place lies within a ring, by the sides to its right. On a side either answer may come.
func Inside[P Place](ring []P, place P) (in bool) {
	y := point(place).Y
	for i, a := range ring {
		b := next(ring, i)
		if up := point(b).Y > y; up != (point(a).Y > y) {
			if turn := Turn(a, b, place); up && turn > 0 || !up && turn < 0 {
				in = !in
			}
		}
	}
	return in
}

// Crossing finds two sides of a ring that cross, each running through the other, and gives the corners from which they go. Sides that
// only touch, or lie on one another, do not cross. It looks at every pair.
func Crossing[P Place](ring []P) (first, second int, found bool) {
	for i := range ring {
		for k := i + 2; k < len(ring); k++ {
			if cross(ring[i], ring[i+1], ring[k], next(ring, k)) {
				return i, k, true
			}
		}
	}
	return 0, 0, false
}

func cross[P Place](a, b, c, d P) bool {
	return Turn(a, b, c)*Turn(a, b, d) < 0 && Turn(c, d, a)*Turn(c, d, b) < 0
}

// Convex tells whether a ring that does not cross itself has no corner that points inward.
func Convex[P Place](ring []P) bool {
	way := 0.0
	for i := range ring {
		turn := Turn(ring[i], next(ring, i), next(ring, i+1))
		if turn*way < 0 {
			return false
		}
		if turn != 0 {
			way = turn
		}
	}
	return true
}

func next[P Place](ring []P, i int) P { return ring[(i+1)%len(ring)] }

// Share is how far along the way from a to b the place on it lies that is nearest to p: 0 at a, 1 at b.
func Share[P Place](p, a, b P) float64 {
	q, from, to := point(p), point(a), point(b)
	dx, dy := to.X-from.X, to.Y-from.Y
	long := dx*dx + dy*dy
	if !(long > 0) {
		return 0
	}
	return min(1, max(0, ((q.X-from.X)*dx+(q.Y-from.Y)*dy)/long))
}

// Away is the distance of p from the nearest place on the way from a to b.
func Away[P Place](p, a, b P) float64 {
	q, from, to := point(p), point(a), point(b)
	t := Share(p, a, b)
	return math.Hypot(q.X-from.X-t*(to.X-from.X), q.Y-from.Y-t*(to.Y-from.Y))
}

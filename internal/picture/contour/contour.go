// Package contour turns the readings of one piece of stone into contour lines: points become a mesh, the mesh becomes lines
// and filled regions of equal height, and the heights are placed along the lines.
//
// One Mesh is one piece. A step at a joint is a break in the surface, so no line ever runs from one piece to the next; the
// caller draws each piece by itself with the same levels. Nothing is made outside the area that was read.
//
// The package draws nothing, knows no paper, no font and no colour, and judges nothing. A contour map is a picture of the
// readings: the verdict is computed from the readings and never from the mesh.
package contour

import "math"

// Point is a place in the plane: in mm of the bed on a Mesh, in mm of paper once the caller has mapped it there.
type Point struct{ X, Y float64 }

// Line is a polyline. A closed line does not repeat its first point at its end.
type Line struct {
	P      []Point
	Closed bool
}

// Length returns the length of the line, the closing side included.
func (l Line) Length() float64 {
	var sum float64
	for i := range l.sides() {
		a, b := l.side(i)
		sum += dist(a, b)
	}
	return sum
}

func (l Line) sides() int {
	switch {
	case len(l.P) < 2:
		return 0
	case l.Closed:
		return len(l.P)
	}
	return len(l.P) - 1
}

func (l Line) side(i int) (a, b Point) { return l.P[i], l.P[(i+1)%len(l.P)] }

// Map returns the line with each point sent through f.
func (l Line) Map(f func(Point) Point) Line {
	out := Line{P: make([]Point, len(l.P)), Closed: l.Closed}
	for i, p := range l.P {
		out.P[i] = f(p)
	}
	return out
}

// Simplify returns the line with those points left out that lie within tol of what remains (Douglas and Peucker 1973,
// "Algorithms for the reduction of the number of points required to represent a digitized line", Cartographica 10, 112–122).
func (l Line) Simplify(tol float64) Line {
	n := len(l.P)
	if n < 3 {
		return l
	}
	p := l.P
	if l.Closed {
		p = append(append(make([]Point, 0, n+1), l.P...), l.P[0])
	}
	keep := make([]bool, len(p))
	keep[0], keep[len(p)-1] = true, true
	if l.Closed { // a ring's first side has no length: hold its farthest point too
		far := farthest(p, 0, len(p)-1, func(q Point) float64 { return dist(q, p[0]) })
		keep[far] = true
		thin(p, 0, far, tol, keep)
		thin(p, far, len(p)-1, tol, keep)
	} else {
		thin(p, 0, len(p)-1, tol, keep)
	}
	out := Line{Closed: l.Closed}
	for i, k := range keep[:len(p)] {
		if k && !(l.Closed && i == len(p)-1) {
			out.P = append(out.P, p[i])
		}
	}
	return out
}

// thin marks in keep the points strictly between i and j that are needed.
func thin(p []Point, i, j int, tol float64, keep []bool) {
	if j-i < 2 {
		return
	}
	off := func(q Point) float64 { return fromSide(q, p[i], p[j]) }
	k := farthest(p, i, j, off)
	if off(p[k]) <= tol {
		return
	}
	keep[k] = true
	thin(p, i, k, tol, keep)
	thin(p, k, j, tol, keep)
}

// farthest returns the index strictly between i and j with the largest measure.
func farthest(p []Point, i, j int, measure func(Point) float64) int {
	best, at := -1.0, i+1
	for k := i + 1; k < j; k++ {
		if d := measure(p[k]); d > best {
			best, at = d, k
		}
	}
	return at
}

// fromSide is the distance of q from the straight side a–b.
func fromSide(q, a, b Point) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	ll := dx*dx + dy*dy
	if ll == 0 {
		return dist(q, a)
	}
	t := math.Max(0, math.Min(1, ((q.X-a.X)*dx+(q.Y-a.Y)*dy)/ll))
	return dist(q, Point{a.X + t*dx, a.Y + t*dy})
}

func dist(a, b Point) float64 { return math.Hypot(b.X-a.X, b.Y-a.Y) }

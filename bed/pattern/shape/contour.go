// Package shape has closed contours of lines and arcs in the plane: what a piece of a bed looks like from above, and what
// is cut out of it.
//
// A [Contour] is a ring of vertices, each with the bulge of the way to the next one, as in the polylines of drawing
// exchange files: 0 is a line, +1 a half circle that turns left, −1 one that turns right; in between, the tangent of a
// quarter of the arc's angle. An arc so passes through its ends exactly, and a contour is mirrored or turned without loss.
//
// Area, centroid, length, distances and whether a point is inside are exact but for rounding: arcs are not replaced by
// polygons. [Contour.Polygon] makes one where another tool wants it, with a stated error. [Subtract] takes one contour out
// of another.
//
// The package does not know stone, holes in a contour (a piece keeps them as contours of their own) or curves other than
// arcs of circles. Lengths are in mm, areas in mm², angles in radians, counter-clockwise positive.
package shape

import (
	"math"

	"slatewright/polygon"
)

// Point is a place in the plane, mm.
type Point struct{ X, Y float64 }

// Vertex is a corner of a contour and the way to the next corner.
type Vertex struct {
	X, Y float64
	// Bulge is tan(sweep/4) of the arc from here to the next vertex, positive where it turns left; 0 is a line. An arc of a
	// contour is at most a half circle, so that −1 ≤ Bulge ≤ 1.
	Bulge float64
}

// Contour is a closed ring; the last vertex goes to the first. The outside of a piece turns left (its area is positive).
type Contour []Vertex

// At returns the vertex's place.
func (v Vertex) At() Point { return Point{v.X, v.Y} }

// Rectangle returns the rectangle between two opposite corners, turning left.
func Rectangle(a, b Point) Contour {
	x0, x1, y0, y1 := math.Min(a.X, b.X), math.Max(a.X, b.X), math.Min(a.Y, b.Y), math.Max(a.Y, b.Y)
	return Contour{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

// Circle returns the circle of radius r about the centre, turning left, as two half circles.
func Circle(centre Point, r float64) Contour {
	return Contour{{centre.X + r, centre.Y, 1}, {centre.X - r, centre.Y, 1}}
}

// Segment is one side of a contour: a line, or an arc where Radius is not 0.
type Segment struct {
	From, To Point
	Bulge    float64
	Centre   Point   // of an arc
	Radius   float64 // of an arc, positive; 0 for a line
	Start    float64 // direction from Centre to From
	Sweep    float64 // angle of the arc, positive where it turns left
}

// NewSegment returns the side between two points.
func NewSegment(from, to Point, bulge float64) Segment {
	s := Segment{From: from, To: to, Bulge: bulge}
	if bulge == 0 {
		return s
	}
	dx, dy := to.X-from.X, to.Y-from.Y
	// The centre lies (1 − b²)/(4b) chords to the left of the chord's middle.
	off := (1 - bulge*bulge) / (4 * bulge)
	s.Centre = Point{(from.X+to.X)/2 - off*dy, (from.Y+to.Y)/2 + off*dx}
	s.Radius = math.Hypot(dx, dy) * (1 + bulge*bulge) / (4 * math.Abs(bulge))
	s.Start = math.Atan2(from.Y-s.Centre.Y, from.X-s.Centre.X)
	s.Sweep = 4 * math.Atan(bulge)
	return s
}

// Segments lists the sides in their order.
func (c Contour) Segments() []Segment {
	list := make([]Segment, len(c))
	for i, v := range c {
		list[i] = NewSegment(v.At(), c[(i+1)%len(c)].At(), v.Bulge)
	}
	return list
}

// Length is the way along the side.
func (s Segment) Length() float64 {
	if s.Radius == 0 {
		return math.Hypot(s.To.X-s.From.X, s.To.Y-s.From.Y)
	}
	return s.Radius * math.Abs(s.Sweep)
}

// Along returns the point at share t of the way, 0 ≤ t ≤ 1.
func (s Segment) Along(t float64) Point {
	switch {
	case t <= 0:
		return s.From
	case t >= 1:
		return s.To
	case s.Radius == 0:
		return Point{s.From.X + t*(s.To.X-s.From.X), s.From.Y + t*(s.To.Y-s.From.Y)}
	}
	sin, cos := math.Sincos(s.Start + t*s.Sweep)
	return Point{s.Centre.X + s.Radius*cos, s.Centre.Y + s.Radius*sin}
}

// Nearest returns the point of the side nearest to p, and at which share of the way it is.
func (s Segment) Nearest(p Point) (at Point, t float64) {
	if s.Radius == 0 {
		t = polygon.Share(p, s.From, s.To)
		return s.Along(t), t
	}
	if t, ok := s.share(p); ok {
		return s.Along(t), t
	}
	if between(p, s.From) <= between(p, s.To) {
		return s.From, 0
	}
	return s.To, 1
}

// share returns where on the arc the ray from its centre through p meets it, as a share of the way, if it does.
func (s Segment) share(p Point) (t float64, ok bool) {
	turned := math.Atan2(p.Y-s.Centre.Y, p.X-s.Centre.X) - s.Start
	if s.Sweep < 0 {
		turned = -turned
	}
	turned = math.Mod(turned, 2*math.Pi)
	if turned < 0 {
		turned += 2 * math.Pi
	}
	t = turned / math.Abs(s.Sweep)
	return t, t <= 1
}

func between(a, b Point) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }

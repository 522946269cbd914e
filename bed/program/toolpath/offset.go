package toolpath

import (
	"math"

	"slatewright/bed/pattern/shape"
)

// Path is a way of the tool's middle: sides of which each begins where the one before ends. A closed path ends where it begins.
type Path []shape.Segment

// Closed reports whether the path ends where it begins.
func (p Path) Closed() bool { return len(p) > 0 && gap(p[0].From, p[len(p)-1].To) <= 10*near }

// Length is the way along the path.
func (p Path) Length() (l float64) {
	for _, s := range p {
		l += s.Length()
	}
	return l
}

// Within returns the ways on which a tool of radius r runs inside a contour and touches its wall, each closed and turning left. There is none where the
// tool is too large, and more than one where it cannot pass from one part to another.
//
// Corners that are sharper than the tool stay round: ask From, with the wall's points, what is left.
func Within(c shape.Contour, r float64) []Path {
	if c.Area() < 0 {
		c = c.Reversed()
	}
	wall := c.Segments()
	var closed []Path
	for _, p := range Chained(beside(wall, r, true)) {
		if p.Closed() && c.Inside(p[0].Along(0.5)) {
			closed = append(closed, p)
		}
	}
	return closed
}

// Along returns the ways on which a tool of radius r runs along an open wall, to the left of it. One way is usual; there are more where the tool cannot
// pass between parts of the wall.
func Along(wall []shape.Segment, r float64) []Path { return Chained(beside(wall, r, false)) }

// beside returns the parts of the wall's parallel, to the left, that are no nearer than r to any part of the wall. A corner that the tool must go round has
// an arc about it.
func beside(wall []shape.Segment, r float64, closed bool) []shape.Segment {
	var raw []shape.Segment
	for i, s := range wall {
		if p, there := parallel(s, r); there {
			raw = append(raw, p)
		}
		next := i + 1
		if next == len(wall) {
			if !closed {
				break
			}
			next = 0
		}
		if arc, there := round(s, wall[next], r); there {
			raw = append(raw, arc)
		}
	}
	var kept []shape.Segment
	for _, s := range raw {
		for _, part := range Split(s, raw) {
			if From(part.Along(0.5), wall) >= r-near && From(part.Along(0.25), wall) >= r-near {
				kept = append(kept, part)
			}
		}
	}
	return kept
}

// direction is the unit direction of the way at one of its ends.
func direction(s shape.Segment, atEnd bool) (ux, uy float64) {
	p := s.From
	if atEnd {
		p = s.To
	}
	if s.Radius == 0 {
		l := gap(s.From, s.To)
		return (s.To.X - s.From.X) / l, (s.To.Y - s.From.Y) / l
	}
	ux, uy = -(p.Y-s.Centre.Y)/s.Radius, (p.X-s.Centre.X)/s.Radius
	if s.Sweep < 0 {
		ux, uy = -ux, -uy
	}
	return ux, uy
}

// Start is the unit direction in which a path begins.
func (p Path) Start() (ux, uy float64) { return direction(p[0], false) }

// End is the unit direction in which a path ends.
func (p Path) End() (ux, uy float64) { return direction(p[len(p)-1], true) }

// parallel is the side r to the left; an arc whose inside is smaller than that has none.
func parallel(s shape.Segment, r float64) (shape.Segment, bool) {
	if s.Radius > 0 && s.Sweep > 0 && s.Radius-r <= 10*near {
		return shape.Segment{}, false
	}
	move := func(p shape.Point, ux, uy float64) shape.Point { return shape.Point{X: p.X - r*uy, Y: p.Y + r*ux} }
	ux, uy := direction(s, false)
	vx, vy := direction(s, true)
	return shape.NewSegment(move(s.From, ux, uy), move(s.To, vx, vy), s.Bulge), true
}

// round is the arc about the corner between two sides where the way turns right, so that the tool goes around it.
func round(s, next shape.Segment, r float64) (shape.Segment, bool) {
	ux, uy := direction(s, true)
	vx, vy := direction(next, false)
	turn := math.Atan2(ux*vy-uy*vx, ux*vx+uy*vy)
	if turn >= -1e-9 {
		return shape.Segment{}, false
	}
	p := s.To
	return shape.NewSegment(shape.Point{X: p.X - r*uy, Y: p.Y + r*ux}, shape.Point{X: p.X - r*vy, Y: p.Y + r*vx}, math.Tan(turn/4)), true
}

// Chained joins sides end to start, each once, in the order in which they are given.
func Chained(sides []shape.Segment) []Path {
	used := make([]bool, len(sides))
	after := func(p shape.Point) int {
		for i, s := range sides {
			if !used[i] && gap(p, s.From) <= 10*near {
				return i
			}
		}
		return -1
	}
	before := func(p shape.Point) bool {
		for i, s := range sides {
			if !used[i] && gap(p, s.To) <= 10*near {
				return true
			}
		}
		return false
	}
	var paths []Path
	grow := func(i int) {
		var p Path
		for i >= 0 {
			used[i] = true
			p = append(p, sides[i])
			i = after(sides[i].To)
		}
		paths = append(paths, p)
	}
	for i, s := range sides { // open ways from their beginnings
		if !used[i] && !before(s.From) {
			grow(i)
		}
	}
	for i := range sides { // then rings
		if !used[i] {
			grow(i)
		}
	}
	return paths
}

// Package check holds a plan of package slab against the slab, by other means than those that made it: it follows the cuts one by one with parts of
// stone, clips polygons, and measures distances.
//
// It shares the types of package slab and, with what places the pieces (slab/ground), no geometry but the area of a polygon. It does not tell whether a
// plan is good, only whether it can be cut and gives sound pieces; and it trusts the bound.
package check

import (
	"fmt"
	"math"

	"slatewright/cutting/slab"
	"slatewright/polygon"
)

// near is how far a plan may be off by rounding, mm.
const near = 1e-5

// Plan lists what is wrong with a plan; nothing when it holds.
func Plan(s *slab.Slab, p *slab.Plan) (faults []string) {
	c := checker{s: s, p: p}
	c.value()
	c.cuts()
	for i, q := range p.Pieces {
		c.piece(i, q)
	}
	return c.faults
}

// Piece lists what is wrong with one piece by itself, cut in a frame that is turned by an angle.
func Piece(s *slab.Slab, angle float64, q slab.Piece) []string {
	c := checker{s: s, p: &slab.Plan{Angle: angle}}
	c.piece(0, q)
	return c.faults
}

type checker struct {
	s      *slab.Slab
	p      *slab.Plan
	faults []string
}

func (c *checker) fault(format string, args ...any) {
	c.faults = append(c.faults, fmt.Sprintf(format, args...))
}

// value adds up the pieces.
func (c *checker) value() {
	var sum int64
	used := make([]int, len(c.s.Types))
	for i, q := range c.p.Pieces {
		if q.Kind < 0 || q.Kind >= len(used) {
			c.fault("piece %d has no type", i)
			return
		}
		used[q.Kind]++
		sum += c.s.Types[q.Kind].Value
	}
	for k, n := range used {
		if m := c.s.Types[k].Most; m >= 0 && n > m {
			c.fault("%d copies of type %d, at most %d", n, k, m)
		}
	}
	if sum != c.p.Value || c.p.Bound < c.p.Value || c.p.Proven != (c.p.Bound == c.p.Value) {
		c.fault("the pieces are worth %d, the plan says %d of at most %d, proven %v", sum, c.p.Value, c.p.Bound, c.p.Proven)
	}
	allowed := false
	for _, a := range c.s.Angles {
		allowed = allowed || a == c.p.Angle
	}
	if !allowed {
		c.fault("the saw cannot be set to %g degrees", c.p.Angle)
	}
	if c.p.Kerf < c.s.Kerf {
		c.fault("the kerf is %g mm, planned with %g", c.s.Kerf, c.p.Kerf)
	}
}

// turned gives a point in a frame turned by degrees.
func turned(p slab.Point, degrees float64) slab.Point {
	a := degrees / 180 * math.Pi
	return slab.Point{X: p.X*math.Cos(a) + p.Y*math.Sin(a), Y: p.Y*math.Cos(a) - p.X*math.Sin(a)}
}

// stone is a part that lies on the saw, in the frame.
type stone struct{ x1, y1, x2, y2 float64 }

func same(a, b float64) bool { return math.Abs(a-b) < near }

// cuts follows the saw: each cut divides one part from edge to edge, and at the end each piece is a part.
func (c *checker) cuts() {
	start := stone{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, p := range c.s.Outline {
		q := turned(p, c.p.Angle)
		start.x1, start.x2 = math.Min(start.x1, math.Floor(q.X+near)), math.Max(start.x2, math.Ceil(q.X-near))
		start.y1, start.y2 = math.Min(start.y1, math.Floor(q.Y+near)), math.Max(start.y2, math.Ceil(q.Y-near))
	}
	parts := []stone{start}
	for i, k := range c.p.Cuts {
		var ok bool
		if parts, ok = c.saw(parts, turned(k.A, c.p.Angle), turned(k.B, c.p.Angle)); !ok {
			c.fault("cut %d does not run through one part from edge to edge", i)
			return
		}
	}
	taken := make([]bool, len(parts))
	for i, q := range c.p.Pieces {
		at := turned(q.At, c.p.Angle)
		found := false
		for k, s := range parts {
			if !taken[k] && same(s.x1, at.X) && same(s.y1, at.Y) && same(s.x2, at.X+q.Along) && same(s.y2, at.Y+q.Across) {
				taken[k], found = true, true
				break
			}
		}
		if !found {
			c.fault("piece %d is not what the cuts leave", i)
		}
	}
}

// saw divides the part that a cut runs through.
func (c *checker) saw(parts []stone, a, b slab.Point) (after []stone, ok bool) {
	half := c.p.Kerf / 2
	upright := same(a.X, b.X)
	if upright == same(a.Y, b.Y) {
		return nil, false
	}
	for i := len(parts) - 1; i >= 0; i-- { // what was cut last is cut next
		s := parts[i]
		one, two := s, s
		switch {
		case upright && same(math.Min(a.Y, b.Y), s.y1) && same(math.Max(a.Y, b.Y), s.y2) && a.X+half > s.x1-near && a.X-half < s.x2+near:
			one.x2, two.x1 = a.X-half, a.X+half
		case !upright && same(math.Min(a.X, b.X), s.x1) && same(math.Max(a.X, b.X), s.x2) && a.Y+half > s.y1-near && a.Y-half < s.y2+near:
			one.y2, two.y1 = a.Y-half, a.Y+half
		default:
			continue
		}
		empty := func(s stone) bool { return s.x2 <= s.x1 || s.y2 <= s.y1 }
		if parts[i] = two; empty(two) {
			parts[i] = one
			return parts, true
		}
		if !empty(one) {
			parts = append(parts, one)
		}
		return parts, true
	}
	return nil, false
}

// piece checks one piece against its type, the outline, the flaws and the thickness.
func (c *checker) piece(i int, q slab.Piece) {
	t := c.s.Types[q.Kind]
	l, w := t.Length+2*t.Allowance, t.Width+2*t.Allowance
	if q.Quarter%2 == 1 {
		l, w = w, l
	}
	if q.Along < l-near || q.Across < w-near {
		c.fault("piece %d is too small", i)
	}
	if !t.Quarters[q.Quarter] {
		c.fault("piece %d is turned in a way that it may not be", i)
	}
	if q.Over && (t.Shown == slab.PlaysTop || t.Shown == slab.PlaysNone) || !q.Over && t.Shown == slab.PlaysBottom {
		c.fault("piece %d lies on the wrong face", i)
	}
	if t.Grain != slab.AnyGrain {
		off := c.p.Angle + 90*float64(q.Quarter) - *c.s.Grain
		if t.Grain == slab.AcrossGrain {
			off -= 90
		}
		if off = math.Abs(math.Remainder(off, 180)); off > t.GrainWithin+1e-6 {
			c.fault("piece %d lies %g degrees off the grain", i, off)
		}
	}
	k := q.Corners(c.p.Angle)
	rect := k[:]
	if common(rect, c.s.Outline) < polygon.Area(rect)/2 || meets(rect, slab.Flaw{Points: append(c.s.Outline[:len(c.s.Outline):len(c.s.Outline)], c.s.Outline[0])}) {
		c.fault("piece %d lies outside the slab", i)
	}
	c.sound(i, q, t, rect)
}

// sound checks that no flaw is in a piece but what is cut away later.
func (c *checker) sound(i int, q slab.Piece, t slab.Type, rect []slab.Point) {
	for k, f := range c.s.Flaws {
		showing := slab.Top
		if q.Over {
			showing = slab.Bottom
		}
		if f.Playing && (t.Shown == slab.PlaysNone || f.Face != slab.Through && f.Face != showing) {
			continue
		}
		if meets(rect, f) && !c.hidden(q, t, f.Points, f.Clearance) {
			c.fault("piece %d has flaw %d in it", i, k)
		}
	}
	m := c.s.Thickness
	if m == nil || t.Thickness == 0 {
		return
	}
	for j := -1; j < len(m.Y); j++ {
		for n := -1; n < len(m.X); n++ {
			least := math.Inf(1)
			for _, dj := range []int{0, 1} {
				for _, dn := range []int{0, 1} {
					least = math.Min(least, m.T[clamp(j+dj, len(m.Y))][clamp(n+dn, len(m.X))])
				}
			}
			if least >= t.Thickness {
				continue
			}
			x1, x2 := edge(m.X, n), edge(m.X, n+1)
			y1, y2 := edge(m.Y, j), edge(m.Y, j+1)
			cell := []slab.Point{{X: x1, Y: y1}, {X: x2, Y: y1}, {X: x2, Y: y2}, {X: x1, Y: y2}}
			if meets(rect, slab.Flaw{Points: cell, Area: true}) && !c.hidden(q, t, cell, 0) {
				c.fault("piece %d is %g mm thick somewhere, and needs %g", i, least, t.Thickness)
				return
			}
		}
	}
}

func clamp(i, n int) int { return min(max(i, 0), n-1) }

// edge is a line of the map of thickness, or far outside it.
func edge(x []float64, i int) float64 {
	switch {
	case i < 0:
		return x[0] - 1e5
	case i >= len(x):
		return x[len(x)-1] + 1e5
	}
	return x[i]
}

// hidden tells whether points lie, with their clearance, wholly in one zone of a piece.
func (c *checker) hidden(q slab.Piece, t slab.Type, points []slab.Point, clearance float64) bool {
	own := make([]slab.Point, len(points))
	for i, p := range points {
		own[i] = c.own(q, t, p)
	}
	for _, z := range t.Zones {
		all := true
		for _, p := range own {
			all = all && within(z, p) >= clearance-near
		}
		if all {
			return true
		}
	}
	return false
}

// own gives a place of the slab in the frame of the finished piece as drawn: back by quarters, back over.
func (c *checker) own(q slab.Piece, t slab.Type, p slab.Point) slab.Point {
	at, in := turned(q.At, c.p.Angle), turned(p, c.p.Angle)
	x, y := in.X-at.X, in.Y-at.Y
	w, h := q.Along, q.Across
	for range q.Quarter { // a quarter clockwise
		x, y, w, h = y, w-x, h, w
	}
	if q.Over {
		y = h - y
	}
	return slab.Point{X: x - t.Allowance, Y: y - t.Allowance}
}

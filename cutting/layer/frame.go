package layer

import (
	"math"

	"slatewright/polygon"
)

// frame is the layer as one direction of the saw sees it: turned so that the runs go along x, with the outline's corner at the origin.
type frame struct {
	degrees  float64 // of the grid's x from the base line
	across   bool    // the runs go along the grid's y
	cos, sin float64
	corner   Point
	w, h     float64
	outline  []Point
	areas    [][]Point
	joints   []turned
	ground   *Ground
}

// turned is a joint in a frame.
type turned struct {
	parts  [][]Point // each a convex body by its corners: a stretch of the trace, swept by its lean
	normal Point     // across the joint
	clear  float64
}

func newFrame(g *Ground, degrees float64, across bool) *frame {
	turn := degrees
	if across {
		turn += 90
	}
	f := &frame{degrees: degrees, across: across, ground: g}
	f.sin, f.cos = math.Sincos(turn * math.Pi / 180)
	if turn == 90 {
		f.sin, f.cos = 1, 0
	}
	low, high := polygon.Around(f.all(g.Outline)) // about the layer's own origin as yet
	f.corner, f.w, f.h = low, high.X-low.X, high.Y-low.Y
	f.outline = f.all(g.Outline)
	for _, a := range g.Areas {
		f.areas = append(f.areas, f.all(a.Ring))
	}
	for _, j := range g.Joints {
		f.joints = append(f.joints, f.joint(j))
	}
	return f
}

func (f *frame) spin(p Point) Point { return Point{p.X*f.cos + p.Y*f.sin, p.Y*f.cos - p.X*f.sin} }

// in brings a place of the layer into the frame, out brings it back.
func (f *frame) in(p Point) Point { return f.spin(p).plus(f.corner.times(-1)) }
func (f *frame) out(p Point) Point {
	p = p.plus(f.corner)
	return Point{p.X*f.cos - p.Y*f.sin, p.Y*f.cos + p.X*f.sin}
}

func (f *frame) all(points []Point) []Point {
	list := make([]Point, len(points))
	for i, p := range points {
		list[i] = f.in(p)
	}
	return list
}

func (f *frame) joint(j Joint) turned {
	trace, lean := f.all(j.Trace), f.spin(j.Lean)
	t := turned{clear: j.Clear}
	ends := trace[len(trace)-1].plus(trace[0].times(-1))
	if l := math.Hypot(ends.X, ends.Y); l > 0 {
		t.normal = Point{-ends.Y / l, ends.X / l}
	}
	for i := 1; i < len(trace); i++ {
		a, b := trace[i-1], trace[i]
		part := []Point{a, b}
		if lean != (Point{}) {
			if j.Both {
				part = []Point{a.plus(lean.times(-1)), b.plus(lean.times(-1))}
			}
			part = append(part, a.plus(lean), b.plus(lean))
		}
		t.parts = append(t.parts, part)
	}
	return t
}

// extent is how far a convex body reaches along x between two heights. The lines between its corners hold its edges and nothing outside it.
func extent(body []Point, low, high float64) (from, to float64, ok bool) {
	from, to = math.Inf(1), math.Inf(-1)
	for i, a := range body {
		for _, b := range body[i+1:] {
			if lo, hi, meets := clip(a, b, low, high); meets {
				from, to = min(from, lo), max(to, hi)
			}
		}
	}
	return from, to, from <= to
}

// clip is how far a line between two points reaches along x between two heights.
func clip(a, b Point, low, high float64) (from, to float64, ok bool) {
	if a.Y > b.Y {
		a, b = b, a
	}
	if b.Y < low || a.Y > high {
		return 0, 0, false
	}
	xa, xb := a.X, b.X
	if b.Y > a.Y {
		slope := (b.X - a.X) / (b.Y - a.Y)
		if a.Y < low {
			xa = a.X + (low-a.Y)*slope
		}
		if b.Y > high {
			xb = a.X + (high-a.Y)*slope
		}
	}
	return min(xa, xb), max(xa, xb), true
}

// reach is extent for a body with a disc of radius r around each of its points. Outward, the disc is taken as the square around it, inward as that within.
func reach(body []Point, r, low, high float64) (from, to float64, ok bool) {
	from, to, ok = extent(body, low-r, high+r)
	return from - r, to + r, ok
}

// crossings calls with each stretch of a line at height y that lies within a ring.
func crossings(ring []Point, y float64, buffer []float64, call func(from, to float64)) []float64 {
	xs := buffer[:0]
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if (a.Y <= y) != (b.Y <= y) {
			x := a.X + (y-a.Y)*(b.X-a.X)/(b.Y-a.Y)
			k := len(xs)
			xs = append(xs, x)
			for ; k > 0 && xs[k-1] > x; k-- {
				xs[k] = xs[k-1]
			}
			xs[k] = x
		}
	}
	for i := 0; i+1 < len(xs); i += 2 {
		call(xs[i], xs[i+1])
	}
	return xs
}

// closed calls with every stretch along x that is no good ground somewhere between two heights, but for joints: outside the outline, in an area, or nearer to
// either than is kept off. shrink makes what is kept off smaller.
func (f *frame) closed(low, high, shrink float64, call func(from, to float64)) {
	edges := func(ring []Point, r float64) {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			if from, to, ok := clip(a, b, low-r, high+r); ok {
				call(from-r, to+r)
			}
		}
	}
	edges(f.outline, f.ground.Margin*shrink)
	last := math.Inf(-1)
	var buffer []float64
	buffer = crossings(f.outline, low, buffer, func(from, to float64) {
		call(last, from)
		last = to
	})
	call(last, math.Inf(1))
	for i, ring := range f.areas {
		edges(ring, f.ground.Areas[i].Clear*shrink)
		buffer = crossings(ring, low, buffer, call)
	}
}

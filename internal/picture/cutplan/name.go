package cutplan

import (
	"cmp"
	"math"
	"slices"

	"slatewright/cutting/slab"
	"slatewright/polygon"
)

// steps is how many places a name is tried at on either side of the middle, each a tenth of the piece farther.
const steps = 4

// NamePlace is where the middle of a piece's name stands, in the slab's coordinates: the place nearest to the middle of the piece where a name so
// long and high, half of it along the frame's x and y in mm, lies in the piece and on no flaw. Where there is none it is the middle.
func NamePlace(s *slab.Slab, q slab.Piece, angle, along, across float64) slab.Point {
	frame := slab.NewFrame(angle)
	corner := frame.In(q.At)
	middle := slab.Point{X: corner.X + q.Along/2, Y: corner.Y + q.Across/2}
	flaws := inFrame(s.Flaws, frame)
	for _, d := range besides(q, along, across) {
		low := slab.Point{X: middle.X + d.X - along, Y: middle.Y + d.Y - across}
		high := slab.Point{X: middle.X + d.X + along, Y: middle.Y + d.Y + across}
		if !covered(flaws, low, high) {
			return frame.Out(slab.Point{X: middle.X + d.X, Y: middle.Y + d.Y})
		}
	}
	return frame.Out(middle)
}

// besides are the places in a piece where a name is tried, from its middle and the nearest first.
func besides(q slab.Piece, along, across float64) []slab.Point {
	list := []slab.Point{{}}
	for i := -steps; i <= steps; i++ {
		for j := -steps; j <= steps; j++ {
			d := slab.Point{X: q.Along * float64(i) / 10, Y: q.Across * float64(j) / 10}
			if (i != 0 || j != 0) && math.Abs(d.X)+along <= q.Along/2 && math.Abs(d.Y)+across <= q.Across/2 {
				list = append(list, d)
			}
		}
	}
	slices.SortStableFunc(list, func(a, b slab.Point) int { return cmp.Compare(a.X*a.X+a.Y*a.Y, b.X*b.X+b.Y*b.Y) })
	return list
}

// inFrame are flaws in the coordinates of a frame.
func inFrame(flaws []slab.Flaw, frame slab.Frame) []slab.Flaw {
	out := make([]slab.Flaw, len(flaws))
	for i, f := range flaws {
		out[i] = slab.Flaw{Area: f.Area}
		for _, p := range f.Points {
			out[i].Points = append(out[i].Points, frame.In(p))
		}
	}
	return out
}

// covered tells whether a flaw lies in a box, or the box in a flaw.
func covered(flaws []slab.Flaw, low, high slab.Point) bool {
	for _, f := range flaws {
		for i, p := range f.Points {
			before := p
			if i > 0 {
				before = f.Points[i-1]
			} else if f.Area {
				before = f.Points[len(f.Points)-1]
			}
			if polygon.Meets(before, p, low, high) {
				return true
			}
		}
		if f.Area && polygon.Inside(f.Points, low) {
			return true
		}
	}
	return false
}

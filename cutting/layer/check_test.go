package layer_test

import (
	"math"

	"slatewright/cutting/layer"
	"slatewright/polygon"
)

const slack = 0.01 // mm, above rounding and far below what a saw keeps

// faults looks at a plan from outside, by other means than the planner's: places in the block's own frame, lines clipped by parameters.
func faults(q *layer.Question, p *layer.Plan) (list []string) {
	counts := make([]int, len(q.Sizes))
	for i, b := range p.Blocks {
		counts[b.Size]++
		z := q.Sizes[b.Size]
		long, wide := z.Length, z.Width
		if b.Turned {
			long, wide = wide, long
		}
		if p.Across {
			long, wide = wide, long
		}
		if math.Abs(b.Length-long) > slack || math.Abs(b.Width-wide) > slack || b.Turned && !z.Turn {
			list = append(list, "a block is not of its size, or turned without leave")
		}
		if !inside(q, b) {
			list = append(list, "a block is not in good ground")
		}
		for _, j := range q.Joints {
			if j.Chance == 1 && j.Error == 0 && meets(j, b) {
				list = append(list, "a block holds "+j.Name)
			}
		}
		for _, o := range p.Blocks[:i] {
			if tooNear(b, o, q.Saw.Kerf) {
				list = append(list, "two blocks lie nearer than a kerf")
			}
		}
	}
	for i, z := range q.Sizes {
		if z.Most > 0 && counts[i] > z.Most || counts[i] != p.Counts[i] {
			list = append(list, "the numbers of blocks are wrong")
		}
	}
	return append(list, cutFaults(p)...)
}

// cutFaults looks whether the cuts free every block in their order: runs first, through everything, and no cut through a block.
func cutFaults(p *layer.Plan) (list []string) {
	crossing := false
	bounded := make([]int, len(p.Blocks))
	for _, c := range p.Cuts {
		if crossing && !c.Cross {
			list = append(list, "a run is cut after a cross cut")
		}
		crossing = crossing || c.Cross
		for i, b := range p.Blocks {
			a, o := local(b, c.From), local(b, c.To)
			if polygon.Meets(a, o, layer.Point{X: slack, Y: slack}, layer.Point{X: b.Length - slack, Y: b.Width - slack}) {
				list = append(list, "a cut goes through a block")
			}
			if polygon.Meets(a, o, layer.Point{X: -600, Y: -600}, layer.Point{X: b.Length + 600, Y: b.Width + 600}) && (parallel(a, o) != c.Cross) && (!c.Cross || c.Run == b.Run) {
				bounded[i]++
			}
		}
	}
	for _, n := range bounded {
		if n < 4 {
			list = append(list, "a block is not cut on all sides")
		}
	}
	return list
}

func parallel(a, b layer.Point) bool { return math.Abs(a.Y-b.Y) < math.Abs(a.X-b.X) }

// local is a place as the block sees it, its first corner at the origin and its run along x.
func local(b layer.Block, p layer.Point) layer.Point {
	o, x, y := b.Corners[0], b.Corners[1], b.Corners[3]
	dot := func(u layer.Point, l float64) float64 {
		return ((p.X-o.X)*(u.X-o.X) + (p.Y-o.Y)*(u.Y-o.Y)) / l
	}
	return layer.Point{X: dot(x, b.Length), Y: dot(y, b.Width)}
}

// meets tells whether the joint, at any of 21 depths, comes nearer to a block than is kept off. Near a corner the distance is measured around it.
func meets(j layer.Joint, b layer.Block) bool {
	for k := -10; k <= 10; k++ {
		if k < 0 && !j.Both {
			continue
		}
		for i := 1; i < len(j.Trace); i++ {
			at := func(p layer.Point) layer.Point {
				f := float64(k) / 10
				return local(b, layer.Point{X: p.X + f*j.Lean.X, Y: p.Y + f*j.Lean.Y})
			}
			if near(at(j.Trace[i-1]), at(j.Trace[i]), b, j.Clear) {
				return true
			}
		}
	}
	return false
}

// near tells whether a line comes nearer to a block than r.
func near(a, o layer.Point, b layer.Block, r float64) bool {
	if polygon.Meets(a, o, layer.Point{X: slack, Y: slack}, layer.Point{X: b.Length - slack, Y: b.Width - slack}) {
		return true
	}
	if r == 0 {
		return false
	}
	for _, c := range []layer.Point{{X: 0, Y: 0}, {X: b.Length, Y: 0}, {X: 0, Y: b.Width}, {X: b.Length, Y: b.Width}} {
		if toLine(c, a, o) < r-slack {
			return true
		}
	}
	for _, e := range []layer.Point{a, o} {
		dx := math.Max(0, math.Max(-e.X, e.X-b.Length))
		dy := math.Max(0, math.Max(-e.Y, e.Y-b.Width))
		if math.Hypot(dx, dy) < r-slack {
			return true
		}
	}
	return false
}

func toLine(p, a, b layer.Point) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	t := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		t = math.Max(0, math.Min(1, ((p.X-a.X)*dx+(p.Y-a.Y)*dy)/l))
	}
	return math.Hypot(p.X-a.X-t*dx, p.Y-a.Y-t*dy)
}

// inside tells whether a block lies within the outline and outside every zone.
func inside(q *layer.Question, b layer.Block) bool {
	middle := layer.Point{X: (b.Corners[0].X + b.Corners[2].X) / 2, Y: (b.Corners[0].Y + b.Corners[2].Y) / 2}
	if !winds(q.Outline, middle) || edgeNear(q.Outline, b, q.Margin) {
		return false
	}
	for _, a := range q.Areas {
		if winds(a.Ring, middle) || edgeNear(a.Ring, b, a.Clear) {
			return false
		}
	}
	return true
}

func edgeNear(ring []layer.Point, b layer.Block, r float64) bool {
	for i, p := range ring {
		if near(local(b, p), local(b, ring[(i+1)%len(ring)]), b, r) {
			return true
		}
	}
	return false
}

// winds tells by the sum of angles whether a ring goes around a place.
func winds(ring []layer.Point, p layer.Point) bool {
	var sum float64
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		sum += math.Remainder(math.Atan2(b.Y-p.Y, b.X-p.X)-math.Atan2(a.Y-p.Y, a.X-p.X), 2*math.Pi)
	}
	return math.Abs(sum) > math.Pi
}

// tooNear tells whether two blocks, in the same frame, lie nearer than a kerf both ways.
func tooNear(b, o layer.Block, kerf float64) bool {
	c := local(b, o.Corners[0])
	return c.X < b.Length+kerf-slack && c.X+o.Length > -kerf+slack && c.Y < b.Width+kerf-slack && c.Y+o.Width > -kerf+slack
}

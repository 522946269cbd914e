package replay

import (
	"fmt"
	"math"
	"slices"

	"slatewright/bed/pattern/shape"
	"slatewright/bed/program/gcode"
	"slatewright/bed/program/machine"
	"slatewright/bed/program/setup"
	"slatewright/bed/program/toolpath"
)

// made looks at what became of a target.
func (r *replay) made(k int) {
	t := r.targets[k]
	m := Made{Name: t.Name, Wants: t.Depth, Over: r.over[k], Limit: t.Within}
	tip := r.depths[k]
	m.Depth = tip
	var sweeps, own []toolpath.Sweep
	if tip > 0 {
		sweeps, own = r.sweeps(k)
	}
	switch {
	case tip == 0:
		m.Over = 0
		m.Left = t.extent()
		r.fault(Fault{Code: Missing, Where: t.Name, What: "nothing of it is made"})
	case t.Kind == setup.Cone:
		r.cone(t, &m)
	case tip < t.need()-tiny:
		m.Left = t.extent()
		r.fault(Fault{Code: Shallow, Where: t.Name, By: t.Depth - tip, What: fmt.Sprintf("is %.3f mm deep, drawn are %.3f mm", tip, t.Depth)})
	default:
		m.Left = left(t.Wall, sweeps, -math.Max(m.Over, 0), t.extent())
		if m.Left > t.Within+tiny {
			r.fault(Fault{Code: Left, Where: t.Name, By: m.Left, What: fmt.Sprintf("its wall is not reached: %.3f mm of stone stay, %.3f mm are allowed", m.Left, t.Within)})
		} else if t.Round() {
			r.round(t, m)
		}
	}
	r.area(t, own, &m)
	if math.IsInf(m.Over, -1) {
		m.Over = 0
	}
	r.out.Made = append(r.out.Made, m)
}

// need is the depth at which the target counts as made: through the stone it must be the whole of it.
func (t target) need() float64 {
	if t.Breaks > 0 {
		return t.Depth
	}
	return t.Depth - t.DepthBy
}

// extent is a length that no part of the target is further than from its wall.
func (t target) extent() float64 { return math.Max(t.high.X-t.low.X, t.high.Y-t.low.Y) }

// sweeps are those stretches of all cuts over a target that go as deep as it wants, and those among them that belong to it alone: a counterbore sweeps over
// its hole.
func (r *replay) sweeps(k int) (all, own []toolpath.Sweep) {
	t := r.targets[k]
	need := t.need()
	for i, m := range r.c.Moves {
		if m.Rapid || r.depth(math.Min(m.From.Z, m.To.Z)) < need-tiny {
			continue
		}
		tool := r.m.Tool(m.Tool)
		if tool == nil || tool.Kind == machine.Sink {
			continue
		}
		low, high := bounds(m)
		if radius := tool.Radius(); low.X-radius > t.high.X || high.X+radius < t.low.X || low.Y-radius > t.high.Y || high.Y+radius < t.low.Y {
			continue
		}
		s := toolpath.Sweep{Way: r.deep(i, need-tiny), Radius: tool.Radius()}
		if tool.Kind == machine.Core && t.Floored() {
			s.Hole = tool.Radius() - tool.Wall
		}
		all = append(all, s)
		if r.owner[i] == k {
			own = append(own, s)
		}
	}
	return all, own
}

// deep is the stretch of a move's way that is at least as deep as said.
func (r *replay) deep(i int, depth float64) shape.Segment {
	m := r.c.Moves[i]
	a, b := r.depth(m.From.Z), r.depth(m.To.Z)
	switch {
	case m.Straight() || math.Min(a, b) >= depth:
		return m.Way
	case a < b:
		return toolpath.Part(m.Way, (depth-a)/(b-a), 1)
	}
	return toolpath.Part(m.Way, 0, (a-depth)/(a-b))
}

// round takes the two ends of the error of a round hole apart: what its wall is beyond the drawing on one side and short of it on the other.
func (r *replay) round(t target, m Made) {
	if by := m.Over - m.Left; math.Abs(by) > t.Size+2*tiny {
		r.fault(Fault{Code: Size, Where: t.Name, By: math.Abs(by), What: fmt.Sprintf("is %.3f mm across, drawn are %.3f mm; %.3f mm more or less are allowed", t.Diameter+by, t.Diameter, t.Size)})
	}
	if by := (m.Over + m.Left) / 2; by > t.Zone/2+tiny {
		r.fault(Fault{Code: Aside, Where: t.Name, By: by, What: fmt.Sprintf("lies %.3f mm from its place; %.3f mm are allowed", by, t.Zone/2)})
	}
}

// fine is how exactly it is found how far a wall is from being reached, mm.
const fine = 1e-3

// left is how far the worst place of a wall stays from what is swept: the least margin by which the sweeps must grow to cover all of it, no less than least
// and no more than most.
func left(wall []shape.Segment, sweeps []toolpath.Sweep, least, most float64) float64 {
	covered := func(by float64) bool {
		for _, side := range wall {
			if len(toolpath.Uncovered(side, sweeps, by)) > 0 {
				return false
			}
		}
		return true
	}
	if covered(least + tiny) {
		return least
	}
	low, step := least+tiny, 4*tiny
	high := low + step
	for !covered(high) {
		low, step = high, 4*step
		if high += step; high > most {
			return most
		}
	}
	for high-low > fine {
		if middle := (low + high) / 2; covered(middle) {
			high = middle
		} else {
			low = middle
		}
	}
	return high
}

// cone looks at a countersink: the sink that went down in it, at the face and where the hole begins.
func (r *replay) cone(t target, m *Made) {
	m.Left = t.extent()
	for _, move := range r.c.Moves {
		tool := r.m.Tool(move.Tool)
		if move.Rapid || tool == nil || tool.Kind != machine.Sink {
			continue
		}
		aside := math.Hypot(move.Way.To.X-t.Centre.X, move.Way.To.Y-t.Centre.Y)
		deepest := r.depth(move.To.Z)
		if aside > t.Diameter/2 || deepest <= tiny {
			continue
		}
		short := math.Max(t.Diameter/2-tool.At(deepest), t.Under/2-tool.At(deepest-t.Depth)) + aside
		m.Left = math.Max(0, math.Min(m.Left, short))
	}
	if m.Left > t.Within+tiny {
		r.fault(Fault{Code: Shallow, Where: t.Name, By: m.Left, What: fmt.Sprintf("its cone stays %.3f mm short at its wall, %.3f mm are allowed", m.Left, t.Within)})
	}
}

// looks is on how many lines a target is looked at.
const looks = 80

// area measures what is removed of a target on level lines, and looks whether a floor is cleared. What falls out of a closed cut counts as removed.
func (r *replay) area(t target, sweeps []toolpath.Sweep, m *Made) {
	wide := 0.0
	for _, s := range sweeps {
		wide = math.Max(wide, s.Radius)
	}
	m.Lines = (t.high.Y - t.low.Y + 2*wide) / looks
	out := m.Left <= t.Within+tiny && !t.Floored()
	if out { // what rounding of places takes beyond the wall is no area
		sweeps = slices.Clone(sweeps)
		for i := range sweeps {
			sweeps[i].Radius -= 2 * tiny
		}
	}
	bare := 0.0
	for i := range looks {
		y := t.low.Y - wide + (float64(i)+0.5)*m.Lines
		stone, drawn := toolpath.Inside(r.s.Stone, y), toolpath.Inside(t.Outline, y)
		wants := toolpath.Common(stone, drawn)
		m.Drawn += m.Lines * toolpath.Length(wants)
		if t.Kind == setup.Cone {
			continue
		}
		swept := toolpath.Common(stone, toolpath.Across(sweeps, y))
		if t.Floored() {
			bare = math.Max(bare, r.bare(t, wants, swept, y))
		}
		if out {
			swept = toolpath.Together(append(swept, wants...))
		}
		m.Area += m.Lines * toolpath.Length(swept)
	}
	// The drawing's own area is known exactly: the lines only have to find the difference.
	exact := r.drawn(t, m.Drawn)
	m.Area, m.Drawn = m.Area+exact-m.Drawn, exact
	if len(sweeps) == 0 {
		m.Area = 0
	}
	if t.Kind == setup.Cone && m.Left <= t.Within+tiny {
		m.Area = m.Drawn
	}
	r.out.Stone += m.Area / m.Drawn * t.volume(m.Depth, m.Drawn)
	if bare > t.Within+tiny && m.Depth >= t.need()-tiny {
		r.fault(Fault{Code: Left, Where: t.Name, By: bare, What: fmt.Sprintf("its floor is not cleared: stone stays %.3f mm from the wall", bare)})
	}
}

// drawn is the area that a target takes of the stone, by Green's theorem; the one from lines where its sides run along those of the stone.
func (r *replay) drawn(t target, lines float64) float64 {
	if math.Abs(toolpath.Path(t.Wall).Length()-t.Outline.Length()) < tiny {
		return math.Abs(t.Outline.Area())
	}
	outer, _, err := shape.Subtract(r.s.Stone, t.Outline)
	if err != nil {
		return lines
	}
	area := r.s.Stone.Area()
	for _, c := range outer {
		area -= c.Area()
	}
	return area
}

// volume of stone in a target down to a depth, given its area in the stone. What a counterbore or countersink shares with its hole belongs to the hole.
func (t target) volume(depth, area float64) float64 {
	depth = math.Min(depth, t.Depth)
	if t.Breaks > 0 {
		depth = math.Min(depth, t.Breaks)
	}
	a, b := t.Diameter/2, t.Under/2
	switch {
	case t.Kind == setup.Cone:
		return math.Pi * t.Depth * (a*a + a*b - 2*b*b) / 3
	case t.Under > 0:
		return (area - math.Pi*b*b) * depth
	}
	return area * depth
}

// bare is how far inside the wall the deepest place of a line lies that is not swept.
func (r *replay) bare(t target, wants, swept []toolpath.Span, y float64) (worst float64) {
	see := func(from, to float64) {
		if to-from > tiny {
			worst = math.Max(worst, toolpath.From(shape.Point{X: (from + to) / 2, Y: y}, t.Wall))
		}
	}
	for _, w := range wants {
		at := w.From
		for _, s := range swept {
			if s.To <= w.From || s.From >= w.To {
				continue
			}
			see(at, s.From)
			at = math.Max(at, s.To)
		}
		see(at, w.To)
	}
	return worst
}

// turn tells how far two moves that follow one another turn, rad.
func turn(a, b gcode.Move) float64 {
	ax, ay := toolpath.Path{a.Way}.End()
	bx, by := toolpath.Path{b.Way}.Start()
	return math.Abs(math.Atan2(ax*by-ay*bx, ax*bx+ay*by))
}

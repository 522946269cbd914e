// Package replay follows a program against the stone: whether what it removes is what the setup wants, nothing else is touched, and every move is one that
// the machine and the tool can make.
//
// Plan and depth are taken apart (what is removed at a depth has an outline of lines and arcs there): distances between the way of a tool and the walls of
// the stone that stays are exact but for rounding, and so is whether a wall is reached along its whole length. Areas, and whether a floor is cleared, are
// looked at on lines a stated distance apart.
//
// It knows the moves that a control makes of the words and nothing of how they were chosen; what it finds is named with the line. It does not know clamps,
// hoses, holders, wear, or whether the stone is where it should be, and is no safety device.
package replay

import (
	"fmt"
	"math"
	"slices"

	"slatewright/bed/program/gcode"
	"slatewright/bed/program/machine"
	"slatewright/bed/program/setup"
)

// Fault is something wrong with a program. Lines is how many lines show the same one; Line is the first, 0 where no line shows it.
type Fault struct {
	Code  string
	Line  int
	Lines int
	Where string // name of the target, or ""
	What  string
	By    float64 // mm, or the fault's own measure; 0 where it has none
}

// The codes of faults.
const (
	Travel       = "travel"        // beyond the machine's travel
	NoTool       = "no-tool"       // none, or none that the machine has
	NoLength     = "no-length"     // the tool's length is not taken in
	NoZero       = "no-zero"       // the zero of the work is not the machine's
	SpindleOff   = "spindle-off"   // cuts with it off
	SpindleFast  = "spindle-fast"  // turns faster than the tool may
	Dry          = "dry"           // cuts with the water off
	FeedFast     = "feed"          // faster than the tool may
	BreakFast    = "breakthrough"  // comes out of the stone faster than it may
	RapidInStone = "rapid"         // a rapid move that meets stone
	IntoTable    = "table"         // deeper than the board under the stone
	Outside      = "outside"       // cuts stone that stays
	TooDeep      = "too-deep"      // below the floor of what is drawn
	Sideways     = "sideways"      // a tool that only goes straight down is moved along
	StraightDown = "straight-down" // a router goes straight down in stone
	Step         = "step"          // deeper at once than the router may
	Reach        = "reach"         // deeper than the tool can cut
	Missing      = "missing"       // nothing of a target is made
	Left         = "left"          // stone is left along a wall, or on a floor
	Shallow      = "shallow"       // not as deep as drawn
	Size         = "size"          // a hole is wider or narrower than may be
	Aside        = "aside"         // a hole lies further from its place than may be
	NoEnd        = "no-end"        // the program does not end
	Unplaced     = "unplaced"      // it goes down before X and Y are given
	More         = "more"          // more faults than are told
)

// Made is what became of one target.
type Made struct {
	Name  string
	Depth float64 // reached
	Wants float64 // depth to be reached
	Over  float64 // how far the tool goes beyond the wall; below zero where it stays short everywhere
	Left  float64 // how far the worst place of the wall stays short
	Limit float64 // of both
	Area  float64 // removed within and around its outline, of the stone, mm², by lines Lines apart
	Drawn float64 // the same of the drawing
	Lines float64
}

// Result is what a replay finds.
type Result struct {
	Faults    []Fault
	Made      []Made
	Low, High gcode.Place // of the tip of the tool, in the places of the work
	Cut       float64     // way at a feed, mm
	Rapid     float64     // way of rapid moves, mm
	// Least is the time without acceleration, Seconds the time with a stop at every corner; 0 where the acceleration is not known. Waiting for the operator is
	// not in them.
	Least, Seconds float64
	Wet            float64 // time with the water on, s, of the longer of the two
	Litres         float64 // 0 where the flow is not known
	Changes        int
	Pauses         int
	Stone          float64 // volume of stone that is removed, waste that falls out included, mm³
}

// Of replays a course on a setup.
func Of(c *gcode.Course, s *setup.Setup, m *machine.Machine) *Result {
	r := &replay{c: c, s: s, m: m, edge: s.Stone.Segments(), over: make([]float64, len(s.Targets)), depths: make([]float64, len(s.Targets)), owner: make([]int, len(c.Moves)), out: &Result{Changes: len(c.Changes), Pauses: len(c.Pauses)}}
	for i := range s.Targets {
		t := &s.Targets[i]
		low, high := t.Outline.Bounds()
		r.targets = append(r.targets, target{t, t.Kept(), low, high})
		r.over[i] = math.Inf(-1)
	}
	r.extent()
	for i := range c.Moves {
		r.owner[i] = -1
		r.move(i)
	}
	for i := range r.targets {
		r.made(i)
	}
	if !c.Ended {
		r.fault(Fault{Code: NoEnd, What: "the program does not end: no M2 or M30"})
	}
	r.times()
	slices.SortStableFunc(r.out.Faults, func(a, b Fault) int { return a.Line - b.Line })
	return r.out
}

// mostFaults is how many faults are told.
const mostFaults = 60

// fault keeps the first of each kind at each target, and counts the others.
func (r *replay) fault(f Fault) {
	for i := range r.out.Faults {
		if o := &r.out.Faults[i]; o.Code == f.Code && o.Where == f.Where {
			o.Lines++
			if f.By > o.By {
				o.By, o.What = f.By, f.What
			}
			return
		}
	}
	f.Lines = 1
	if len(r.out.Faults) >= mostFaults {
		f = Fault{Code: More, Line: f.Line, Lines: 1, What: fmt.Sprintf("more than %d faults; the others are not told", mostFaults)}
		if last := &r.out.Faults[len(r.out.Faults)-1]; last.Code == More {
			last.Lines++
			return
		}
	}
	r.out.Faults = append(r.out.Faults, f)
}

// extent finds how far the tool goes, and what is beyond the travel of the machine.
func (r *replay) extent() {
	r.out.Low, r.out.High = gcode.Place{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}, gcode.Place{X: math.Inf(-1), Y: math.Inf(-1), Z: math.Inf(-1)}
	m := r.m
	for _, move := range r.c.Moves {
		low, high := bounds(move)
		if move.Unplaced { // only its height is known
			low.X, low.Y, high.X, high.Y = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
		}
		for _, axis := range []struct {
			name               string
			low, high, at      float64
			span               machine.Span
			leastLow, mostHigh *float64
		}{
			{"X", low.X, high.X, m.WorkX, m.X, &r.out.Low.X, &r.out.High.X},
			{"Y", low.Y, high.Y, m.WorkY, m.Y, &r.out.Low.Y, &r.out.High.Y},
			{"Z", low.Z, high.Z, m.WorkZ, m.Z, &r.out.Low.Z, &r.out.High.Z},
		} {
			*axis.leastLow, *axis.mostHigh = math.Min(*axis.leastLow, axis.low), math.Max(*axis.mostHigh, axis.high)
			by := math.Max(axis.span.Low-(axis.low+axis.at), axis.high+axis.at-axis.span.High)
			if by > 1e-6 {
				r.fault(Fault{Code: Travel, Line: move.Line, Where: axis.name, By: by,
					What: fmt.Sprintf("%s goes %.3f mm beyond the travel of the machine, which is %g to %g mm", axis.name, by, axis.span.Low, axis.span.High)})
			}
		}
		if move.Rapid {
			r.out.Rapid += move.Length()
		} else {
			r.out.Cut += move.Length()
		}
	}
	if math.IsInf(r.out.Low.X+r.out.Low.Y+r.out.Low.Z, 0) {
		r.out.Low, r.out.High = gcode.Place{}, gcode.Place{}
	}
}

// bounds are the least and largest places of a move.
func bounds(m gcode.Move) (low, high gcode.Place) {
	low = gcode.Place{X: math.Min(m.From.X, m.To.X), Y: math.Min(m.From.Y, m.To.Y), Z: math.Min(m.From.Z, m.To.Z)}
	high = gcode.Place{X: math.Max(m.From.X, m.To.X), Y: math.Max(m.From.Y, m.To.Y), Z: math.Max(m.From.Z, m.To.Z)}
	if w := m.Way; w.Radius > 0 {
		for q := range 4 {
			turned := math.Mod(float64(q)*math.Pi/2-w.Start, 2*math.Pi)
			if w.Sweep < 0 {
				turned = -turned
			}
			turned = math.Mod(turned+4*math.Pi, 2*math.Pi)
			if turned <= math.Abs(w.Sweep) {
				p := w.Along(turned / math.Abs(w.Sweep))
				low.X, low.Y = math.Min(low.X, p.X), math.Min(low.Y, p.Y)
				high.X, high.Y = math.Max(high.X, p.X), math.Max(high.Y, p.Y)
			}
		}
	}
	return low, high
}

package replay

import (
	"fmt"
	"math"

	"slatewright/bed/pattern/shape"
	"slatewright/bed/program/gcode"
	"slatewright/bed/program/machine"
	"slatewright/bed/program/setup"
	"slatewright/bed/program/toolpath"
)

// target is one of the setup with what stays around it.
type target struct {
	*setup.Target
	kept      []shape.Segment
	low, high shape.Point
}

type replay struct {
	c       *gcode.Course
	s       *setup.Setup
	m       *machine.Machine
	edge    []shape.Segment // of the stone
	targets []target
	over    []float64 // by target: how far the tool went beyond the wall
	depths  []float64 // by target: how deep the moves that belong to it went
	owner   []int     // by move: the target that it belongs to, −1 for none
	out     *Result
}

// depth is how far below the upper face a height lies.
func (r *replay) depth(z float64) float64 { return r.s.Top - z }

// tiny is what rounding of a program's places may do, mm.
const tiny = 2e-3

// move looks at one move that goes below the upper face.
func (r *replay) move(i int) {
	m := r.c.Moves[i]
	from, to := r.depth(m.From.Z), r.depth(m.To.Z)
	deepest := math.Max(from, to)
	if deepest <= tiny {
		return
	}
	tool := r.m.Tool(m.Tool)
	at := func(code, where, what string, by float64) {
		r.fault(Fault{Code: code, Line: m.Line, Where: where, What: what, By: by})
	}
	if tool == nil {
		at(NoTool, "", fmt.Sprintf("goes down with tool %d, which the machine does not have", m.Tool), 0)
		return
	}
	if m.Unplaced {
		at(Unplaced, "", fmt.Sprintf("goes down to %.3f mm below the upper face before X and Y are given", deepest), deepest)
		return
	}
	if by := deepest - r.s.Thickness - r.s.Board; by > tiny {
		at(IntoTable, "", fmt.Sprintf("goes %.3f mm below the board, into the table", by), by)
	}
	if !r.touches(m, tool.At(deepest)) {
		return
	}
	if m.Rapid {
		r.rapid(i, tool, from, to)
		return
	}
	r.running(m, tool, deepest)
	r.pace(i, tool, r.bite(i, tool, deepest), deepest)
}

// touches reports whether a tool of radius r meets the stone, or what was stone, on its way.
func (r *replay) touches(m gcode.Move, radius float64) bool {
	return r.s.Stone.Inside(m.Way.From) || toolpath.Nearest(m.Way, r.edge) < radius-tiny
}

// rapid looks at a rapid move below the face. Straight up is always free: the tool leaves what it has made. Straight down is free where this tool, or one as
// wide, was as deep before. Along is never free within the stone's outline: that is our rule, also where a slot was cut before.
func (r *replay) rapid(i int, tool *machine.Tool, from, to float64) {
	m := r.c.Moves[i]
	if m.Straight() && (to <= from || r.before(i, m.Way.From, to, tool.Radius(), tiny)) {
		return
	}
	deepest := math.Max(from, to)
	what := fmt.Sprintf("a rapid move goes along below the upper face of the stone, to %.3f mm deep", deepest)
	if m.Straight() {
		what = fmt.Sprintf("a rapid move goes down into stone, to %.3f mm deep", deepest)
	}
	r.fault(Fault{Code: RapidInStone, Line: m.Line, Where: r.name(m.Way.From), What: what, By: deepest})
}

// before reports whether a tool at least as wide passed a place before move i, no deeper than to be reached, within aside of the place.
func (r *replay) before(i int, p shape.Point, depth, radius, aside float64) bool {
	for k := i - 1; k >= 0; k-- {
		m := r.c.Moves[k]
		if m.Rapid || r.depth(math.Min(m.From.Z, m.To.Z)) < depth-tiny {
			continue
		}
		if tool := r.m.Tool(m.Tool); tool == nil || tool.Radius() < radius-tiny {
			continue
		}
		on, share := m.Way.From, 1.0
		if !m.Straight() {
			on, share = m.Way.Nearest(p)
		} else if m.To.Z > m.From.Z {
			share = 0
		}
		if math.Hypot(on.X-p.X, on.Y-p.Y) <= aside && r.depth(m.From.Z+share*(m.To.Z-m.From.Z)) >= depth-tiny {
			return true
		}
	}
	return false
}

// running looks at what must hold while stone is cut.
func (r *replay) running(m gcode.Move, tool *machine.Tool, deepest float64) {
	at := func(code, what string, by float64) {
		r.fault(Fault{Code: code, Line: m.Line, Where: fmt.Sprintf("T%d", m.Tool), What: what, By: by})
	}
	if !m.Turning || m.Speed <= 0 {
		at(SpindleOff, "cuts with the spindle off", 0)
	} else if m.Speed > tool.Speed*1.001 {
		at(SpindleFast, fmt.Sprintf("turns at %g a minute; the tool may turn at %g", m.Speed, tool.Speed), m.Speed-tool.Speed)
	}
	if !m.Water {
		at(Dry, "cuts with the water off", 0)
	}
	if r.m.Control.Length != "" && !m.Measured {
		at(NoLength, "cuts without the tool's length", 0)
	}
	if m.Work != r.m.Work {
		at(NoZero, fmt.Sprintf("cuts from the zero %q; the work's is %s", m.Work, r.m.Work), 0)
	}
	if by := deepest - tool.Reach; by > tiny {
		at(Reach, fmt.Sprintf("is %.3f mm deeper than the tool can cut", by), by)
	}
}

// fit says how a move lies in a target, the better the larger.
type fit int

const (
	across fit = iota // beyond its wall
	below             // within its wall and below its floor
	within
)

// bite finds the target that a move belongs to: of those within whose walls it stays the one it fits most closely, or else the one beyond whose wall it
// goes least. It returns its index, −1 for none.
func (r *replay) bite(i int, tool *machine.Tool, deepest float64) (best int) {
	m := r.c.Moves[i]
	best = -1
	over, how := math.Inf(1), across
	radius := tool.At(deepest)
	low, high := bounds(m)
	outside := !r.s.Stone.Inside(m.Way.From)
	for k, t := range r.targets {
		if t.Kind == setup.Cone && tool.Kind != machine.Sink {
			continue
		}
		if low.X-radius > t.high.X || high.X+radius < t.low.X || low.Y-radius > t.high.Y || high.Y+radius < t.low.Y {
			continue
		}
		reach := toolpath.Nearest(m.Way, t.kept)
		if !outside && !t.Outline.Inside(m.Way.From) {
			reach = -toolpath.From(m.Way.From, t.kept)
		}
		by, lies := beyond(t.Target, tool, math.Min(deepest, t.Deepest))-reach, across
		if by <= t.Within+tiny {
			lies = below
			if deepest <= t.Deepest+tiny {
				lies = within
			}
		}
		if lies > how || lies == how && (by > over) == (lies != across) {
			best, over, how = k, by, lies
		}
	}
	if best < 0 {
		r.fault(Fault{Code: Outside, Line: m.Line, Where: r.name(m.Way.From), By: radius, What: fmt.Sprintf("cuts %.3f mm deep at X%.3f Y%.3f, where nothing is to be removed", deepest, m.Way.From.X, m.Way.From.Y)})
		return -1
	}
	t := r.targets[best]
	r.over[best] = math.Max(r.over[best], over)
	r.depths[best] = math.Max(r.depths[best], deepest)
	r.owner[i] = best
	switch how {
	case below:
		r.fault(Fault{Code: TooDeep, Line: m.Line, Where: t.Name, By: deepest - t.Depth, What: fmt.Sprintf("is %.3f mm deep, drawn are %.3f mm", deepest, t.Depth)})
	case across:
		r.fault(Fault{Code: Outside, Line: m.Line, Where: t.Name, By: over, What: fmt.Sprintf("cuts %.3f mm into the stone that stays; %.3f mm are allowed", over, t.Within)})
	}
	return best
}

// beyond is the largest radius of a tool over that of a target, at all depths, counted from the target's wall at the face.
func beyond(t *setup.Target, tool *machine.Tool, deepest float64) float64 {
	if !t.Round() {
		return tool.At(deepest)
	}
	most := math.Inf(-1)
	for _, d := range [3]float64{0, math.Min(t.Depth, deepest), deepest} {
		most = math.Max(most, tool.At(deepest-d)+t.Diameter/2-t.Radius(d))
	}
	return most
}

// pace looks at feeds and steps.
func (r *replay) pace(i int, tool *machine.Tool, where int, deepest float64) {
	m := r.c.Moves[i]
	at := func(code, what string, by float64) {
		name := fmt.Sprintf("T%d", m.Tool)
		if where >= 0 {
			name = r.targets[where].Name
		}
		r.fault(Fault{Code: code, Line: m.Line, Where: name, What: what, By: by})
	}
	along := !m.Straight()
	down := m.To.Z < m.From.Z-1e-9
	if along && tool.Kind != machine.Router {
		at(Sideways, "moves along in the stone with a tool that is no router", 0)
	}
	if tool.Kind == machine.Router {
		if !along && down && !r.before(i, m.Way.From, deepest, tool.Radius(), tiny) {
			at(StraightDown, "a router goes straight down in stone", deepest)
		}
		stone := r.s.Thickness // what lies below it is board, or open
		if where >= 0 && r.targets[where].Breaks > 0 {
			stone = r.targets[where].Breaks
		}
		middle := math.Min(stone, r.depth((m.From.Z+m.To.Z)/2))
		if d := middle - tool.Step; d > tiny && along && !r.before(i, m.Way.Along(0.5), d, 0, tool.Radius()) {
			at(Step, fmt.Sprintf("cuts %.3f mm deep, with more than the step of %.3f mm of stone before it", middle, tool.Step), middle)
		}
	}
	most, share := tool.Feed, 1.0
	if down || tool.Kind != machine.Router {
		most = tool.Plunge
	}
	if where >= 0 {
		if t := r.targets[where]; t.Breaks > 0 && deepest > t.Breaks-r.m.Break.Last+tiny {
			share = r.m.Break.Share
		}
	}
	switch limit := most * share; {
	case m.To.Z > m.From.Z && m.Straight(): // out of the hole
	case m.Feed > most+0.06:
		at(FeedFast, fmt.Sprintf("feeds at %g mm/min; the tool may at %g", m.Feed, most), m.Feed-most)
	case m.Feed > limit+0.06:
		at(BreakFast, fmt.Sprintf("comes out of the stone at %g mm/min; %g are allowed there", m.Feed, limit), m.Feed-limit)
	}
}

// coarse is how far apart, at least, places are that are named apart, mm.
const coarse = 50

// name is the target at a place, or the place, roughly.
func (r *replay) name(p shape.Point) string {
	for _, t := range r.targets {
		if t.Outline.Inside(p) {
			return t.Name
		}
	}
	return fmt.Sprintf("near X%.0f Y%.0f", coarse*math.Round(p.X/coarse)+0, coarse*math.Round(p.Y/coarse)+0)
}

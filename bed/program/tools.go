package program

import (
	"fmt"
	"math"

	"slatewright/bed/pattern/shape"
	"slatewright/bed/program/machine"
	"slatewright/bed/program/setup"
	"slatewright/bed/program/toolpath"
	"slatewright/bed/program/tour"
	"slatewright/trouble"
)

// operation is one target with its tool and way.
type operation struct {
	target  *setup.Target
	tool    *machine.Tool
	stage   int
	in, out tour.Point
	area    float64 // of what is removed, mm²

	kind  kind
	way   toolpath.Path // of the tool's middle along the wall, for routed
	lead  float64       // radius of the arc on which a closed way is reached and left
	rings []float64     // radii of the ways on a floor, from the inside
}

// kind is how a target is made.
type kind int

const (
	plunged kind = iota // straight down
	closed              // along a wall that closes
	passing             // along a wall from edge to edge of the stone
	floored             // rings over a round floor
)

// operations finds a tool and a way for every target.
func (w *writer) operations() (list []operation, err error) {
	for i := range w.s.Targets {
		t := &w.s.Targets[i]
		made, err := w.make(t)
		if err != nil {
			return nil, err
		}
		list = append(list, made...)
	}
	return list, nil
}

func (w *writer) make(t *setup.Target) ([]operation, error) {
	stage := 1
	if t.Kind == setup.Hole && !t.Floored() {
		stage = 2
	}
	if t.Kind == setup.Open {
		return w.cut(t)
	}
	if tool := w.straight(t); tool != nil {
		c := tour.Point{X: t.Centre.X, Y: t.Centre.Y}
		return []operation{{target: t, tool: tool, stage: stage, in: c, out: c}}, nil
	}
	if t.Kind == setup.Hole {
		if op, ok := w.routed(t, stage); ok {
			return []operation{op}, nil
		}
	}
	return nil, w.unmade(t)
}

// unmade is the trouble with a target that no tool can make.
func (w *writer) unmade(t *setup.Target) error {
	what := fmt.Sprintf("no tool makes %s: %s mm across, %s mm deep", t.Name, plain(t.Diameter), plain(w.bottom(t)))
	next := fmt.Sprintf("give the machine file a bit of %s to %s mm, or a thinner router, that cuts so deep", plain(t.Diameter-t.Size), plain(t.Diameter+t.Size))
	if t.Kind == setup.Cone {
		what = fmt.Sprintf("no tool makes %s: %s mm across at the face, %s degrees", t.Name, plain(t.Diameter), plain(t.Angle))
		next = "give the machine file a sink of this angle and at least this diameter, with a tip no wider than the hole"
	}
	return trouble.Data("no-tool", w.m.Name, what, next)
}

// straight finds the tool that makes a round target by going straight down: for a hole one whose diameter is within what is allowed, the nearest, a core bit
// before a full one where the hole goes through.
func (w *writer) straight(t *setup.Target) (best *machine.Tool) {
	for i := range w.m.Tools {
		tool := &w.m.Tools[i]
		if t.Kind == setup.Cone {
			if tool.Kind == machine.Sink && math.Abs(tool.Angle-t.Angle) <= 0.5 && tool.Diameter >= t.Diameter && tool.Tip <= t.Under+1e-9 && tool.Reach >= w.sunk(t, tool) {
				return tool
			}
			continue
		}
		fits := tool.Kind == machine.Drill || tool.Kind == machine.Core && !t.Floored()
		off := math.Abs(tool.Diameter - t.Diameter)
		if !fits || off > t.Size+1e-9 || tool.Reach < w.bottom(t) {
			continue
		}
		if best == nil || off < math.Abs(best.Diameter-t.Diameter)-1e-9 || off <= math.Abs(best.Diameter-t.Diameter)+1e-9 && tool.Kind == machine.Core && best.Kind == machine.Drill {
			best = tool
		}
	}
	return best
}

// sunk is how deep the tip of a sink goes for its cone to be as wide at the face as drawn.
func (w *writer) sunk(t *setup.Target, tool *machine.Tool) float64 {
	return (t.Diameter - tool.Tip) / 2 / tool.Slope()
}

// routed finds the thickest router that goes round in a hole, and its rings where the hole has a floor.
func (w *writer) routed(t *setup.Target, stage int) (operation, bool) {
	var tool *machine.Tool
	for i := range w.m.Tools {
		r := &w.m.Tools[i]
		if r.Kind == machine.Router && r.Diameter <= 0.8*t.Diameter && r.Reach >= w.bottom(t) && (tool == nil || r.Diameter > tool.Diameter) {
			tool = r
		}
	}
	if tool == nil {
		return operation{}, false
	}
	far := t.Diameter/2 - tool.Radius()
	op := operation{target: t, tool: tool, stage: stage, kind: closed, lead: math.Min(w.m.Lead, far/2)}
	if t.Floored() {
		op.kind = floored
		n := math.Ceil(far / (w.m.Over * tool.Diameter))
		for k := 1.0; k <= n; k++ {
			op.rings = append(op.rings, far*k/n)
		}
		op.in = tour.Point{X: t.Centre.X + op.rings[0], Y: t.Centre.Y}
		op.out = op.in
		return op, true
	}
	op.way = toolpath.Path(shape.Circle(t.Centre, far).Segments())
	op.in = tour.Point{X: t.Centre.X + far, Y: t.Centre.Y}
	op.out = tour.Point{X: op.in.X - 2*op.lead, Y: op.in.Y}
	return op, true
}

// cut finds the thickest router that reaches every corner of an outline as near as is allowed, or else the one that comes nearest, and says which corner
// stays round.
func (w *writer) cut(t *setup.Target) ([]operation, error) {
	var best operation
	least := math.Inf(1)
	var corner shape.Point
	for i := range w.m.Tools {
		tool := &w.m.Tools[i]
		if tool.Kind != machine.Router || tool.Reach < w.bottom(t) {
			continue
		}
		op, ok := w.along(t, tool)
		if !ok {
			continue
		}
		left, at := unreached(t.Wall, op.way, tool.Radius())
		better := left < least-1e-9 && least > t.Within || left <= t.Within && tool.Diameter > best.tool.Diameter
		if best.tool == nil || better {
			best, least, corner = op, left, at
		}
	}
	if best.tool == nil {
		return nil, trouble.Data("no-tool", w.m.Name, fmt.Sprintf("no router cuts %s: %s mm deep, and thin enough to pass", t.Name, plain(w.bottom(t))), "give the machine file a router that does")
	}
	if least > t.Within {
		w.note("%s: the corner at X%s Y%s is sharper than the thinnest router that reaches, %s mm; %.2f mm of stone stay there", t.Name, plain(corner.X), plain(corner.Y), plain(best.tool.Diameter), least)
	}
	best.area = math.Abs(t.Outline.Area())
	web, through := best, best
	web.stage, through.stage = 3, 4
	if t.Breaks == 0 { // the other face's setup goes through
		return []operation{web}, nil
	}
	return []operation{web, through}, nil
}

// unreached is how far the worst place of a wall is from the tool's edge, of its corners and the middles of its sides.
func unreached(wall []shape.Segment, way toolpath.Path, r float64) (worst float64, at shape.Point) {
	for i, s := range wall {
		for _, share := range [5]float64{0, 0.25, 0.5, 0.75, 1} {
			joins := share > 0 && share < 1 || share == 0 && i > 0 && wall[i-1].To == s.From || share == 1 && i+1 < len(wall)
			if p := s.Along(share); joins || len(wall) > 1 && wall[0].From == wall[len(wall)-1].To {
				if d := toolpath.From(p, way) - r; d > worst {
					worst, at = d, p
				}
			}
		}
	}
	return worst, at
}

// along lays the way of a router along the wall of a cut.
func (w *writer) along(t *setup.Target, tool *machine.Tool) (operation, bool) {
	op := operation{target: t, tool: tool}
	if wall := toolpath.Path(t.Wall); wall.Closed() {
		ways := toolpath.Within(t.Outline, tool.Radius())
		if len(ways) != 1 {
			return op, false
		}
		op.kind = closed
		return w.led(op, ways[0])
	}
	op.kind = passing
	for _, p := range toolpath.Chained(t.Wall) {
		if len(op.way) > 0 {
			return op, false // a cut that parts the stone: nothing of a bed
		}
		wall := w.beyond(p, tool.Radius())
		ways := toolpath.Along(wall, tool.Radius())
		if len(ways) != 1 || !w.beside(ways[0][0].From, tool.Radius()) || !w.beside(ways[0][len(ways[0])-1].To, tool.Radius()) {
			return op, false
		}
		op.way = ways[0]
	}
	first, last := op.way[0].From, op.way[len(op.way)-1].To
	op.in, op.out = tour.Point{X: first.X, Y: first.Y}, tour.Point{X: last.X, Y: last.Y}
	return op, true
}

// beside reports whether a tool of radius r stands free of the stone.
func (w *writer) beside(p shape.Point, r float64) bool {
	return !w.s.Stone.Inside(p) && toolpath.From(p, w.s.Stone.Segments()) >= r+w.m.Near-1e-6
}

// beyond lengthens a wall at both ends, straight on, until a tool that runs along it stands free of the stone: so it comes and leaves along the wall.
func (w *writer) beyond(p toolpath.Path, r float64) []shape.Segment {
	wall := append([]shape.Segment{}, p...)
	ux, uy := p.Start()
	vx, vy := p.End()
	out := func(from shape.Point, ux, uy float64) shape.Point {
		at := from
		for l := r + w.m.Near; l < 40*(r+w.m.Near); l += (r + w.m.Near) / 8 {
			at = shape.Point{X: from.X + l*ux, Y: from.Y + l*uy}
			// The tool's middle is r to the left of the wall; on either side there, it must stand free.
			left, right := shape.Point{X: at.X - r*uy, Y: at.Y + r*ux}, shape.Point{X: at.X + r*uy, Y: at.Y - r*ux}
			if w.beside(left, r) && w.beside(right, r) {
				break
			}
		}
		return at
	}
	start, end := out(p[0].From, -ux, -uy), out(p[len(p)-1].To, vx, vy)
	wall = append([]shape.Segment{shape.NewSegment(start, p[0].From, 0)}, wall...)
	return append(wall, shape.NewSegment(p[len(p)-1].To, end, 0))
}

// led turns a closed way so that it begins where the largest arc inside leads to it, up to the machine's own.
func (w *writer) led(op operation, way toolpath.Path) (operation, bool) {
	best, from := 0.0, 0
	wall := op.target.Outline.Segments()
	for i, s := range way {
		for lead := w.m.Lead; lead > best && lead > 0.2; lead /= 2 {
			if w.room(s, lead, op.tool.Radius(), wall) {
				best, from = lead, i
			}
		}
	}
	if best == 0 {
		return op, false
	}
	s := way[from]
	turned := toolpath.Path{toolpath.Part(s, 0.5, 1)}
	for k := 1; k < len(way); k++ {
		turned = append(turned, way[(from+k)%len(way)])
	}
	op.way, op.lead = append(turned, toolpath.Part(s, 0, 0.5)), best
	ux, uy := op.way.Start()
	p := op.way[0].From
	op.in = tour.Point{X: p.X, Y: p.Y}
	op.out = tour.Point{X: p.X - 2*best*uy, Y: p.Y + 2*best*ux}
	return op, true
}

// room reports whether a circle that touches a side of the way in its middle, on the left, lies clear of the wall by the tool's radius.
func (w *writer) room(s shape.Segment, lead, r float64, wall []shape.Segment) bool {
	ux, uy := toolpath.Path{toolpath.Part(s, 0.5, 1)}.Start()
	p := s.Along(0.5)
	circle := shape.Circle(shape.Point{X: p.X - lead*uy, Y: p.Y + lead*ux}, lead).Segments()
	return math.Min(toolpath.Nearest(circle[0], wall), toolpath.Nearest(circle[1], wall)) >= r-1e-6
}

package program

import (
	"fmt"
	"math"

	"slatewright/bed/pattern/shape"
	"slatewright/bed/program/gcode"
	"slatewright/bed/program/machine"
	"slatewright/bed/program/toolpath"
)

// leg writes what one tool does in one stage.
func (w *writer) leg(l leg) {
	if w.tool != l.tool {
		if w.began {
			w.lift()
		}
		w.change(l.tool)
	}
	for i, o := range l.ops {
		w.Comment(fmt.Sprintf("%d: %s", l.stage, o.target.Name))
		w.over(o.in)
		if i == 0 {
			w.wet()
		}
		switch {
		case o.kind == plunged && o.tool.Kind == machine.Sink:
			w.sink(o)
		case o.kind == plunged:
			w.drill(o)
		case o.kind == floored:
			w.floor(o)
		default:
			w.route(o)
		}
		w.lift()
	}
}

// near goes down to where the feed begins.
func (w *writer) near() {
	at := w.At()
	w.Rapid(gcode.Place{X: at.X, Y: at.Y, Z: w.z(-w.m.Near)})
}

// back is how far above the stone that is left a tool goes down rapidly again, mm.
const back = 1.0

// drill goes straight down, lifted each step for flushing, slowly where it comes out.
func (w *writer) drill(o operation) {
	bottom, slow := w.bottom(o.target), w.slow(o.target)
	first := math.Min(bottom, slow)
	if w.m.Control.Canned {
		if first > 0 {
			w.Hole(w.z(first), w.z(-w.m.Near), o.tool.Step, o.tool.Plunge)
		}
	} else {
		w.near()
		w.pecks(o, first)
	}
	if bottom > first {
		at := w.At()
		w.Rapid(gcode.Place{X: at.X, Y: at.Y, Z: w.z(math.Max(-w.m.Near, first-back))})
		w.Down(w.z(first), o.tool.Plunge)
		w.Down(w.z(bottom), o.tool.Plunge*w.m.Break.Share)
	}
}

// pecks goes down to a depth in steps.
func (w *writer) pecks(o operation, to float64) {
	at := w.At()
	place := func(depth float64) gcode.Place { return gcode.Place{X: at.X, Y: at.Y, Z: w.z(depth)} }
	for depth := 0.0; depth < to; {
		next := to
		if o.tool.Step > 0 {
			next = math.Min(to, depth+o.tool.Step)
		}
		if depth > 0 {
			w.Rapid(place(-w.m.Near))
			w.Rapid(place(math.Max(-w.m.Near, depth-back)))
		}
		w.Down(w.z(next), o.tool.Plunge)
		depth = next
	}
}

func (w *writer) sink(o operation) {
	w.near()
	w.Down(w.z(w.sunk(o.target, o.tool)), o.tool.Plunge)
}

// levels parts the way down from one depth to another into equal steps.
func levels(from, to, step float64) (list []float64) {
	n := math.Ceil((to - from) / step * (1 - 1e-12))
	for k := 1.0; k <= n; k++ {
		list = append(list, between(from, to, k, n))
	}
	return list
}

// between is part k of n of the way from one depth to another, and the other itself at the end: a last figure more or less would be rounded to another place.
func between(from, to, k, n float64) float64 {
	if k == n {
		return to
	}
	return from + (to-from)*k/n
}

// depths are the levels of an operation, and from which depth they start. The last of the stone, a step at most, and what lies below it are cut at one level, so
// that the tool does not go round again beside waste that is loose.
func (w *writer) depths(o operation) (from float64, list []float64) {
	bottom, slow := w.bottom(o.target), w.slow(o.target)
	web := bottom
	if o.target.Breaks > 0 {
		web = math.Max(0, o.target.Breaks-w.m.Break.Web)
	}
	to := bottom
	switch o.stage {
	case 3:
		to = web
	case 4:
		from = web
	}
	at := from
	reach := func(depth float64) {
		if depth > at+1e-9 {
			list = append(list, levels(at, depth, o.tool.Step)...)
			at = depth
		}
	}
	reach(math.Min(slow, to))
	if o.target.Breaks == 0 || to < bottom {
		reach(to)
		return from, list
	}
	reach(o.target.Breaks - o.tool.Step)
	return from, append(list, bottom)
}

// route cuts along a wall, level by level. A closed way is reached by going down on a circle inside that touches it, and is left on the same; a way from edge
// to edge begins and ends beside the stone.
func (w *writer) route(o operation) {
	from, list := w.depths(o)
	if w.m.Break.Pause && o.stage == len(Stages()) {
		w.pause()
	}
	for i, depth := range list {
		share := 1.0
		if depth > w.slow(o.target)+1e-9 {
			share = w.m.Break.Share
		}
		if o.kind == passing {
			if i > 0 {
				w.over(o.in)
			}
			w.near()
			w.Down(w.z(depth), o.tool.Plunge)
			w.follow(o.way, w.z(depth), o.tool.Feed*share)
			continue
		}
		if i == 0 {
			w.near()
			w.Down(w.z(from), o.tool.Plunge)
		}
		last := i == len(list)-1
		round := circle(o.way, o.lead)
		w.ramp(o.way, o.lead, from, depth, o.tool.Plunge*share)
		if last { // once round on the level, so that the tool leaves through what is cut already: the waste may be loose by then
			w.follow(round, w.z(depth), o.tool.Feed*share)
		}
		w.follow(o.way, w.z(depth), o.tool.Feed*share)
		from = depth
		if last {
			w.follow(round[:1], w.z(depth), o.tool.Feed*share)
		}
	}
}

// pause lets the operator fasten what comes loose, with the tool up, spindle and water off.
func (w *writer) pause() {
	c := w.m.Control
	w.Words(c.Dry)
	w.Words(c.Stop)
	w.Comment("Fasten the waste, it comes loose in this cut; nobody reaches in while the spindle turns")
	w.Words(c.Pause)
	w.Words(c.Start)
	w.wet()
}

func (w *writer) follow(way toolpath.Path, z, feed float64) {
	for _, s := range way {
		w.Cut(s, z, feed)
	}
}

// circle is the circle inside a closed way that touches it where it begins, as two halves from there.
func circle(way toolpath.Path, lead float64) toolpath.Path {
	ux, uy := way.Start()
	p := way[0].From
	far := shape.Point{X: p.X - 2*lead*uy, Y: p.Y + 2*lead*ux}
	return toolpath.Path{shape.NewSegment(p, far, 1), shape.NewSegment(far, p, 1)}
}

// ramp goes down on that circle, ending where the way begins.
func (w *writer) ramp(way toolpath.Path, lead, from, to, feed float64) {
	halves := circle(way, lead)
	n := 2 * math.Ceil((to-from)/(2*math.Pi*lead*w.m.Ramp))
	for k := 1.0; k <= n; k++ {
		w.Cut(halves[int(k+1)%2], w.z(between(from, to, k, n)), feed)
	}
}

// floor clears a round floor: down on the innermost ring, out over the others on half circles, which touch the rings on both sides, and off the wall inwards.
func (w *writer) floor(o operation) {
	from, list := 0.0, levels(0, w.bottom(o.target), o.tool.Step)
	c := o.target.Centre
	on := func(r, side float64) shape.Point { return shape.Point{X: c.X + side*r, Y: c.Y} }
	inner := toolpath.Path(shape.Circle(c, o.rings[0]).Segments())
	w.near()
	w.Down(w.z(0), o.tool.Plunge)
	for _, depth := range list {
		z := w.z(depth)
		n := 2 * math.Ceil((depth-from)/(2*math.Pi*o.rings[0]*w.m.Ramp))
		for k := 1.0; k <= n; k++ {
			w.Cut(inner[int(k+1)%2], w.z(between(from, depth, k, n)), o.tool.Plunge)
		}
		w.follow(inner, z, o.tool.Feed)
		side, r := 1.0, o.rings[0]
		for _, next := range o.rings[1:] {
			w.Cut(shape.NewSegment(on(r, side), on(next, -side), 1), z, o.tool.Feed)
			side, r = -side, next
			w.Cut(shape.NewSegment(on(r, side), on(r, -side), 1), z, o.tool.Feed)
			w.Cut(shape.NewSegment(on(r, -side), on(r, side), 1), z, o.tool.Feed)
		}
		// Off the wall, to the beginning of the innermost ring.
		w.Cut(shape.NewSegment(on(r, side), on(r/2, -side), 1), z, o.tool.Feed)
		w.Cut(shape.NewSegment(w.here(), on(o.rings[0], 1), 0), z, o.tool.Feed)
		from = depth
	}
}

// here is where the tool stands in plan.
func (w *writer) here() shape.Point { return shape.Point{X: w.At().X, Y: w.At().Y} }

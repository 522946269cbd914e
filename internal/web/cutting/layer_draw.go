package cutting

import (
	"html/template"
	"math"
	"strconv"

	"slatewright/cutting/layer"
	"slatewright/cutting/slab"
	"slatewright/internal/picture/chart"
)

// mostNames is how many cracks are named in a picture; more would hide it.
const mostNames = 40

// rocks are places of a layer for the paper.
func rocks(points []layer.Point) (out []slab.Point) {
	for _, p := range points {
		out = append(out, slab.Point(p))
	}
	return out
}

// draw shows the layer from above: the edge of good ground, stains, blocks (the likelier to be whole the darker), runs with their numbers, and cracks.
func (l laid) draw(width float64) template.HTML {
	const side, above, below = 22.0, 16.0, 34.0
	v := layOut(rocks(l.Map.Outline), width, side, above, 8)
	p := chart.New(width, above+v.height()+below, l.Say("layer.picture", "n", len(l.Blocks)))
	p.Run("stone", v.all(rocks(l.Map.Outline)), true)
	for _, a := range l.Map.Areas {
		p.Run("doubt drawn-ones", v.all(rocks(a.Ring)), true)
	}
	for _, b := range l.bodies() {
		p.Run(b.class, v.all(rocks(b.corners[:])), true)
	}
	l.runs(p, v)
	l.cracks(p, v)
	ruler(p, v, above+v.height()+22)
	return p.End()
}

// mostDrawn is up to how many blocks are drawn one by one; of more, those that lie side by side are drawn as one.
const mostDrawn = 3000

// body is a block in a picture, or a row of them.
type body struct {
	class   string
	corners [4]layer.Point
}

// bodies are the blocks as they are drawn.
func (l laid) bodies() (list []body) {
	last := -1
	for _, b := range l.Plan.Blocks {
		class := shade(b.Chance)
		if n := len(list) - 1; n >= 0 && len(l.Plan.Blocks) > mostDrawn && b.Run == last && list[n].class == class {
			end := list[n].corners[1]
			if math.Hypot(b.Corners[0].X-end.X, b.Corners[0].Y-end.Y) <= 2*l.Map.Saw.Kerf {
				list[n].corners[1], list[n].corners[2] = b.Corners[1], b.Corners[2]
				continue
			}
		}
		list, last = append(list, body{class, b.Corners}), b.Run
	}
	return list
}

// shade is the class of a block by its chance to be whole.
func shade(chance float64) string {
	switch {
	case chance >= 0.95:
		return "t0"
	case chance >= 0.75:
		return "t1"
	}
	return "t2"
}

// runs draws the cuts through the whole layer, numbered where they begin.
func (l laid) runs(p *chart.Pen, v onPaper) {
	n := 0
	for _, c := range l.Plan.Cuts {
		if c.Cross {
			continue
		}
		n++
		x0, y0 := v.at(slab.Point(c.From))
		x1, y1 := v.at(slab.Point(c.To))
		p.Line("tie", x0, y0, x1, y1)
		mark(p, x0-3, y0+4, strconv.Itoa(n))
	}
}

// cracks draws those that are sure with a full line, the others dashed; names stand beside them where there is room.
func (l laid) cracks(p *chart.Pen, v onPaper) {
	for _, j := range l.Map.Joints {
		class := "due"
		if j.Chance < 1 || j.Error > 0 {
			class = "limit"
		}
		for i := 1; i < len(j.Trace); i++ {
			if a, b, ok := within(v.box, slab.Point(j.Trace[i-1]), slab.Point(j.Trace[i])); ok {
				x0, y0 := v.at(a)
				x1, y1 := v.at(b)
				p.Line(class, x0, y0, x1, y1)
			}
		}
	}
	if len(l.Map.Joints) > mostNames {
		return
	}
	for _, j := range l.Map.Joints {
		a, b := j.Trace[0], j.Trace[len(j.Trace)-1]
		if from, to, ok := within(v.box, slab.Point(a), slab.Point(b)); ok {
			x, y := v.at(slab.Point{X: (from.X + to.X) / 2, Y: (from.Y + to.Y) / 2})
			p.Label("label", x, y, chart.Short(j.Name, 12), false)
		}
	}
}

// within is the part of a stretch that lies in a box.
func within(b slab.Box, from, to slab.Point) (slab.Point, slab.Point, bool) {
	low, high := 0.0, 1.0
	dx, dy := to.X-from.X, to.Y-from.Y
	for _, edge := range [4][2]float64{{-dx, from.X - b.X1}, {dx, b.X2 - from.X}, {-dy, from.Y - b.Y1}, {dy, b.Y2 - from.Y}} {
		switch along, room := edge[0], edge[1]; {
		case along == 0 && room < 0:
			return from, to, false
		case along < 0:
			low = math.Max(low, room/along)
		case along > 0:
			high = math.Min(high, room/along)
		}
	}
	at := func(t float64) slab.Point { return slab.Point{X: from.X + t*dx, Y: from.Y + t*dy} }
	return at(low), at(high), low < high
}

// ruler draws a length of 1, 2, 5, 10 … m, at least a tenth of the width.
func ruler(p *chart.Pen, v onPaper, y float64) {
	metres := 1.0
	for i := 0; metres*1000*v.scale < p.Width/10 && i < 12; i++ {
		metres *= []float64{2, 2.5, 2}[i%3]
	}
	p.Span("whisker", v.left, v.left+metres*1000*v.scale, y, 4)
	p.Text("tick", "start", v.left+metres*1000*v.scale+8, y+4, strconv.FormatFloat(math.Round(metres), 'f', -1, 64)+unbroken+"m")
}

package cutting

import (
	"html/template"
	"math"

	"slatewright/internal/picture/chart"
)

// draw shows the block from its edge, its top above: rough leaves with the finished thickness in their middle, cuts, skin and planes of weakness.
func (s leaved) draw(width float64) template.HTML {
	const left, top, bottom, least = 54.0, 26.0, 14.0, 300.0
	right := 96.0
	high := math.Max(least, math.Min(560, 34*float64(len(s.Leaves)+1)))
	p := chart.New(width, top+high+bottom, s.Say("leaves.picture", "n", len(s.Leaves)))
	down := chart.Axis{Low: 0, High: math.Max(s.Thickness, 1), From: top, To: top + high}
	w := width - left - right
	p.Rect("stone", left, top, w, high)
	if b := s.asked.Block; true {
		p.Hatch("tie", left, top, w, down.At(b.Top)-top)
		p.Hatch("tie", left, down.At(b.Thickness-b.Bottom), w, top+high-down.At(b.Thickness-b.Bottom))
	}
	for _, l := range s.Leaves {
		y0, y1 := down.At(l.From), down.At(l.To)
		off := (l.Rough - l.Finished) / 2
		p.Rect("t2", left, y0, w, y1-y0)
		p.Rect("t1", left, down.At(l.From+off), w, down.At(l.To-off)-down.At(l.From+off))
		if middle := (y0+y1)/2 + 4; y1-y0 >= 12 {
			p.Text("name", "middle", left+w/2, middle, chart.Short(l.Name, int(w/8)))
			p.Text("tick", "start", left+w+8, middle, s.Length(l.Rough))
		}
		for _, at := range []float64{l.From, l.To} {
			mark(p, left-4, down.At(at)+4, s.Number(at, 1))
		}
	}
	for _, plane := range s.asked.Block.Planes {
		y0, y1 := down.Clip(plane.At-plane.Clear), down.Clip(plane.At+plane.Clear)
		p.Rect("band second", left, y0, w, y1-y0)
		p.Line("limit", left-8, down.At(plane.At), left+w+8, down.At(plane.At))
	}
	p.Text("tick", "end", left-4, top-12, "mm")
	p.Text("tick", "start", left, top-12, s.Say("leaves.top"))
	return p.End()
}

// mark sets a figure of the scale where no other stands.
func mark(p *chart.Pen, x, y float64, figure string) {
	if b := chart.Words("end", x, y, figure); !p.Meets(b) {
		p.Text("tick", "end", x, y, figure)
	}
}

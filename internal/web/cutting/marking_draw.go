package cutting

import (
	"html/template"
	"math"
	"strconv"

	"slatewright/cutting/slab"
	"slatewright/internal/picture/chart"
)

// tallest is the height of a picture of a slab, px.
const tallest = 620.0

// onPaper lays a slab into a picture: x to the right, y up.
type onPaper struct {
	left, top, scale float64
	box              slab.Box
}

func layOut(points []slab.Point, width, left, top, right float64) onPaper {
	b := slab.Around(points)
	scale := math.Min((width-left-right)/math.Max(b.X2-b.X1, 1), tallest/math.Max(b.Y2-b.Y1, 1))
	return onPaper{left + (width-left-right-scale*(b.X2-b.X1))/2, top, scale, b}
}

func (v onPaper) at(p slab.Point) (x, y float64) {
	return v.left + (p.X-v.box.X1)*v.scale, v.top + (v.box.Y2-p.Y)*v.scale
}

func (v onPaper) all(points []slab.Point) (out [][2]float64) {
	for _, p := range points {
		x, y := v.at(p)
		out = append(out, [2]float64{x, y})
	}
	return out
}

func (v onPaper) height() float64 { return (v.box.Y2 - v.box.Y1) * v.scale }

// draw shows the slab from above with its flaws, the pieces and the cuts with their numbers.
func (m marked) draw(width float64) template.HTML {
	s, plan := m.Asked, m.Found
	points := append([]slab.Point{}, s.Outline...)
	for _, c := range plan.Cuts {
		points = append(points, c.A, c.B)
	}
	const side, above = 14.0, 14.0
	v := layOut(points, width, side, above, side)
	p := chart.New(width, above+v.height()+above, m.Say("marking.picture"))
	p.Run("stone", v.all(s.Outline), true)
	for _, q := range plan.Pieces {
		c := q.Corners(plan.Angle)
		p.Run("allowed", v.all(c[:]), true)
	}
	for _, f := range s.Flaws {
		p.Run("trend second", v.all(f.Points), f.Area)
	}
	for i, c := range plan.Cuts {
		x0, y0 := v.at(c.A)
		x1, y1 := v.at(c.B)
		p.Line("limit", x0, y0, x1, y1)
		p.Label("number label", x0, y0, strconv.Itoa(i+1), true)
	}
	for _, q := range plan.Pieces {
		c := q.Corners(plan.Angle)
		x, y := v.at(slab.Point{X: (c[0].X + c[2].X) / 2, Y: (c[0].Y + c[2].Y) / 2})
		p.Within("name", x, y, s.Types[q.Kind].Name)
	}
	return p.End()
}

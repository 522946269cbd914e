package cutting

import (
	"html/template"
	"math"
	"strconv"

	"slatewright/cutting/slab"
	"slatewright/internal/picture/chart"
	"slatewright/internal/picture/cutplan"
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
	const side = 16.0
	v := layOut(points, width, side, side, side)
	p := chart.New(width, side+v.height()+side, m.Say("marking.picture"))
	p.Run("stone", v.all(s.Outline), true)
	for _, q := range plan.Pieces {
		c := q.Corners(plan.Angle)
		p.Run("kept", v.all(c[:]), true)
		for _, z := range zones(s.Types[q.Kind], q, plan.Angle) {
			p.Run("later", v.all(z), true)
		}
	}
	for _, f := range s.Flaws {
		v.flaw(p, f)
	}
	for _, c := range plan.Cuts {
		x0, y0 := v.at(c.A)
		x1, y1 := v.at(c.B)
		p.Line("saw", x0, y0, x1, y1)
	}
	for i, q := range plan.Pieces {
		name := m.order.Pieces[i].Name + " · " + s.Types[q.Kind].Name
		if chart.Words("middle", 0, 0, name).X1 > q.Along*v.scale/2 {
			name = m.order.Pieces[i].Name
		}
		const off, high = 8, 14 // what keeps a name off a flaw, and half of its height with that
		x, y := v.at(cutplan.NamePlace(s, q, plan.Angle, (chart.Words("middle", 0, 0, name).X1+off)/v.scale, high/v.scale))
		p.Within("name", x, y+4, name)
	}
	for i, c := range plan.Cuts {
		v.number(p, c, strconv.Itoa(i+1))
	}
	return p.End()
}

// flaw draws a flaw: a line, an area, or a point.
func (v onPaper) flaw(p *chart.Pen, f slab.Flaw) {
	switch {
	case f.Area:
		p.Run("passed", v.all(f.Points), true)
	case len(f.Points) == 1:
		x, y := v.at(f.Points[0])
		p.Mark(4, x, y, 5)
	default:
		p.Run("due", v.all(f.Points), false)
	}
}

// number writes the number of a cut on it, where it covers nothing.
func (v onPaper) number(p *chart.Pen, c slab.Cut, label string) {
	ax, ay := v.at(c.A)
	bx, by := v.at(c.B)
	for _, t := range []float64{0.02, 0.98, 0.1, 0.9, 0.18, 0.82, 0.26, 0.74, 0.35, 0.65, 0.5} {
		x, y := ax+t*(bx-ax), ay+t*(by-ay)+4
		if b := chart.Words("middle", x, y, label); b.X0 >= 0 && b.X1 <= p.Width && !p.Meets(b) {
			p.Text("number label", "middle", x, y, label)
			return
		}
	}
	p.Text("number label", "middle", ax, ay+4, label)
}

// zones are what is cut away of a piece later, on the slab.
func zones(t slab.Type, q slab.Piece, angle float64) (list [][]slab.Point) {
	frame := slab.NewFrame(angle)
	origin := frame.In(q.At)
	for _, z := range t.Zones {
		corners := z.Corners
		if z.Radius > 0 {
			corners = nil
			for k := range 24 {
				sin, cos := math.Sincos(2 * math.Pi * float64(k) / 24)
				corners = append(corners, slab.Point{X: z.Centre.X + z.Radius*cos, Y: z.Centre.Y + z.Radius*sin})
			}
		}
		var out []slab.Point
		for _, c := range corners {
			x, y := t.Allowance+c.X, t.Allowance+c.Y
			w, h := q.Along, q.Across
			if q.Quarter%2 == 1 {
				w, h = h, w
			}
			if q.Over {
				y = h - y
			}
			for range q.Quarter { // a quarter anticlockwise
				x, y, w, h = h-y, x, h, w
			}
			out = append(out, frame.Out(slab.Point{X: origin.X + x, Y: origin.Y + y}))
		}
		list = append(list, out)
	}
	return list
}

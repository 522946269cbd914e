package ink

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"codeberg.org/go-pdf/fpdf"
)

// Corner is a corner of a curve and the way to the next corner.
type Corner struct {
	Point
	// Bulge is the tangent of a quarter of the arc's angle from here to the next corner, positive where the arc turns left as
	// it is seen on the sheet; 0 is a straight line.
	Bulge float64
}

// Curve is a line of straight parts and arcs of circles. A closed one does not repeat its first corner at its end.
type Curve struct {
	C      []Corner
	Closed bool
}

// Board is a sheet on which arcs are arcs. Places on it are written to a ten-thousandth of a mm.
type Board interface {
	Sheet
	Curves(list []Curve, p Pen)
	// Circle draws a circle. The name is what a reader that shows one says of it; it may be empty.
	Circle(at Point, r float64, p Pen, name string)
}

// sides calls f with each straight part or arc of the curve.
func (c Curve) sides(f func(from, to Point, bulge float64)) {
	for i, v := range c.C {
		switch {
		case i+1 < len(c.C):
			f(v.Point, c.C[i+1].Point, v.Bulge)
		case c.Closed:
			f(v.Point, c.C[0].Point, v.Bulge)
		}
	}
}

// Curves draws lines and arcs with one pen.
func (s *SVG) Curves(list []Curve, p Pen) {
	if len(list) == 0 {
		return
	}
	fmt.Fprintf(&s.body, "<path fill=\"none\"%s d=\"", penOf(p))
	for _, c := range list {
		if len(c.C) == 0 {
			continue
		}
		fmt.Fprintf(&s.body, "M%s %s", fine(c.C[0].X), fine(c.C[0].Y))
		c.sides(s.side)
		if c.Closed {
			s.body.WriteByte('Z')
		}
	}
	s.body.WriteString("\"/>\n")
}

// side writes a straight part or an arc. An arc of more than a quarter is written in halves: of one near half a circle, the last
// decimal of its radius would move its middle by far more.
func (s *SVG) side(from, to Point, bulge float64) {
	const quarter = 0.41421356 // tan(90°/4)
	switch {
	case bulge == 0:
		fmt.Fprintf(&s.body, "L%s %s", fine(to.X), fine(to.Y))
	case math.Abs(bulge) > quarter+1e-6:
		mid := Point{X: (from.X+to.X)/2 - bulge/2*(to.Y-from.Y), Y: (from.Y+to.Y)/2 + bulge/2*(to.X-from.X)}
		half := math.Tan(math.Atan(bulge) / 2)
		s.side(from, mid, half)
		s.side(mid, to, half)
	default:
		clockwise := 0
		if bulge < 0 {
			clockwise = 1
		}
		r := fine(radius(from, to, bulge))
		fmt.Fprintf(&s.body, "A%s %s 0 0 %d %s %s", r, r, clockwise, fine(to.X), fine(to.Y))
	}
}

// Circle draws a circle.
func (s *SVG) Circle(at Point, r float64, p Pen, name string) {
	fmt.Fprintf(&s.body, "<circle cx=\"%s\" cy=\"%s\" r=\"%s\" fill=\"none\"%s", fine(at.X), fine(at.Y), fine(r), penOf(p))
	if name == "" {
		s.body.WriteString("/>\n")
		return
	}
	fmt.Fprintf(&s.body, "><title>%s</title></circle>\n", escape(name))
}

func penOf(p Pen) string {
	text := fmt.Sprintf(" stroke=\"%s\" stroke-width=\"%s\"", hex(p.Colour), num(p.Width))
	if len(p.Dash) > 0 {
		parts := make([]string, len(p.Dash))
		for i, d := range p.Dash {
			parts[i] = num(d)
		}
		text += " stroke-dasharray=\"" + strings.Join(parts, " ") + "\""
	}
	if p.Round {
		text += " stroke-linecap=\"round\" stroke-linejoin=\"round\""
	}
	return text
}

// fine prints with at most four decimals.
func fine(x float64) string {
	text := strings.TrimRight(strings.TrimRight(strconv.FormatFloat(x, 'f', 4, 64), "0"), ".")
	if text == "-0" {
		return "0"
	}
	return text
}

// radius is that of the arc with this chord and bulge.
func radius(from, to Point, bulge float64) float64 {
	return math.Hypot(to.X-from.X, to.Y-from.Y) * (1 + bulge*bulge) / (4 * math.Abs(bulge))
}

// Curves draws lines and arcs with one pen. Arcs become cubic curves that are off by less than a hundred-thousandth of their radius.
func (p *PDF) Curves(list []Curve, pen Pen) {
	if len(list) == 0 {
		return
	}
	p.take(pen)
	for _, c := range list {
		if len(c.C) == 0 {
			continue
		}
		p.doc.MoveTo(c.C[0].X, c.C[0].Y)
		c.sides(func(from, to Point, bulge float64) {
			if bulge == 0 {
				p.doc.LineTo(to.X, to.Y)
				return
			}
			p.arc(from, to, bulge)
		})
		if c.Closed {
			p.doc.ClosePath()
		}
	}
	p.doc.DrawPath("D")
}

// arc draws an arc from where the path is.
func (p *PDF) arc(from, to Point, bulge float64) {
	// With y downward, what turns left on the sheet turns by a negative angle.
	off := (1 - bulge*bulge) / (4 * bulge)
	dx, dy := to.X-from.X, to.Y-from.Y
	cx, cy := (from.X+to.X)/2+off*dy, (from.Y+to.Y)/2-off*dx
	r, start, sweep := radius(from, to, bulge), math.Atan2(from.Y-cy, from.X-cx), -4*math.Atan(bulge)
	n := math.Ceil(math.Abs(sweep) / (math.Pi / 4))
	step := sweep / n
	k := 4.0 / 3 * math.Tan(step/4) * r
	for i := range int(n) {
		s0, c0 := math.Sincos(start + float64(i)*step)
		s1, c1 := math.Sincos(start + float64(i+1)*step)
		p.doc.CurveBezierCubicTo(cx+r*c0-k*s0, cy+r*s0+k*c0, cx+r*c1+k*s1, cy+r*s1-k*c1, cx+r*c1, cy+r*s1)
	}
}

// Circle draws a circle. A document does not show names.
func (p *PDF) Circle(at Point, r float64, pen Pen, _ string) {
	a, b := Point{X: at.X + r, Y: at.Y}, Point{X: at.X - r, Y: at.Y}
	p.Curves([]Curve{{C: []Corner{{a, 1}, {b, 1}}, Closed: true}}, pen)
}

// PageOf begins a new page of another size, mm.
func (p *PDF) PageOf(w, h float64) {
	p.doc.AddPageFormat("P", fpdf.SizeType{Wd: w, Ht: h})
}

// Within draws what f draws, and shows of it what lies in the rectangle.
func (p *PDF) Within(x, y, w, h float64, f func()) {
	p.doc.ClipRect(x, y, w, h, false)
	f()
	p.doc.ClipEnd()
}

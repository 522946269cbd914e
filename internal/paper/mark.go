package paper

import (
	"io"
	"math"

	"slatewright/internal/paper/contour"
	"slatewright/internal/paper/ink"
	"slatewright/judge"
)

// drawVerdict draws a verdict's mark, size mm high about (x, y). The shapes differ, so that no colour is needed: a full disc
// with a tick, a hatched square with a cross, an open diamond with a question mark.
func drawVerdict(s ink.Sheet, v judge.Verdict, x, y, size float64) {
	r, c := size/2, colour(v)
	pen := ink.Pen{Colour: c, Width: size * 0.09, Round: true}
	switch v {
	case judge.Conforms:
		s.Fill([]contour.Line{disc(x, y, r)}, c)
		tick := ink.Pen{Colour: sheet, Width: size * 0.12, Round: true}
		s.Stroke(path(x-0.42*r, y+0.02*r, x-0.1*r, y+0.38*r, x+0.46*r, y-0.36*r), tick)
	case judge.DoesNotConform:
		s.Strokes(ink.Hatch(x-r, y-r, size, size, size*0.2), ink.Pen{Colour: c.Mix(sheet, 0.55), Width: size * 0.04})
		s.Stroke(ink.Rect(x-r, y-r, size, size), pen)
		cross := ink.Pen{Colour: c, Width: size * 0.14, Round: true}
		s.Stroke(ink.Segment(x-0.48*r, y-0.48*r, x+0.48*r, y+0.48*r), cross)
		s.Stroke(ink.Segment(x-0.48*r, y+0.48*r, x+0.48*r, y-0.48*r), cross)
	default:
		s.Stroke(ring(x, y-1.15*r, x+1.15*r, y, x, y+1.15*r, x-1.15*r, y), pen)
		hook := ink.Pen{Colour: c, Width: size * 0.1, Round: true}
		s.Stroke(contour.Line{P: question(x, y, r)}, hook)
		s.Fill([]contour.Line{disc(x, y+0.5*r, 0.1*r)}, c)
	}
}

// VerdictSVG writes a verdict's mark as a small picture.
func VerdictSVG(w io.Writer, v judge.Verdict) error {
	const size = 8.0
	s := ink.NewSVG()
	drawVerdict(s, v, size/2, size/2, size/math.Sqrt2)
	return s.Write(w, size, size, v.String())
}

// question is the hook of a question mark: three quarters of a circle and a stem.
func question(x, y, r float64) []ink.Point {
	var p []ink.Point
	const parts = 12
	for k := 0; k <= parts; k++ {
		a := math.Pi - 1.45*math.Pi*float64(k)/parts
		p = append(p, ink.Point{X: x + 0.27*r*math.Cos(a), Y: y - 0.27*r - 0.27*r*math.Sin(a)})
	}
	return append(p, ink.Point{X: x, Y: y + 0.24*r})
}

// disc is a circle as a ring of 48 sides.
func disc(x, y, r float64) contour.Line {
	const parts = 48
	l := contour.Line{Closed: true}
	for k := range parts {
		a := 2 * math.Pi * float64(k) / parts
		l.P = append(l.P, ink.Point{X: x + r*math.Cos(a), Y: y + r*math.Sin(a)})
	}
	return l
}

// path is an open line through x, y, x, y, …
func path(xy ...float64) contour.Line {
	var l contour.Line
	for i := 0; i+1 < len(xy); i += 2 {
		l.P = append(l.P, ink.Point{X: xy[i], Y: xy[i+1]})
	}
	return l
}

// ring is a closed line through x, y, x, y, …
func ring(xy ...float64) contour.Line {
	l := path(xy...)
	l.Closed = true
	return l
}

// drawContact draws the mark of a point that carries the zone: a full triangle pointing up at the upper plane, an open one
// pointing down at the lower.
func drawContact(s ink.Sheet, x, y, size float64, upper bool) {
	r := size / 2
	if upper {
		tri := ring(x-r, y+0.8*r, x+r, y+0.8*r, x, y-r)
		s.Stroke(tri, ink.Pen{Colour: sheet, Width: 0.7, Round: true})
		s.Fill([]contour.Line{tri}, stone)
		return
	}
	tri := ring(x-r, y-0.8*r, x+r, y-0.8*r, x, y+r)
	s.Stroke(tri, ink.Pen{Colour: sheet, Width: 0.9, Round: true})
	s.Fill([]contour.Line{tri}, sheet)
	s.Stroke(tri, ink.Pen{Colour: stone, Width: 0.3, Round: true})
}

// drawArrow draws a line with a head at its second end.
func drawArrow(s ink.Sheet, x0, y0, x1, y1 float64, pen ink.Pen) {
	s.Stroke(ink.Segment(x0, y0, x1, y1), pen)
	d := math.Hypot(x1-x0, y1-y0)
	ux, uy := (x1-x0)/d, (y1-y0)/d
	const long, half = 1.5, 0.55
	s.Fill([]contour.Line{ring(x1+0.3*ux, y1+0.3*uy, x1-long*ux-half*uy, y1-long*uy+half*ux, x1-long*ux+half*uy, y1-long*uy-half*ux)}, pen.Colour)
}

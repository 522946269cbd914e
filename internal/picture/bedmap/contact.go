package bedmap

import (
	"math"

	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
)

// drawContact draws the mark of a point that carries the zone: a full triangle pointing up at the upper plane, an open one
// pointing down at the lower.
func drawContact(s ink.Sheet, x, y, size float64, upper bool) {
	r := size / 2
	if upper {
		tri := ink.Ring(x-r, y+0.8*r, x+r, y+0.8*r, x, y-r)
		s.Stroke(tri, ink.Pen{Colour: look.Sheet, Width: 0.7, Round: true})
		s.Fill([]contour.Line{tri}, look.Stone)
		return
	}
	tri := ink.Ring(x-r, y-0.8*r, x+r, y-0.8*r, x, y+r)
	s.Stroke(tri, ink.Pen{Colour: look.Sheet, Width: 0.9, Round: true})
	s.Fill([]contour.Line{tri}, look.Sheet)
	s.Stroke(tri, ink.Pen{Colour: look.Stone, Width: 0.3, Round: true})
}

// drawArrow draws a line with a head at its second end.
func drawArrow(s ink.Sheet, x0, y0, x1, y1 float64, pen ink.Pen) {
	s.Stroke(ink.Segment(x0, y0, x1, y1), pen)
	d := math.Hypot(x1-x0, y1-y0)
	ux, uy := (x1-x0)/d, (y1-y0)/d
	const long, half = 1.5, 0.55
	s.Fill([]contour.Line{ink.Ring(x1+0.3*ux, y1+0.3*uy, x1-long*ux-half*uy, y1-long*uy+half*ux, x1-long*ux+half*uy, y1-long*uy-half*ux)}, pen.Colour)
}

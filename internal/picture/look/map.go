package look

import (
	"math"

	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/ink"
)

// DrawContact draws the mark of a point that carries the zone: a full triangle pointing up at the upper plane, an open one
// pointing down at the lower.
func DrawContact(s ink.Sheet, x, y, size float64, upper bool) {
	r := size / 2
	if upper {
		tri := ink.Ring(x-r, y+0.8*r, x+r, y+0.8*r, x, y-r)
		s.Stroke(tri, ink.Pen{Colour: Sheet, Width: 0.7, Round: true})
		s.Fill([]contour.Line{tri}, Stone)
		return
	}
	tri := ink.Ring(x-r, y-0.8*r, x+r, y-0.8*r, x, y+r)
	s.Stroke(tri, ink.Pen{Colour: Sheet, Width: 0.9, Round: true})
	s.Fill([]contour.Line{tri}, Sheet)
	s.Stroke(tri, ink.Pen{Colour: Stone, Width: 0.3, Round: true})
}

// DrawArrow draws a line with a head at its second end.
func DrawArrow(s ink.Sheet, x0, y0, x1, y1 float64, pen ink.Pen) {
	s.Stroke(ink.Segment(x0, y0, x1, y1), pen)
	d := math.Hypot(x1-x0, y1-y0)
	ux, uy := (x1-x0)/d, (y1-y0)/d
	const long, half = 1.5, 0.55
	s.Fill([]contour.Line{ink.Ring(x1+0.3*ux, y1+0.3*uy, x1-long*ux-half*uy, y1-long*uy+half*ux, x1-long*ux+half*uy, y1-long*uy-half*ux)}, pen.Colour)
}

// LevelPen draws a contour line: above the middle of the zone it is solid, below dashed, the middle itself is heavier.
func LevelPen(level float64) ink.Pen {
	pen := ink.Pen{Colour: Stone, Width: 0.16}
	switch {
	case level == 0:
		pen.Width = 0.32
	case level < 0:
		pen.Dash = []float64{1.1, 0.65}
	}
	return pen
}

// BandPen draws the edge band, which is left out along every edge of every piece, joints included.
var BandPen = ink.Pen{Colour: Soft, Width: 0.2, Dash: []float64{0.5, 0.9}}

// Tint is the colour of a height between the lowest, −1, and the highest, +1: the farther from the middle, the deeper.
func Tint(share float64) ink.Colour {
	deep := math.Min(1, math.Abs(share))
	if share < 0 {
		return MidTint.Mix(LowTint, deep)
	}
	return MidTint.Mix(HighTint, deep)
}

// SetInBox sets words on the middle of a turned box.
func SetInBox(s ink.Sheet, b contour.Box, words string, t ink.Type) {
	t.Angle, t.Align = b.Angle, ink.Middle
	down := t.Height() / 2
	s.Text(ink.Point{X: b.At.X - down*math.Sin(b.Angle), Y: b.At.Y + down*math.Cos(b.Angle)}, words, t)
}

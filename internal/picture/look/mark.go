package look

import (
	"io"
	"math"

	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/ink"
	"slatewright/judge"
)

// DrawVerdict draws a verdict's mark, size mm high about (x, y). The shapes differ, so that no colour is needed: a full disc
// with a tick, a hatched square with a cross, an open diamond with a question mark.
func DrawVerdict(s ink.Sheet, v judge.Verdict, x, y, size float64) {
	r, c := size/2, Colour(v)
	pen := ink.Pen{Colour: c, Width: size * 0.09, Round: true}
	switch v {
	case judge.Conforms:
		s.Fill([]contour.Line{ink.Disc(x, y, r)}, c)
		tick := ink.Pen{Colour: Sheet, Width: size * 0.12, Round: true}
		s.Stroke(ink.Path(x-0.42*r, y+0.02*r, x-0.1*r, y+0.38*r, x+0.46*r, y-0.36*r), tick)
	case judge.DoesNotConform:
		s.Strokes(ink.Hatch(x-r, y-r, size, size, size*0.2), ink.Pen{Colour: c.Mix(Sheet, 0.55), Width: size * 0.04})
		s.Stroke(ink.Rect(x-r, y-r, size, size), pen)
		cross := ink.Pen{Colour: c, Width: size * 0.14, Round: true}
		s.Stroke(ink.Segment(x-0.48*r, y-0.48*r, x+0.48*r, y+0.48*r), cross)
		s.Stroke(ink.Segment(x-0.48*r, y+0.48*r, x+0.48*r, y-0.48*r), cross)
	default:
		s.Stroke(ink.Ring(x, y-1.15*r, x+1.15*r, y, x, y+1.15*r, x-1.15*r, y), pen)
		hook := ink.Pen{Colour: c, Width: size * 0.1, Round: true}
		s.Stroke(contour.Line{P: question(x, y, r)}, hook)
		s.Fill([]contour.Line{ink.Disc(x, y+0.5*r, 0.1*r)}, c)
	}
}

// VerdictSVG writes a verdict's mark as a small picture.
func VerdictSVG(w io.Writer, v judge.Verdict) error {
	const size = 8.0
	s := ink.NewSVG()
	DrawVerdict(s, v, size/2, size/2, size/math.Sqrt2)
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

// DrawBanner draws the strip with the mark and returns its height.
func DrawBanner(s ink.Sheet, mark string, x, y, w float64, t ink.Type) float64 {
	t = ink.Fit(s, mark, t, w-24, 5)
	h := 2.1 * t.Height()
	s.Strokes(ink.Hatch(x, y, w, h, 1.6), ink.Pen{Colour: Bad.Mix(Sheet, 0.5), Width: 0.25})
	inner := s.Width(mark, t) + 8
	s.Fill([]contour.Line{ink.Rect(x+(w-inner)/2, y, inner, h)}, Sheet)
	s.Stroke(ink.Rect(x, y, w, h), ink.Pen{Colour: Bad, Width: 0.35})
	s.Text(ink.Point{X: x + w/2, Y: y + (h+t.Height())/2}, mark, t.To(ink.Middle))
	return h
}

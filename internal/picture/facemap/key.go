package facemap

import (
	"math"

	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
)

// heights draws one box for each band, with the levels between them in mm above and thousandths of an inch below.
func (d drawing) heights(s ink.Sheet, x, y, w float64) {
	const h = 3.2
	top := y + 4.3
	quiet := look.Map.In(look.Soft)
	s.Text(ink.Point{X: x, Y: top - 1.1}, d.Words.Height, quiet)
	s.Text(ink.Point{X: x, Y: top + h + 3.1}, d.Words.Thou, quiet)
	left := x + math.Max(s.Width(d.Words.Height, quiet), s.Width(d.Words.Thou, quiet)) + 3
	n := len(d.scale.Levels) + 1
	box := (x + w - left) / float64(n)
	for i := range n {
		s.Fill([]contour.Line{ink.Rect(left+box*float64(i), top, box+0.02, h)}, look.Tint(d.scale.Share(i)))
	}
	s.Stroke(ink.Rect(left, top, box*float64(n), h), ink.Pen{Colour: look.Stone, Width: 0.2})
	every := d.every(s, box)
	for i, level := range d.scale.Levels {
		at := left + box*float64(i+1)
		s.Stroke(ink.Segment(at, top, at, top+h), d.scale.pen(level))
		if int(math.Round(level/d.scale.Step))%every == 0 {
			s.Text(ink.Point{X: at, Y: top - 1.1}, d.scale.Figure(level, d.Words), look.Map.To(ink.Middle))
			s.Text(ink.Point{X: at, Y: top + h + 3.1}, d.thou(level), look.Map.To(ink.Middle))
		}
	}
}

// thou is a level in thousandths of an inch.
func (d drawing) thou(level float64) string {
	if d.Unsigned {
		return d.Words.number(look.Fixed(look.Thou(level), 1))
	}
	return d.Words.number(look.Signed(look.Thou(level), 1))
}

// every is 1 when all levels can be written side by side, 2 when every second can, and so on.
func (d drawing) every(s ink.Sheet, box float64) int {
	widest := 0.0
	for _, level := range d.scale.Levels {
		widest = math.Max(widest, s.Width(d.scale.Figure(level, d.Words), look.Map)+0.8)
		widest = math.Max(widest, s.Width(d.thou(level), look.Map)+0.8)
	}
	return max(1, int(math.Ceil(widest/box)))
}

// mark is one entry of the key.
type mark struct {
	words string
	draw  func(x, y float64)
}

// key explains the marks that the map has, two in a row, and returns the height used.
func (d drawing) key(s ink.Sheet, x, y, w float64) float64 {
	const row = 4.1
	list := d.marks(s)
	for i, k := range list {
		at := x + w/2*float64(i%2)
		base := y + 2.2 + row*float64(i/2)
		k.draw(at, base-look.Map.Height()/2)
		s.Text(ink.Point{X: at + 5.5, Y: base}, k.words, ink.Fit(s, k.words, look.Map, w/2-6, 4.5))
	}
	return row * float64((len(list)+1)/2)
}

func (d drawing) marks(s ink.Sheet) []mark {
	var list []mark
	if len(d.Contacts) > 0 {
		list = append(list, mark{d.Words.Upper, func(x, y float64) { look.DrawContact(s, x+1.6, y, 2.3, true) }},
			mark{d.Words.Lower, func(x, y float64) { look.DrawContact(s, x+1.6, y, 2.3, false) }})
	}
	if n := len(d.Readings); n > 0 && n <= mostDots {
		list = append(list, mark{d.Words.Read, func(x, y float64) { s.Fill([]contour.Line{ink.Disc(x+1.6, y, dotSize)}, look.Soft) }})
	}
	list = append(list, mark{d.Words.NotRead, func(x, y float64) {
		s.Fill([]contour.Line{ink.Rect(x, y-1.1, 3.8, 2.2)}, look.Unread)
		s.Strokes(ink.Hatch(x, y-1.1, 3.8, 2.2, 0.9), ink.Pen{Colour: look.Unhatch, Width: 0.12})
	}})
	if d.EdgeBand > 0 {
		list = append(list, mark{d.Words.Band + ", " + look.Fixed(d.EdgeBand, 0) + " mm", func(x, y float64) { s.Stroke(ink.Segment(x, y, x+3.8, y), look.BandPen) }})
	}
	if !d.Unsigned {
		list = append(list, mark{d.Words.Below, func(x, y float64) { s.Stroke(ink.Segment(x, y, x+3.8, y), look.LevelPen(-1)) }})
	}
	return list
}

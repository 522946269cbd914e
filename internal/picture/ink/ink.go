// Package ink draws: filled areas, strokes and words in millimetres on a sheet, as SVG or as PDF, from the same calls.
//
// Both writers measure words by the same typeface, so a drawing is laid out once and comes out alike in both. The package
// knows nothing of stone: no map, no table, no verdict. It reads no clock, and the same calls give the same bytes.
package ink

import "slatewright/internal/picture/contour"

// Point is a place on the sheet, mm from the left and from the top.
type Point = contour.Point

// Colour is red, green and blue, 0 to 255.
type Colour struct{ R, G, B uint8 }

// Mix returns the colour a share t of the way from c to d, t from 0 to 1.
func (c Colour) Mix(d Colour, t float64) Colour {
	mix := func(a, b uint8) uint8 { return uint8(float64(a) + t*(float64(b)-float64(a)) + 0.5) }
	return Colour{mix(c.R, d.R), mix(c.G, d.G), mix(c.B, d.B)}
}

// Pen is how a line is drawn: its width and dashes in mm. No dashes is a solid line.
type Pen struct {
	Colour Colour
	Width  float64
	Dash   []float64
	Round  bool // round ends and corners
}

// Face is a typeface.
type Face int

// The typefaces. Digits have equal widths in all of them.
const (
	Plain Face = iota // narrow sans serif
	Bold
	Slant
	Serif
	SerifBold
	Mono
	faces
)

// Align says which part of a line of words stands at the place given.
type Align int

// The alignments.
const (
	Left Align = iota
	Middle
	Right
)

// Type is how words are set.
type Type struct {
	Face   Face
	Size   float64 // points (1/72 in)
	Colour Colour
	Align  Align
	Angle  float64 // radians, clockwise on the sheet
}

// Sized returns the type in another size.
func (t Type) Sized(points float64) Type { t.Size = points; return t }

// In returns the type in another colour.
func (t Type) In(c Colour) Type { t.Colour = c; return t }

// To returns the type with another alignment.
func (t Type) To(a Align) Type { t.Align = a; return t }

// Point sizes in mm.
const mmPerPoint = 25.4 / 72

// Height returns the height of the type's digits and capitals, mm. DejaVu's capitals are 0.729 of the type size.
func (t Type) Height() float64 { return 0.729 * t.Size * mmPerPoint }

// Sheet is what can be drawn on. Text stands on its baseline.
type Sheet interface {
	Fill(rings []contour.Line, c Colour)
	Stroke(l contour.Line, p Pen)
	Strokes(lines []contour.Line, p Pen)
	Text(at Point, words string, t Type)
	Width(words string, t Type) float64
}

// Rect returns a rectangle as a ring.
func Rect(x, y, w, h float64) contour.Line {
	return contour.Line{P: []Point{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}, Closed: true}
}

// Segment returns a straight line.
func Segment(x0, y0, x1, y1 float64) contour.Line {
	return contour.Line{P: []Point{{X: x0, Y: y0}, {X: x1, Y: y1}}}
}

// Hatch returns lines at 45° rising to the right, pitch mm apart, clipped to the rectangle. The lines of neighbouring
// rectangles meet.
func Hatch(x, y, w, h, pitch float64) []contour.Line {
	var out []contour.Line
	step := pitch * 1.4142135623730951
	first := int((x+y)/step) + 1
	for k := first; float64(k)*step < x+y+w+h; k++ {
		c := float64(k) * step // the line px + py = c
		x0, x1 := max(x, c-y-h), min(x+w, c-y)
		if x1 > x0 {
			out = append(out, Segment(x0, c-x0, x1, c-x1))
		}
	}
	return out
}

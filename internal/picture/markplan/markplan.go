// Package markplan draws where the marks of a set sit: the bed from above, its head at the top, as somebody sees it who stands at its foot.
//
// It draws no label and no code, and measures nothing.
package markplan

import (
	"bytes"
	"html/template"

	"slatewright/bed"
	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
	"slatewright/internal/tongue"
	"slatewright/sets/marks"
)

// Sides of the picture in shares of its width: the pieces are wide, and lie below one another.
const (
	left  = 0.17 // room for the letters
	high  = 0.28 // of one piece
	below = 0.15 // room for who stands there
)

// Height is how high the picture is when it is w wide.
func Height(w float64) float64 { return w * (3*high + below) }

// Draw draws the plan with its upper left corner at x, y.
func Draw(s ink.Sheet, words tongue.Words, set string, pieces [3]string, x, y, w float64) {
	x0, wide, tall := x+left*w, w*(1-left), high*w
	name, place := look.Strong.Sized(0.13*w), look.Small.Sized(0.105*w).In(look.Stone)
	for i, p := range bed.Places() {
		top := y + tall*float64(i)
		s.Fill([]contour.Line{ink.Rect(x0, top, wide, tall)}, look.Unread)
		s.Stroke(ink.Rect(x0, top, wide, tall), ink.Pen{Colour: look.Stone, Width: 0.006 * w})
		arrow(s, x0+0.88*wide, top+0.15*tall, 0.7*tall)
		room := 0.66 * wide
		one := ink.Fit(s, pieces[i], name, room, 3)
		s.Text(ink.Point{X: x0 + 0.12*wide, Y: top + 0.45*tall}, pieces[i], one)
		two := words.Word("place", p.String())
		s.Text(ink.Point{X: x0 + 0.12*wide, Y: top + 0.8*tall}, two, ink.Fit(s, two, place, room, 3))
	}
	letter := ink.Type{Face: ink.Bold, Size: 0.16 * w, Colour: look.Stone, Align: ink.Right}
	for _, m := range marks.Of(set, pieces) {
		at := y + tall*float64(m.Joint)
		from := at - 0.32*tall
		if m.TowardHead() {
			from = at + 0.02*tall
		}
		s.Fill([]contour.Line{ink.Rect(x0-0.03*w, from, 0.03*w, 0.3*tall)}, look.Stone)
		s.Text(ink.Point{X: x0 - 0.05*w, Y: from + (0.3*tall+letter.Height())/2}, m.Letter, letter)
	}
	stand := words.Say("marks.you-stand")
	t := ink.Fit(s, stand, look.Small.Sized(0.105*w), wide, 3).To(ink.Middle)
	foot := y + 3*tall
	s.Fill([]contour.Line{ink.Ring(x0+wide/2-0.025*w, foot+0.06*w, x0+wide/2+0.025*w, foot+0.06*w, x0+wide/2, foot+0.02*w)}, look.Stone)
	s.Text(ink.Point{X: x0 + wide/2, Y: foot + 0.13*w}, stand, t)
}

// arrow points up from its tip down.
func arrow(s ink.Sheet, x, y, long float64) {
	half := 0.17 * long
	s.Fill([]contour.Line{ink.Ring(x, y, x+half, y+2*half, x-half, y+2*half)}, look.Stone)
	s.Stroke(ink.Segment(x, y+2*half, x, y+long), ink.Pen{Colour: look.Stone, Width: 0.09 * long})
}

// SVG is the plan as a picture within a page.
func SVG(words tongue.Words, set string, pieces [3]string, title string) (template.HTML, error) {
	const w = 90.0
	s := ink.NewSVG()
	Draw(s, words, set, pieces, 0, 1, w)
	var b bytes.Buffer
	if err := s.Write(&b, w+1, Height(w)+2, title); err != nil {
		return "", err
	}
	return template.HTML(b.String()), nil // its words were escaped as they were drawn
}

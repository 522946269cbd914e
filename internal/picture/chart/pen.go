// Package chart draws the small charts of the pages as SVG: lines, marks, bands and words in the classes of the look, axes with figures at
// round values, and words that keep clear of each other. Each chart is drawn twice, for a page as wide as a tablet or desk and for a telephone,
// with letters of the same size.
//
// It has no words and no numbers of its own, and chooses no colours: the classes stand in the look. Maps of a face or a bed are drawn by
// facemap and bedmap.
package chart

import (
	"fmt"
	"html/template"
	"math"
	"strings"
)

// The widths in which a chart is drawn, px.
const (
	Wide   = 700.0
	Narrow = 344.0
)

// Both draws a chart in both widths.
func Both(draw func(width float64) template.HTML) (wide, narrow template.HTML) {
	return draw(Wide), draw(Narrow)
}

// Pen writes a chart. Places are px from its upper left corner.
type Pen struct {
	text          strings.Builder
	Width, Height float64
	taken         []Box
}

// New opens a chart; the title says what it shows to readers that speak.
func New(width, height float64, title string) *Pen { return Classed("chart", width, height, title) }

// Classed opens a chart whose look is another than that of class chart.
func Classed(class string, width, height float64, title string) *Pen {
	p := &Pen{Width: width, Height: height}
	p.add(`<svg class="%s" viewBox="0 0 %s %s" role="img"><title>%s</title>`, class, at(width), at(height), template.HTMLEscapeString(title))
	return p
}

// End closes the chart and returns it.
func (p *Pen) End() template.HTML { return template.HTML(p.text.String() + "</svg>") }

func (p *Pen) add(format string, args ...any) { fmt.Fprintf(&p.text, format, args...) }

// at is a place, to a tenth; what is nowhere is at 0.
func at(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "0"
	}
	return strings.TrimSuffix(fmt.Sprintf("%.1f", x+0), ".0")
}

// Line draws from one place to another.
func (p *Pen) Line(class string, x0, y0, x1, y1 float64) {
	p.add(`<path class="%s" d="M%s %sL%s %s"/>`, class, at(x0), at(y0), at(x1), at(y1))
}

// Run draws through places; closed joins the last to the first. Without a place it draws nothing.
func (p *Pen) Run(class string, places [][2]float64, closed bool) {
	if len(places) == 0 {
		return
	}
	p.add(`<path class="%s" d="`, class)
	for i, q := range places {
		p.add("%c%s %s", "ML"[min(i, 1)], at(q[0]), at(q[1]))
	}
	if closed {
		p.add("Z")
	}
	p.add(`"/>`)
}

// Rect draws a rectangle from its upper left corner; one that is less than nothing wide or high is a line.
func (p *Pen) Rect(class string, x, y, w, h float64) {
	p.add(`<rect class="%s" x="%s" y="%s" width="%s" height="%s"/>`, class, at(x), at(y), at(max(w, 0)), at(max(h, 0)))
}

// Disc draws a circle.
func (p *Pen) Disc(class string, x, y, r float64) {
	p.add(`<circle class="%s" cx="%s" cy="%s" r="%s"/>`, class, at(x), at(y), at(r))
}

// Cross draws a slanting cross.
func (p *Pen) Cross(class string, x, y, r float64) {
	p.add(`<path class="%s" d="M%s %sl%s %sm0 %sl%s %s"/>`, class, at(x-r), at(y-r), at(2*r), at(2*r), at(-2*r), at(-2*r), at(2*r))
}

// Mark draws one of five marks about a point, of the classes "mark m0" to "mark m4": they differ in shape, so no colour is needed.
func (p *Pen) Mark(kind int, x, y, r float64) {
	class := fmt.Sprintf("mark m%d", kind%5)
	switch kind % 5 {
	case 0:
		p.Disc(class, x, y, r)
	case 1:
		p.Rect(class, x-r*0.9, y-r*0.9, 1.8*r, 1.8*r)
	case 2:
		p.Run(class, [][2]float64{{x, y - 1.15*r}, {x + 1.1*r, y + 0.8*r}, {x - 1.1*r, y + 0.8*r}}, true)
	case 3:
		p.Run(class, [][2]float64{{x, y - 1.3*r}, {x + 1.2*r, y}, {x, y + 1.3*r}, {x - 1.2*r, y}}, true)
	default:
		p.Cross(class, x, y, r)
	}
}

// Hatch fills a rectangle with slanting lines: what is hatched is not allowed.
func (p *Pen) Hatch(class string, x, y, w, h float64) {
	if !(w > 0 && h > 0) {
		return
	}
	p.add(`<path class="%s" d="`, class)
	for s := 7.0; s < w+h; s += 7 { // the line from (x+s, y) down to the left
		from, to := max(0, s-w), min(s, h)
		p.add("M%s %sL%s %s", at(x+s-from), at(y+from), at(x+s-to), at(y+to))
	}
	p.add(`"/>`)
}

// Span draws an interval along x at a height, with its ends marked.
func (p *Pen) Span(class string, x0, x1, y, end float64) {
	p.Line(class, x0, y, x1, y)
	p.Line(class, x0, y-end, x0, y+end)
	p.Line(class, x1, y-end, x1, y+end)
}

// Rise draws an interval along y at a place, with its ends marked.
func (p *Pen) Rise(class string, x, y0, y1, end float64) {
	p.Line(class, x, y0, x, y1)
	p.Line(class, x-end, y0, x+end, y0)
	p.Line(class, x-end, y1, x+end, y1)
}

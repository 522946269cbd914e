package drying

import (
	"fmt"
	"html/template"
	"math"
	"strings"
)

// A picture is drawn twice: for a page as wide as a tablet or desk, and for a telephone, with letters of the same size.
const (
	wide   = 700.0
	narrow = 344.0
)

// canvas is a picture on its way; its classes are those of the look.
type canvas struct{ strings.Builder }

func begin(width, height float64, title string) *canvas {
	c := &canvas{}
	c.add(`<svg class="chart" viewBox="0 0 %s %s" role="img"><title>%s</title>`, place(width), place(height), template.HTMLEscapeString(title))
	return c
}

func (c *canvas) end() template.HTML {
	c.WriteString("</svg>")
	return template.HTML(c.String())
}

func (c *canvas) add(format string, args ...any) { fmt.Fprintf(c, format, args...) }

// place is a place in a picture, to a tenth.
func place(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "0"
	}
	return strings.TrimSuffix(fmt.Sprintf("%.1f", x), ".0")
}

func (c *canvas) line(class string, x0, y0, x1, y1 float64) {
	c.run(class, [][2]float64{{x0, y0}, {x1, y1}}, false)
}

// run draws through points; closed joins the last to the first.
func (c *canvas) run(class string, points [][2]float64, closed bool) {
	c.add(`<path class="%s" d="`, class)
	for i, p := range points {
		c.add("%c%s %s", "ML"[min(i, 1)], place(p[0]), place(p[1]))
	}
	if closed {
		c.WriteString("Z")
	}
	c.WriteString(`"/>`)
}

func (c *canvas) rect(class string, x, y, w, h float64) {
	c.add(`<rect class="%s" x="%s" y="%s" width="%s" height="%s"/>`, class, place(x), place(y), place(max(w, 0)), place(max(h, 0)))
}

func (c *canvas) disc(class string, x, y, r float64) {
	c.add(`<circle class="%s" cx="%s" cy="%s" r="%s"/>`, class, place(x), place(y), place(r))
}

func (c *canvas) cross(class string, x, y, r float64) {
	c.line(class, x-r, y-r, x+r, y+r)
	c.line(class, x-r, y+r, x+r, y-r)
}

// text sets words; anchor is start, middle or end.
func (c *canvas) text(class, anchor string, x, y float64, words string) {
	c.add(`<text class="%s" text-anchor="%s" x="%s" y="%s">%s</text>`, class, anchor, place(x), place(y), template.HTMLEscapeString(words))
}

// frame is the ground of a picture: from left to right, and from bottom to top.
type frame struct {
	from, to                 float64 // what runs from left to right
	low, high                float64 // what runs from bottom to top
	left, right, top, bottom float64
}

type plot struct {
	*canvas
	frame
}

func (f frame) x(v float64) float64 {
	return f.left + (v-f.from)/(f.to-f.from)*(f.right-f.left)
}

func (f frame) y(v float64) float64 {
	return f.bottom - (v-f.low)/(f.high-f.low)*(f.bottom-f.top)
}

// curve draws through values.
func (p plot) curve(class string, values [][2]float64, closed bool) {
	points := make([][2]float64, len(values))
	for i, v := range values {
		points[i] = [2]float64{p.x(v[0]), p.y(v[1])}
	}
	p.run(class, points, closed)
}

// round is the round step that divides a span into at most so many parts, and the decimals that its multiples need.
func round(span, parts float64) (step float64, decimals int) {
	step = math.Pow(10, math.Floor(math.Log10(span/parts)))
	for _, k := range []float64{1, 2, 5, 10} {
		if step*k >= span/parts {
			step *= k
			break
		}
	}
	return step, max(0, -int(math.Floor(math.Log10(step)+1e-9)))
}

// ticks draws a grid with figures at round values to the left, in a unit, and below.
func (p plot) ticks(w say, unit, below string) {
	step, decimals := round(p.high-p.low, 6)
	for k := math.Ceil(p.low / step); k*step <= p.high; k++ {
		y := p.y(k * step)
		p.line("grid", p.left, y, p.right, y)
		p.text("tick", "end", p.left-6, y+4, w.Number(k*step, decimals))
	}
	p.text("tick", "end", p.left-6, p.top-8, unit)
	p.across(w, below)
}

// across draws figures at round values below, and what they are.
func (p plot) across(w say, name string) {
	step, decimals := round(p.to-p.from, max(4, (p.right-p.left)/60))
	for k := math.Ceil(p.from / step); k*step <= p.to; k++ {
		x := p.x(k * step)
		p.line("grid", x, p.top, x, p.bottom)
		p.text("tick", "middle", x, p.bottom+15, w.Number(k*step, decimals))
	}
	p.text("tick", "end", p.right, p.bottom+31, name)
}

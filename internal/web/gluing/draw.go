package gluing

import (
	"fmt"
	"html/template"
	"math"
	"strings"
	"time"

	"slatewright/internal/tongue"
	"slatewright/lining/answers"
)

// A picture is drawn twice: for a page as wide as a tablet or desk, and for a telephone, with letters of the same size.
const (
	wide   = 640.0
	narrow = 344.0
)

// canvas is a picture on its way; its classes are those of the look.
type canvas struct{ strings.Builder }

func (c *canvas) add(format string, args ...any) { fmt.Fprintf(c, format, args...) }

// at is a place in a picture, to a tenth.
func at(x float64) string { return strings.TrimSuffix(fmt.Sprintf("%.1f", x), ".0") }

func (c *canvas) line(class string, x0, y0, x1, y1 float64) {
	c.add(`<path class="%s" d="M%s %sL%s %s"/>`, class, at(x0), at(y0), at(x1), at(y1))
}

// run draws through points; closed joins the last to the first.
func (c *canvas) run(class string, points [][2]float64, closed bool) {
	c.add(`<path class="%s" d="`, class)
	for i, p := range points {
		c.add("%c%s %s", "ML"[min(i, 1)], at(p[0]), at(p[1]))
	}
	if closed {
		c.WriteString("Z")
	}
	c.WriteString(`"/>`)
}

// text sets words; anchor is start, middle or end.
func (c *canvas) text(class, anchor string, x, y float64, words string) {
	c.add(`<text class="%s" text-anchor="%s" x="%s" y="%s">%s</text>`, class, anchor, at(x), at(y), template.HTMLEscapeString(words))
}

// plot is the ground of a picture: values from bottom to top over places from left to right.
type plot struct {
	*canvas
	low, high                float64 // of the values
	left, right, top, bottom float64
}

func begin(width, height float64, title string) *canvas {
	c := &canvas{}
	c.add(`<svg class="chart" viewBox="0 0 %s %s" role="img"><title>%s</title>`, at(width), at(height), template.HTMLEscapeString(title))
	return c
}

func (c *canvas) end() template.HTML {
	c.WriteString("</svg>")
	return template.HTML(c.String())
}

func (p plot) y(v float64) float64 {
	return p.bottom - (v-p.low)/(p.high-p.low)*(p.bottom-p.top)
}

// unit is the unit of small lengths on an axis.
func (w say) unit() (mm float64, name string) {
	if w.Units() == tongue.Inch {
		return 0.0254, "thou"
	}
	return 1, "mm"
}

// ticks draws a grid with figures at round values, in a unit of so many mm.
func (p plot) ticks(w say, unit float64, name string) {
	span := (p.high - p.low) / unit
	step := math.Pow(10, math.Floor(math.Log10(span/5)))
	for _, k := range []float64{1, 2, 5, 10} {
		if step*k >= span/6 {
			step *= k
			break
		}
	}
	decimals := max(0, -int(math.Floor(math.Log10(step)+1e-9)))
	for k := math.Ceil(p.low / unit / step); k*step*unit <= p.high; k++ {
		y := p.y(k * step * unit)
		if y < p.top+6 { // there stands the unit
			continue
		}
		p.line("grid", p.left, y, p.right, y)
		p.text("tick", "end", p.left-6, y+4, w.Signed(k*step, decimals))
	}
	p.text("tick", "end", p.left-6, p.top+2, name)
}

// drawYear draws the bow of every month with its limits, and what is allowed to either side.
func drawYear(w say, g *answers.Glue, width float64) template.HTML {
	const height = 330.0
	reach := g.LimitMM
	for _, m := range g.Months {
		reach = max(reach, m.Bow.High, -m.Bow.Low)
	}
	reach *= 1.22 // room for words beyond the limits
	p := plot{begin(width, height, w.Say("gluing.picture", "limit_mm", g.LimitMM)), -reach, reach, 52, width - 10, 30, height - 34}
	unit, name := w.unit()
	p.ticks(w, unit, name)
	step := (p.right - p.left) / 12
	x := func(i int) float64 { return p.left + step*(float64(i)+0.5) }
	var band, middle [][2]float64
	for i, m := range g.Months {
		band, middle = append(band, [2]float64{x(i), p.y(m.Bow.High)}), append(middle, [2]float64{x(i), p.y(m.Bow.Value)})
	}
	for i := len(g.Months) - 1; i >= 0; i-- {
		band = append(band, [2]float64{x(i), p.y(g.Months[i].Bow.Low)})
	}
	p.run("band", band, true)
	p.line("base", p.left, p.y(0), p.right, p.y(0))
	for _, limit := range []float64{g.LimitMM, -g.LimitMM} {
		p.line("limit", p.left, p.y(limit), p.right, p.y(limit))
	}
	p.text("label", "end", p.right, p.y(g.LimitMM)-6, w.Say("gluing.allowed", "limit_mm", g.LimitMM))
	p.run("trend", middle, false)
	for i, m := range g.Months {
		p.add(`<circle class="mark m0" cx="%s" cy="%s" r="3.2"/>`, at(x(i)), at(p.y(m.Bow.Value)))
		p.text("tick", "middle", x(i), p.bottom+18, w.month(m.Month, step))
	}
	p.text("name", "start", p.left, 14, w.Say("gluing.crowns"))
	p.text("name", "start", p.left, p.bottom-4, w.Say("gluing.dishes"))
	return p.end()
}

// month is the beginning of a month's name, as far as it has room: three letters, or its number.
func (w say) month(n int, room float64) string {
	name := []rune(w.Month(time.Month(n)))
	if room < 34 || len(name) < 3 || w.Language() == tongue.Chinese {
		return w.Number(float64(n), 0)
	}
	return string(name[:3])
}

package gauging

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"slatewright/internal/web/shell"
)

// A picture is drawn twice: for a page as wide as a tablet or desk, and for a telephone, with letters of the same size.
const (
	wide   = 640.0
	narrow = 344.0
)

// both draws a picture in both widths into an answer.
func both(a *shell.Answer, draw func(width float64) template.HTML) {
	a.Wide, a.Narrow = draw(wide), draw(narrow)
}

// canvas is a picture on its way; its classes are those of the look.
type canvas struct {
	strings.Builder
	width, height float64
}

// begin opens a picture; the title says what it shows to readers that speak.
func begin(width, height float64, title string) *canvas {
	c := &canvas{width: width, height: height}
	c.add(`<svg class="chart" viewBox="0 0 %s %s" role="img"><title>%s</title>`, coord(width), coord(height), template.HTMLEscapeString(title))
	return c
}

func (c *canvas) end() template.HTML {
	c.WriteString("</svg>")
	return template.HTML(c.String())
}

func (c *canvas) add(format string, args ...any) { fmt.Fprintf(c, format, args...) }

// coord is a place in a picture, to a tenth; what is nowhere is at 0.
func coord(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "0"
	}
	return strings.TrimSuffix(fmt.Sprintf("%.1f", x), ".0")
}

func (c *canvas) line(class string, x0, y0, x1, y1 float64) {
	c.add(`<path class="%s" d="M%s %sL%s %s"/>`, class, coord(x0), coord(y0), coord(x1), coord(y1))
}

func (c *canvas) box(class string, x, y, w, h float64) {
	c.add(`<rect class="%s" x="%s" y="%s" width="%s" height="%s"/>`, class, coord(x), coord(y), coord(max(w, 0)), coord(max(h, 0)))
}

// run draws through points; closed joins the last to the first.
func (c *canvas) run(class string, points [][2]float64, closed bool) {
	if len(points) == 0 {
		return
	}
	c.add(`<path class="%s" d="`, class)
	for i, p := range points {
		c.add("%c%s %s", "ML"[min(i, 1)], coord(p[0]), coord(p[1]))
	}
	if closed {
		c.WriteString("Z")
	}
	c.WriteString(`"/>`)
}

// text sets words; anchor is start, middle or end.
func (c *canvas) text(class, anchor string, x, y float64, words string) {
	c.add(`<text class="%s" text-anchor="%s" x="%s" y="%s">%s</text>`, class, anchor, coord(x), coord(y), template.HTMLEscapeString(words))
}

// mark draws one of five marks about a point: they differ in shape, so no colour is needed.
func (c *canvas) mark(kind int, x, y, r float64) {
	class := fmt.Sprintf("mark m%d", kind%5)
	switch kind % 5 {
	case 0:
		c.add(`<circle class="%s" cx="%s" cy="%s" r="%s"/>`, class, coord(x), coord(y), coord(r))
	case 1:
		c.box(class, x-r*0.9, y-r*0.9, 1.8*r, 1.8*r)
	case 2:
		c.run(class, [][2]float64{{x, y - 1.15*r}, {x + 1.1*r, y + 0.8*r}, {x - 1.1*r, y + 0.8*r}}, true)
	case 3:
		c.run(class, [][2]float64{{x, y - 1.3*r}, {x + 1.2*r, y}, {x, y + 1.3*r}, {x - 1.2*r, y}}, true)
	default:
		c.add(`<path class="%s" d="M%s %sl%s %sm0 %sl%s %s"/>`, class, coord(x-r), coord(y-r), coord(2*r), coord(2*r), coord(-2*r), coord(-2*r), coord(2*r))
	}
}

// hatch fills a box with slanting lines: what is hatched is not allowed.
func (c *canvas) hatch(class string, x, y, w, h float64) {
	if !(w > 0 && h > 0) {
		return
	}
	c.add(`<path class="%s" d="`, class)
	for s := 7.0; s < w+h; s += 7 { // the line from (x+s, y) down to the left
		from, to := max(0, s-w), min(s, h)
		c.add("M%s %sL%s %s", coord(x+s-from), coord(y+from), coord(x+s-to), coord(y+to))
	}
	c.WriteString(`"/>`)
}

// span draws an interval along x at a height, with its ends marked.
func (c *canvas) span(class string, x0, x1, y, cap float64) {
	c.line(class, x0, y, x1, y)
	c.line(class, x0, y-cap, x0, y+cap)
	c.line(class, x1, y-cap, x1, y+cap)
}

// rise draws an interval along y at a place.
func (c *canvas) rise(class string, x, y0, y1, cap float64) {
	c.line(class, x, y0, x, y1)
	c.line(class, x-cap, y0, x+cap, y0)
	c.line(class, x-cap, y1, x+cap, y1)
}

// axis maps values to places.
type axis struct{ low, high, from, to float64 }

// around is an axis with some room beyond its values.
func around(low, high, from, to float64) axis {
	if !(high > low) {
		d := max(math.Abs(high)*0.1, 1e-6)
		low, high = low-d, high+d
	}
	room := (high - low) * 0.06
	return axis{low - room, high + room, from, to}
}

func (a axis) at(v float64) float64 { return a.from + (v-a.low)/(a.high-a.low)*(a.to-a.from) }

// clip is at, kept within the axis.
func (a axis) clip(v float64) float64 { return a.at(min(max(v, a.low), a.high)) }

// ticks are about n round values within the axis, counted in units of unit.
func (a axis) ticks(unit float64, n int) (list []float64) {
	low, high := a.low/unit, a.high/unit
	if !(high > low) || math.IsInf(high-low, 0) {
		return nil
	}
	raw := (high - low) / float64(max(n, 1))
	step := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, k := range []float64{1, 2, 5, 10} {
		if step*k >= raw {
			step *= k
			break
		}
	}
	for k := math.Ceil(low / step); k*step <= high && len(list) < 50; k++ {
		list = append(list, k*step*unit)
	}
	return list
}

// scale is how an axis of values in a list's unit is written: by which it is divided, the unit's name and the decimals.
type scale struct {
	unit float64
	name string
}

// scaleOf chooses the unit of an axis: for lengths µm or thou where they are small.
func (w say) scaleOf(unit string, reach float64) scale {
	switch {
	case unit != "mm":
		return scale{1, unit}
	case string(w.Units()) == "inch":
		return scale{0.0254, "thou"}
	case reach < 2:
		return scale{0.001, "µm"}
	}
	return scale{1, "mm"}
}

// tick writes a value at a tick: as many decimals as its neighbours need.
func (w say) tick(v float64, s scale, ticks []float64) string {
	decimals := 0
	if len(ticks) > 1 {
		step := (ticks[1] - ticks[0]) / s.unit
		decimals = min(max(-int(math.Floor(math.Log10(step)+1e-9)), 0), 6)
	}
	return w.Number(v/s.unit, decimals)
}

// short keeps a name within so many letters.
func short(name string, most int) string {
	if letters := []rune(name); len(letters) > most {
		return string(letters[:max(most-1, 1)]) + "…"
	}
	return name
}

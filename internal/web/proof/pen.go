package proof

import (
	"fmt"
	"html/template"
	"math"
	"strings"
	"unicode"
)

// A picture is drawn twice: as wide as a tablet or desk shows it, and for a telephone, with letters of the same size.
const (
	wide   = 760.0
	narrow = 344.0
)

// pen writes a picture. Its classes are those of the look; words keep clear of each other.
type pen struct {
	strings.Builder
	width, height float64
	taken         []box
}

// box is a place that is taken.
type box struct{ x0, y0, x1, y1 float64 }

func (b box) meets(o box) bool { return b.x0 < o.x1 && o.x0 < b.x1 && b.y0 < o.y1 && o.y0 < b.y1 }

// begin opens a picture; the title says what it shows to readers that speak.
func begin(width, height float64, title string) *pen {
	p := &pen{width: width, height: height}
	p.add(`<svg class="proven" viewBox="0 0 %s %s" role="img"><title>%s</title>`, at(width), at(height), template.HTMLEscapeString(title))
	return p
}

func (p *pen) end() template.HTML {
	p.WriteString("</svg>")
	return template.HTML(p.String())
}

func (p *pen) add(format string, args ...any) { fmt.Fprintf(p, format, args...) }

// at is a place in a picture, to a tenth.
func at(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "0"
	}
	return strings.TrimSuffix(fmt.Sprintf("%.1f", x+0), ".0")
}

func (p *pen) line(class string, x0, y0, x1, y1 float64) {
	p.add(`<path class="%s" d="M%s %sL%s %s"/>`, class, at(x0), at(y0), at(x1), at(y1))
}

func (p *pen) rect(class string, x, y, w, h float64) {
	p.add(`<rect class="%s" x="%s" y="%s" width="%s" height="%s"/>`, class, at(x), at(y), at(max(w, 0)), at(max(h, 0)))
}

func (p *pen) disc(class string, x, y, r float64) {
	p.add(`<circle class="%s" cx="%s" cy="%s" r="%s"/>`, class, at(x), at(y), at(r))
}

// cross and ring are marks that need no colour.
func (p *pen) cross(class string, x, y, r float64) {
	p.add(`<path class="%s" d="M%s %sl%s %sm0 %sl%s %s"/>`, class, at(x-r), at(y-r), at(2*r), at(2*r), at(-2*r), at(-2*r), at(2*r))
}

func (p *pen) run(class string, points [][2]float64, closed bool) {
	if len(points) == 0 {
		return
	}
	p.add(`<path class="%s" d="`, class)
	for i, q := range points {
		p.add("%c%s %s", "ML"[min(i, 1)], at(q[0]), at(q[1]))
	}
	if closed {
		p.WriteString("Z")
	}
	p.WriteString(`"/>`)
}

// text sets words; anchor is start, middle or end.
func (p *pen) text(class, anchor string, x, y float64, words string) {
	p.add(`<text class="%s" text-anchor="%s" x="%s" y="%s">%s</text>`, class, anchor, at(x), at(y), template.HTMLEscapeString(words))
	p.taken = append(p.taken, span(anchor, x, y, words))
}

// letter is the width of a letter of the pictures' 12 px, on average, and the height of a line.
const (
	letter = 6.6
	high   = 12.0
)

// span is the place that words take.
func span(anchor string, x, y float64, words string) box {
	w := 0.0
	for _, r := range words {
		if w += letter; unicode.Is(unicode.Han, r) {
			w += letter
		}
	}
	switch anchor {
	case "middle":
		x -= w / 2
	case "end":
		x -= w
	}
	return box{x - 1, y - high + 2, x + w + 1, y + 3}
}

// around are the places for words about a point, the best first.
var around = []struct {
	anchor string
	dx, dy float64
}{{"start", 7, -6}, {"start", 7, 14}, {"end", -7, -6}, {"end", -7, 14}, {"middle", 0, -10}, {"middle", 0, 20}, {"start", 9, 4}, {"end", -9, 4}}

// label sets words about a point where nothing else stands, and reports whether there was such a place; with must at the first in any case.
func (p *pen) label(class string, x, y float64, words string, must bool) bool {
	for _, a := range around {
		b := span(a.anchor, x+a.dx, y+a.dy, words)
		if b.x0 < 0 || b.x1 > p.width || b.y0 < 0 || b.y1 > p.height || p.meets(b) {
			continue
		}
		p.text(class, a.anchor, x+a.dx, y+a.dy, words)
		return true
	}
	if must {
		b := span("start", x+7, y-6, words)
		p.text(class, "start", x+7-max(0, b.x1-p.width), max(y-6, high), words)
	}
	return must
}

func (p *pen) meets(b box) bool {
	for _, t := range p.taken {
		if t.meets(b) {
			return true
		}
	}
	return false
}

// block keeps words away from a mark.
func (p *pen) block(x, y, r float64) { p.taken = append(p.taken, box{x - r, y - r, x + r, y + r}) }

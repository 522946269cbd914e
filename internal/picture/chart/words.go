package chart

import (
	"html/template"
	"unicode"
)

// Box is a place that is taken, px.
type Box struct{ X0, Y0, X1, Y1 float64 }

// Meets tells whether two boxes overlap.
func (b Box) Meets(o Box) bool { return b.X0 < o.X1 && o.X0 < b.X1 && b.Y0 < o.Y1 && o.Y0 < b.Y1 }

// The width of a letter of 12 px on average, and the height of a line.
const (
	letterWidth = 6.6
	LineHeight  = 12.0
)

// Words is the place that words take; anchor is start, middle or end.
func Words(anchor string, x, y float64, words string) Box {
	w := 0.0
	for _, r := range words {
		if w += letterWidth; unicode.Is(unicode.Han, r) {
			w += letterWidth
		}
	}
	switch anchor {
	case "middle":
		x -= w / 2
	case "end":
		x -= w
	}
	return Box{x - 1, y - LineHeight + 2, x + w + 1, y + 3}
}

// Text sets words; anchor is start, middle or end.
func (p *Pen) Text(class, anchor string, x, y float64, words string) {
	p.add(`<text class="%s" text-anchor="%s" x="%s" y="%s">%s</text>`, class, anchor, at(x), at(y), template.HTMLEscapeString(words))
	p.taken = append(p.taken, Words(anchor, x, y, words))
}

// Within sets words about the middle x, moved so that they end within the chart.
func (p *Pen) Within(class string, x, y float64, words string) {
	half := Words("middle", 0, 0, words).X1
	p.Text(class, "middle", min(max(x, half+4), p.Width-half-4), y, words)
}

// around are the places for words about a point, the best first.
var around = []struct {
	anchor string
	dx, dy float64
}{{"start", 7, -6}, {"start", 7, 14}, {"end", -7, -6}, {"end", -7, 14}, {"middle", 0, -10}, {"middle", 0, 20}, {"start", 9, 4}, {"end", -9, 4}}

// Label sets words about a point where nothing else stands, and reports whether there was such a place; with must it sets them at the first
// in any case.
func (p *Pen) Label(class string, x, y float64, words string, must bool) bool {
	for _, a := range around {
		b := Words(a.anchor, x+a.dx, y+a.dy, words)
		if b.X0 < 0 || b.X1 > p.Width || b.Y0 < 0 || b.Y1 > p.Height || p.Meets(b) {
			continue
		}
		p.Text(class, a.anchor, x+a.dx, y+a.dy, words)
		return true
	}
	if must {
		b := Words("start", x+7, y-6, words)
		p.Text(class, "start", x+7-max(0, b.X1-p.Width), max(y-6, LineHeight), words)
	}
	return must
}

// Meets tells whether something stands in a place already: words, or what was blocked.
func (p *Pen) Meets(b Box) bool {
	for _, t := range p.taken {
		if t.Meets(b) {
			return true
		}
	}
	return false
}

// Block keeps labels away from a mark.
func (p *Pen) Block(x, y, r float64) { p.taken = append(p.taken, Box{x - r, y - r, x + r, y + r}) }

// Short keeps a name within so many letters.
func Short(name string, most int) string {
	if letters := []rune(name); len(letters) > most {
		return string(letters[:max(most-1, 1)]) + "…"
	}
	return name
}

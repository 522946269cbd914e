package layermap

import (
	"io"

	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
)

// List is what stands below the map on paper: lines, and the cuts in their order, each with a box to tick.
type List struct {
	Lines    []string
	Heads    []string   // of the cuts; the last column is the box
	Cuts     [][]string // cells, one fewer than heads
	Cautions []string
	Language string // its tag; empty: English
}

// sheet sizes, mm.
const (
	wide, tall = 210.0, 297.0
	edge       = 14.0
	row        = 4.6
)

// paper is a document being written, and how far down the page it is.
type paper struct {
	*ink.PDF
	y float64
}

// PDF writes the map on paper with its list. font, which may be nil, has the letters that the program's own fonts lack.
func (m Map) PDF(out io.Writer, l List, font *ink.Font) error {
	p := paper{ink.NewPDF(wide, tall, ink.Title{Name: m.Title, Language: l.Language}, font), edge + 6}
	p.Page()
	p.Text(ink.Point{X: edge, Y: p.y}, m.Title, ink.Fit(p, m.Title, look.Title, wide-2*edge, 9))
	p.y += look.Leading(look.Caption) + 2
	p.Text(ink.Point{X: edge, Y: p.y}, m.About, ink.Fit(p, m.About, look.Caption, wide-2*edge, 5))
	p.y += 5
	low, high := m.box()
	scale := min((wide-2*edge)/max(high.X-low.X, 1), 170/max(high.Y-low.Y, 1))
	under := p.y + (high.Y-low.Y)*scale + 6
	m.on(p, edge, p.y, scale).draw(edge, under)
	p.y = under + 8
	for _, text := range l.Lines {
		p.write(text, look.Text)
	}
	p.cuts(l)
	for _, text := range l.Cautions {
		p.write(text, look.Fine)
		p.y += 1.2
	}
	return p.Write(out)
}

// write sets a text in lines, on the next page where there is no room.
func (p *paper) write(text string, t ink.Type) {
	lines := ink.Wrap(p, text, t, wide-2*edge)
	if p.y+float64(len(lines))*look.Leading(t) > tall-edge {
		p.next()
	}
	for _, l := range lines {
		p.Text(ink.Point{X: edge, Y: p.y}, l, t)
		p.y += look.Leading(t) + 0.4
	}
}

func (p *paper) next() {
	p.Page()
	p.y = edge + 4
}

// cuts lists the cuts, their columns shared out over the width; figures stand to the right.
func (p *paper) cuts(l List) {
	if len(l.Cuts) == 0 {
		return
	}
	at := func(i int) float64 { return edge + float64(i+1)*(wide-2*edge)/float64(len(l.Heads)) }
	heads := func() {
		for i, h := range l.Heads {
			p.Text(ink.Point{X: at(i) - 4, Y: p.y}, h, look.Strong.To(ink.Right))
		}
		p.y += row
	}
	if p.y += 4; p.y > tall-edge-4*row {
		p.next()
	}
	heads()
	for _, c := range l.Cuts {
		if p.y > tall-edge {
			p.next()
			heads()
		}
		for i, cell := range c {
			p.Text(ink.Point{X: at(i) - 4, Y: p.y}, cell, look.Text.To(ink.Right))
		}
		p.Stroke(ink.Rect(at(len(c))-7, p.y-2.6, 3, 3), ink.Pen{Colour: look.Soft, Width: 0.2})
		p.y += row
	}
	p.y += 3
}

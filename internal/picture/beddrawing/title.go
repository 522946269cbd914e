package beddrawing

import (
	"slatewright/internal/picture/drafting"
	"slatewright/internal/picture/ink"
)

// Sizes of the title block, mm.
const (
	titleWide = 94.0
	rowHigh   = 9.6
	markHigh  = 7.0 // of the row that says that the data are invented
)

// titleHigh is the block's height.
func (b *bed) titleHigh() float64 {
	if b.Invented {
		return 4*rowHigh + markHigh
	}
	return 4 * rowHigh
}

// finish draws the frame and the title block, and names the sheet.
func (b *bed) finish(s *sheet, n, of int) {
	in := inner(s.Width, s.Height)
	s.Box(layerSheet, drafting.Wide, in.X0, in.Y0, in.W(), in.H())
	x, y := in.X1-titleWide, in.Y1-b.titleHigh()
	s.Box(layerSheet, drafting.Wide, x, y, titleWide, b.titleHigh())
	if b.Invented {
		s.Text(drafting.Text{Layer: layerSheet, At: drafting.At(x+titleWide/2, y+markHigh-(markHigh-drafting.Tall)/2), Words: b.told("drawing.invented"), Height: drafting.Tall, Align: ink.Middle, Bold: true})
		s.Line(layerSheet, drafting.Wide, drafting.At(x, y+markHigh), drafting.At(x+titleWide, y+markHigh))
		y += markHigh
	}
	by, on := b.Approved.By, b.Approved.On
	if by == "" {
		by = b.told("drawing.not-approved")
	}
	if on == "" {
		on = "–"
	}
	s.row(x, y, []cell{{titleWide, b.told("drawing.pattern"), b.Name, drafting.Large}})
	s.row(x, y+rowHigh, []cell{{titleWide - 22, b.told("drawing.shows"), s.what, drafting.Tall}, {22, b.told("drawing.sheet"), b.told("drawing.sheet-of", "i", n, "all", of), drafting.Tall}})
	s.row(x, y+2*rowHigh, []cell{{20, b.told("drawing.revision"), b.Revision, drafting.Tall}, {46, b.told("drawing.approved"), by, drafting.Tall}, {28, b.told("drawing.on"), on, drafting.Tall}})
	s.row(x, y+3*rowHigh, []cell{{24, b.told("drawing.scale"), s.scale, drafting.Tall}, {18, b.told("drawing.unit"), "mm", drafting.Tall}, {20, b.told("drawing.paper"), string(b.Paper), drafting.Tall}, {32, "", "", 0}})
	s.projection(x+62, y+3*rowHigh)
	s.Title = b.told("drawing.title", "name", b.Name, "revision", b.Revision, "shown", s.what)
	if b.Invented {
		s.Title = b.told("drawing.title-invented", "title", s.Title)
	}
}

// cell is a field of the title block.
type cell struct {
	wide           float64
	caption, value string
	high           float64 // of the value's letters, at most
}

// row draws fields side by side.
func (s *sheet) row(x, y float64, cells []cell) {
	for _, c := range cells {
		s.Box(layerSheet, drafting.Thin, x, y, c.wide, rowHigh)
		if c.caption != "" {
			words, _ := s.fit(c.caption, drafting.Least, c.wide-1.5)
			s.Words(layerSheet, x+1, y+1+drafting.Least, words)
		}
		if c.value != "" {
			words, high := s.fit(c.value, c.high, c.wide-2)
			s.Text(drafting.Text{Layer: layerSheet, At: drafting.At(x+1, y+rowHigh-1.4), Words: words, Height: high})
		}
		x += c.wide
	}
}

// fit returns words in the largest height up to high in which they are at most wide, cut off where even the least is too large.
func (s *sheet) fit(words string, high, wide float64) (string, float64) {
	if high == drafting.Large {
		high = 3.9 // the field has no room for more
	}
	for h := high; h >= drafting.Least; h -= 0.1 {
		if s.Measure(words, h, false) <= wide {
			return words, h
		}
	}
	r := []rune(words)
	for len(r) > 1 && s.Measure(string(r)+"…", drafting.Least, false) > wide {
		r = r[:len(r)-1]
	}
	return string(r) + "…", drafting.Least
}

// projection draws the sign of first-angle projection (ISO 5456-2): a blunt cone from its side, and its two circles on the right of it.
func (s *sheet) projection(x, y float64) {
	mid := y + rowHigh/2
	const thin, thick, long = 1.5, 3.0, 7.0
	left := x + 4
	s.Ring(layerSheet, drafting.Wide, drafting.At(left, mid-thin), drafting.At(left+long, mid-thick), drafting.At(left+long, mid+thick), drafting.At(left, mid+thin))
	s.Line(layerSheet, drafting.Thin, drafting.At(left-1.5, mid), drafting.At(left+long+1.5, mid))
	c := drafting.At(left+long+8, mid)
	s.Circle(layerSheet, drafting.Wide, c, thin, "")
	s.Circle(layerSheet, drafting.Wide, c, thick, "")
	s.Cross(layerSheet, c, thick+1.2)
}

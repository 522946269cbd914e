package paper

import (
	"fmt"
	"io"

	"slatewright/bed"
	"slatewright/internal/caution"
	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
	"slatewright/internal/picture/markplan"
	"slatewright/sets/marks"
	"slatewright/trouble"
)

// Labels are those of a set's marks: on a sheet to cut, or one a page for a label printer.
type Labels struct {
	marks.Sheet
	Mark    string // over every page and on every label; empty: none
	Mill    string // may be empty
	Program string
}

// The sides of labels on a sheet, mm: those of the stone fit on the thinnest edge that is sold (25.4), those of the lining on a board of 19.
const (
	labelWide   = 84.0
	stoneHigh   = 24.0
	liningHigh  = 17.0
	labelMargin = 1.0
)

// PDF writes the labels. The same labels and form give the same bytes. A size that cannot carry a mark is the asker's fault.
func (l Labels) PDF(w io.Writer, f Form) error {
	if err := f.Check(); err != nil {
		return err
	}
	made, err := day(l.Day, l.Set)
	if err != nil {
		return err
	}
	say := said{f.Words}
	head := say.Say("marks.labels", "set", l.Set)
	title := ink.Title{Name: head, Subject: subject(l.Mark, say.Say("marks.labels-subject")), Author: l.Mill, Maker: l.Program, Made: made, Language: f.Words.Language().Tag()}
	if l.Width == 0 && l.Height == 0 {
		return l.sheet(w, f, title, head)
	}
	if !marks.Fits(l.Width, l.Height) {
		return trouble.Usage("bad-size", "the labels", fmt.Sprintf("a label of %g x %g mm cannot carry a mark", l.Width, l.Height), "take one from 45x16 to 210x150 mm, wider than it is high")
	}
	p := &press{PDF: ink.NewPDF(l.Width, l.Height, title, f.Font), said: say}
	for _, m := range marks.Of(l.Set, l.Pieces) {
		for _, on := range []string{"stone", "lining"} {
			p.Page()
			if err := p.label(m, on, l.Mark, 0, 0, l.Width, l.Height); err != nil {
				return err
			}
		}
	}
	return p.Write(w)
}

// sheet sets all labels on one page, each joint a row, as its labels will meet.
func (l Labels) sheet(w io.Writer, f Form, title ink.Title, head string) error {
	p := newPress(f, title, l.Mark, said{f.Words}.footLine(l.Mill, head, "", l.Program, ""), layout{air: 1})
	p.identity(l.Mill, head, "", p.width())
	const plan, gap = 58.0, 7.0
	p.space()
	text := p.width() - plan - gap
	top := p.y
	t := look.Text.Sized(9)
	p.y += p.block(p.Say("marks.labels-about"), t, p.left, p.y, text) + 2
	p.y += p.block(p.Say("marks.labels-cut"), t, p.left, p.y, text)
	markplan.Draw(p, p.Words, l.Set, l.Pieces, p.right-plan, top, plan)
	p.y = max(p.y, top+markplan.Height(plan)) + 5
	all := marks.Of(l.Set, l.Pieces)
	x := p.left + (p.width()-2*labelWide)/2
	for _, on := range []struct {
		word string
		high float64
	}{{"stone", stoneHigh}, {"lining", liningHigh}} {
		p.need(2*on.high + 8)
		p.y += p.block(p.Say("marks.on-"+on.word), look.Head, x, p.y, p.width()) + 1.5
		for row := range 2 {
			for k, m := range all[2*row : 2*row+2] {
				if err := p.label(m, on.word, l.Mark, x+labelWide*float64(k), p.y, labelWide, on.high); err != nil {
					return err
				}
			}
			p.cuts(x, p.y, on.high)
			p.y += on.high
		}
		p.y += 4
	}
	var loads []caution.Load
	for i, place := range bed.Places() {
		if l.MassKg[i] > 0 {
			loads = append(loads, caution.Load{Name: place.String(), Kg: l.MassKg[i]})
		}
	}
	if len(loads) < len(l.MassKg) {
		loads = nil
	}
	p.cautions(caution.OnPaper(p.Words, topicsOf(KindLabels), loads...))
	return p.finish(w)
}

// cuts draws where a row of two labels is cut.
func (p *press) cuts(x, y, high float64) {
	pen := ink.Pen{Colour: look.Soft, Width: 0.18, Dash: []float64{1.4, 1.2}}
	for _, at := range []float64{y, y + high} {
		p.Stroke(ink.Segment(x-3, at, x+2*labelWide+3, at), pen)
	}
	for k := range 3 {
		at := x + labelWide*float64(k)
		p.Stroke(ink.Segment(at, y-1, at, y+high+1), pen)
	}
}

// label sets one label into a rectangle: at its joint's end a thick edge and the letter, at the other the code, between them the words.
func (p *press) label(m marks.Mark, on, mark string, x, y, w, h float64) error {
	const edge = 1.8
	inner, strip := h-2*labelMargin, 0.0
	if mark != "" {
		strip = max(1.9, 0.1*h)
		inner -= strip
	}
	code, letter := min(inner, 0.36*w), min(0.8*inner, 0.2*w)
	top := y + labelMargin
	barX, letterX, textX, codeX := x+w-edge, x+w-edge-letter, x+labelMargin+code+1, x+labelMargin
	if m.TowardHead() {
		barX, letterX, textX, codeX = x, x+edge, x+edge+letter+1, x+w-labelMargin-code
	}
	p.Fill([]contour.Line{ink.Rect(barX, y, edge, h)}, look.Stone)
	if err := ink.QR(p, m.Code(), codeX, top+(inner-code)/2, code, ink.Colour{}, look.Sheet); err != nil {
		return err
	}
	big := ink.Fit(p, m.Letter, ink.Type{Face: ink.Bold, Size: 0.82 * inner / 0.729 * 72 / 25.4, Colour: look.Stone}, letter-0.6, 6)
	p.Text(ink.Point{X: letterX + letter/2, Y: top + (inner+big.Height())/2}, m.Letter, big.To(ink.Middle))
	p.labelWords(m, on, textX, top, w-edge-letter-code-labelMargin-2, inner)
	if mark != "" {
		t := ink.Fit(p, mark, look.Strong.In(look.Bad).Sized(0.8*strip*72/25.4), w-edge-4, 3)
		from := x + edge/2
		if !m.TowardHead() {
			from = x - edge/2
		}
		p.Text(ink.Point{X: from + w/2, Y: y + h - labelMargin/2 - (strip-t.Height())/2}, mark, t.To(ink.Middle))
	}
	return nil
}

// labelWords sets the words of a label: the arrow to the head, which lies to the left of whoever reads it on the left side of the bed; the piece, its set
// and place, what it meets and where the label goes.
func (p *press) labelWords(m marks.Mark, on string, x, y, w, h float64) {
	where := "marks.label-near"
	if m.TowardHead() {
		where = "marks.label-far"
	}
	rows := []struct {
		words string
		share float64
		t     ink.Type
	}{
		{p.place(bed.Head.String()), 0.19, look.Strong},
		{m.Piece, 0.27, ink.Type{Face: ink.Bold, Colour: look.Stone}},
		{p.Say("marks.label-set", "set", m.Set) + " · " + p.place(m.Place.String()), 0.19, look.Strong},
		{p.Say("marks.label-meets", "letter", m.Letter, "place", m.Meets().String()), 0.17, look.Text},
		{p.Say("marks.on-"+on) + " · " + p.Say(where), 0.17, look.Text},
	}
	for i, r := range rows {
		tall := r.share * h
		room, at := w, x
		if i == 0 { // behind the arrow
			long := min(0.45*w, 2.6*tall)
			middle := y + 0.52*tall
			pen := ink.Pen{Colour: look.Stone, Width: max(0.35, 0.13*tall)}
			p.Stroke(ink.Segment(x+0.3*tall, middle, x+long, middle), pen)
			p.Fill([]contour.Line{ink.Ring(x, middle, x+0.8*tall, middle-0.42*tall, x+0.8*tall, middle+0.42*tall)}, look.Stone)
			room, at = w-long-1, x+long+1
		}
		t := ink.Fit(p, r.words, r.t.Sized(0.74*tall/0.729*72/25.4), room, 3)
		p.Text(ink.Point{X: at, Y: y + (tall+t.Height())/2}, r.words, t)
		y += tall
	}
}

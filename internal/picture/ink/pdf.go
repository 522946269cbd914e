package ink

import (
	"bytes"
	"cmp"
	"io"
	"math"
	"regexp"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"slatewright/internal/picture/contour"
	"slatewright/trouble"
)

// PDF is a document whose current page is a sheet. Its bytes depend only on what was drawn and on the date given.
type PDF struct {
	metric
	doc     book
	undated bool
	font    *Font // for what the own fonts do not have; nil: none
	upright bool  // nothing slants
	unset   unset
}

// Title is what a document says of itself.
type Title struct {
	Name, Subject, Author, Maker string
	Made                         time.Time // the zero time: the document bears no date
	Language                     string    // its tag, as in pt-BR; empty: English
}

// NewPDF returns a document of pages w by h mm, without a page yet. Characters that the fonts of this program do not have are set in
// the font, which may be nil.
func NewPDF(w, h float64, t Title, font *Font) *PDF {
	doc := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: fpdf.SizeType{Wd: w, Ht: h}})
	doc.SetAutoPageBreak(false, 0)
	doc.SetMargins(0, 0, 0)
	doc.SetCellMargin(0)
	doc.SetCatalogSort(true)
	doc.SetCreationDate(t.Made)
	doc.SetModificationDate(t.Made)
	doc.SetTitle(t.Name, true)
	doc.SetSubject(t.Subject, true)
	doc.SetAuthor(t.Author, true)
	doc.SetCreator(t.Maker, true)
	doc.SetProducer(t.Maker, true)
	doc.SetLang(cmp.Or(t.Language, "en"))
	if t.Made.IsZero() { // the library would take today
		doc.SetCreationDate(time.Unix(0, 0).UTC())
		doc.SetModificationDate(time.Unix(0, 0).UTC())
	}
	return &PDF{doc: book{Fpdf: doc}, undated: t.Made.IsZero(), font: font, upright: strings.HasPrefix(t.Language, "zh")}
}

// Page begins a new page, which becomes the current one.
func (p *PDF) Page() { p.doc.AddPage() }

// Pages returns the number of pages.
func (p *PDF) Pages() int { return p.doc.PageCount() }

// Turn makes page n, counted from 1, the current one.
func (p *PDF) Turn(n int) { p.doc.SetPage(n) }

// Fill fills the rings by the nonzero rule.
func (p *PDF) Fill(rings []contour.Line, c Colour) {
	if len(rings) == 0 {
		return
	}
	p.doc.SetFillColor(int(c.R), int(c.G), int(c.B))
	for _, r := range rings {
		p.path(r)
	}
	p.doc.DrawPath("F")
}

// Stroke draws a line.
func (p *PDF) Stroke(l contour.Line, pen Pen) { p.Strokes([]contour.Line{l}, pen) }

// Strokes draws lines with one pen.
func (p *PDF) Strokes(lines []contour.Line, pen Pen) {
	if len(lines) == 0 {
		return
	}
	p.take(pen)
	for _, l := range lines {
		p.path(l)
	}
	p.doc.DrawPath("D")
}

// take makes pen the document's current one.
func (p *PDF) take(pen Pen) {
	p.doc.SetDrawColor(int(pen.Colour.R), int(pen.Colour.G), int(pen.Colour.B))
	p.doc.SetLineWidth(pen.Width)
	p.doc.SetDashPattern(pen.Dash, 0)
	ends := "butt"
	joins := "miter"
	if pen.Round {
		ends, joins = "round", "round"
	}
	p.doc.SetLineCapStyle(ends)
	p.doc.SetLineJoinStyle(joins)
}

func (p *PDF) path(l contour.Line) {
	for i, q := range l.P {
		if i == 0 {
			p.doc.MoveTo(q.X, q.Y)
		} else {
			p.doc.LineTo(q.X, q.Y)
		}
	}
	if l.Closed {
		p.doc.ClosePath()
	}
}

// Text sets words.
func (p *PDF) Text(at Point, words string, t Type) {
	if words == "" {
		return
	}
	p.doc.SetTextColor(int(t.Colour.R), int(t.Colour.G), int(t.Colour.B))
	x := at.X
	switch t.Align {
	case Middle:
		x -= p.Width(words, t) / 2
	case Right:
		x -= p.Width(words, t)
	}
	if t.Angle == 0 {
		p.set(x, at.Y, words, t)
		return
	}
	p.doc.TransformBegin()
	p.doc.TransformRotate(-t.Angle*180/math.Pi, at.X, at.Y)
	p.set(x, at.Y, words, t)
	p.doc.TransformEnd()
}

// set sets words from x on, each stretch in the font that has it.
func (p *PDF) set(x, y float64, words string, t Type) {
	t = p.straight(t)
	for _, r := range runs(words) {
		if !r.outside {
			p.doc.setType(t)
			p.doc.Text(x, y, r.words)
			x += p.metric.Width(r.words, t)
			continue
		}
		p.unset.note(r.words, p.font)
		if p.font == nil {
			continue
		}
		p.doc.setOutside(p.font, t)
		p.doc.Text(x, y, r.words)
		p.doc.SetTextRenderingMode(0)
		x += p.font.width(r.words, t)
	}
}

// straight is the type as it is set: Chinese has no slanted letters, and figures among them do not slant either.
func (p *PDF) straight(t Type) Type {
	if p.upright && t.Face == Slant {
		t.Face = Plain
	}
	return t
}

// Width returns the length of the words, mm.
func (p *PDF) Width(words string, t Type) (w float64) {
	t = p.straight(t)
	for _, r := range runs(words) {
		if r.outside && p.font != nil {
			w += p.font.width(r.words, t)
		} else {
			w += p.metric.Width(r.words, t)
		}
	}
	return w
}

// Write closes the document and writes it.
func (p *PDF) Write(w io.Writer) error {
	if err := p.unset.err(p.font); err != nil {
		return err
	}
	var whole bytes.Buffer
	if err := p.doc.Output(&whole); err != nil {
		return trouble.Own("pdf", "", "the PDF could not be put together: "+err.Error(), "report this with the command that was given").Because(err)
	}
	text := whole.Bytes()
	if p.undated {
		text = dates.ReplaceAllFunc(text, func(entry []byte) []byte { return bytes.Repeat([]byte{' '}, len(entry)) })
	}
	_, err := w.Write(text)
	return err
}

// dates are the two entries of a document's information that hold its dates. They may be missing, and blanks in their place
// leave every other thing where the document's table says it is.
var dates = regexp.MustCompile(`/(?:CreationDate|ModDate) \(D:19700101000000\)`)

package beddrawing

import (
	"fmt"
	"math"

	"slatewright/bed/drawing"
	"slatewright/internal/picture/drafting"
)

// Margins of a sheet, mm: the left one is for filing (ISO 5457).
const (
	filing = 20.0
	margin = 10.0
	air    = 4.0 // between what stands on a sheet
)

// sheet is a drawing with what its title block says of it.
type sheet struct {
	*drafting.Drawing
	what, scale string
}

// inner is the frame of a sheet.
func inner(w, h float64) drafting.Box {
	return drafting.Box{X0: filing, Y0: margin, X1: w - margin, Y1: h - margin}
}

// layout is one way to part a sheet: the paper lies or stands, and the notes stand in a column or lie in a strip.
type layout struct{ stands, strip bool }

var layouts = []layout{{false, true}, {false, false}, {true, true}, {true, false}}

// parted is a sheet parted by a layout: where the drawing may be, and where the notes begin.
type parted struct {
	w, h   float64
	area   drafting.Box
	notes  *drafting.Drawing
	noteAt drafting.Point
}

// part parts a sheet; ok is false where the notes alone do not fit.
func (b *bed) part(l layout, notes func(width float64) *drafting.Drawing) (s parted, ok bool) {
	s.w, s.h = b.Paper.size()
	if l.stands {
		s.w, s.h = s.h, s.w
	}
	in := inner(s.w, s.h)
	title := b.titleHigh()
	if l.strip {
		s.notes = notes(in.W() - titleWide - 2*air)
		high := math.Max(s.notes.Bounds().Y1+2, title)
		s.area = drafting.Box{X0: in.X0, Y0: in.Y0, X1: in.X1, Y1: in.Y1 - high - 1}
		s.noteAt = drafting.At(in.X0+air, in.Y1-high)
		return s, s.area.H() > 40
	}
	s.notes = notes(titleWide - air)
	s.area = drafting.Box{X0: in.X0, Y0: in.Y0, X1: in.X1 - titleWide - 1, Y1: in.Y1}
	s.noteAt = drafting.At(in.X1-titleWide+1, in.Y0+1)
	return s, s.noteAt.Y+s.notes.Bounds().Y1+2 < in.Y1-title
}

// headLines is a heading as it stands above an area, and headHigh what that takes.
func headLines(d *drafting.Drawing, heading string, area drafting.Box) []string {
	const bold = 0.87 // of the width that bold letters have, plain ones need
	return d.Wrap(heading, drafting.Least, bold*(area.W()-2*air))
}

func headHigh(lines []string) float64 { return 2 + leading*float64(len(lines)) }

// head sets a heading.
func head(d *drafting.Drawing, lines []string, area drafting.Box) {
	for i, line := range lines {
		d.Text(drafting.Text{Layer: layerNote, At: drafting.At(area.X0+air, area.Y0+2+drafting.Least+leading*float64(i)), Words: line, Height: drafting.Least, Bold: true})
	}
}

// planSheet draws a view on a sheet, to the largest scale at which it fits, none larger than 1:least.
func (b *bed) planSheet(v drawing.View, least float64) (*sheet, error) {
	type form struct {
		width float64
		e     extent
	}
	set := map[form]*drafting.Drawing{} // notes are alike at every scale; the sheet that takes them is the last
	notesIn := func(width float64, e extent) *drafting.Drawing {
		if set[form{width, e}] == nil {
			set[form{width, e}] = b.notes(v, width, e)
		}
		return set[form{width, e}]
	}
	for _, scale := range scales {
		if scale < least {
			continue
		}
		long, short := b.Paper.size()
		u0, w0, u1, w1 := b.stoneOf(v)
		if a, c := (u1-u0)/scale, (w1-w0)/scale; math.Max(a, c) > long-30 || math.Min(a, c) > short-30 {
			continue
		}
		p := b.newPlan(v, scale)
		p.stone()
		p.drill()
		p.drawn = p.Bounds()
		p.middles()
		p.dimension()
		box := p.Bounds()
		for _, e := range [3]extent{inFull, inShort, holes} {
			notes := func(width float64) *drafting.Drawing { return notesIn(width, e) }
			for _, l := range layouts {
				s, ok := b.part(l, notes)
				if ok && box.W() <= s.area.W()-air && box.H() <= s.area.H()-headHigh(headLines(p.Drawing, p.heading(), s.area))-air {
					return p.onto(s, box), nil
				}
			}
		}
	}
	return nil, b.tooLarge(v.What(b.Pattern))
}

// onto brings the plan onto its sheet.
func (p *plan) onto(s parted, box drafting.Box) *sheet {
	x := (s.area.X0+s.area.X1)/2 - (box.X0+box.X1)/2
	lines := headLines(p.Drawing, p.heading(), s.area)
	y := (s.area.Y0+headHigh(lines)+s.area.Y1)/2 - (box.Y0+box.Y1)/2
	p.Move(x, y)
	p.room = s.area.Grown(-1)
	p.room.Y0 += headHigh(lines)
	p.name()
	p.Width, p.Height = s.w, s.h
	p.Name = p.view.Name(p.Pattern)
	head(p.Drawing, lines, s.area)
	p.beside(s.area)
	s.notes.Move(s.noteAt.X, s.noteAt.Y)
	p.Add(s.notes)
	if p.crowded {
		p.pointToList(s.area)
	}
	return &sheet{Drawing: p.Drawing, what: p.what(), scale: fmt.Sprintf("1:%g", p.Scale)}
}

// pointToList says where to find what the drawing has no room for: below it where there is room, else above.
func (p *plan) pointToList(area drafting.Box) {
	mid := (area.X0 + area.X1) / 2
	for _, at := range []drafting.Point{{X: area.X0 + air, Y: area.Y1 - air}, {X: mid, Y: area.Y1 - air}, {X: area.X1 - air, Y: area.Y1 - air}, {X: area.X1 - air, Y: area.Y0 + air}, {X: mid, Y: area.Y0 + air}} {
		if p.Place(layerNote, at, p.told("drawing.no-room"), drafting.Least, area) {
			return
		}
	}
}

// what is shown, in the words of the title block.
func (p *plan) what() string {
	if p.view.Piece < 0 {
		return p.from("drawing.bed-", p.view.Face)
	}
	return p.from("drawing.piece-", p.view.Face, "name", p.piece(p.view.Piece))
}

// beside sets the sign of the view and the bar of the scale where the drawing leaves room, near the corners on the left.
func (p *plan) beside(area drafting.Box) {
	area = drafting.Box{X0: area.X0 + 2, Y0: area.Y0 + 1, X1: area.X1 - 2, Y1: area.Y1 - 1}
	for _, c := range []struct {
		d *drafting.Drawing
		y float64
	}{{p.bed.viewSign(p.view.Face), area.Y0}, {p.bed.scaleBar(p.Scale), area.Y1}} {
		size := c.d.Bounds()
		if box, ok := p.Free(drafting.At(area.X0, c.y), size.W(), size.H(), area); ok {
			c.d.Move(box.X0-size.X0, box.Y0-size.Y0)
			p.Add(c.d)
		}
	}
}

// scaleBar draws a bar of a round length of stone, to be measured on a print.
func (b *bed) scaleBar(scale float64) *drafting.Drawing {
	const most, parts, high = 52.0, 5, 1.8
	d := drafting.New(b.Paper.pen(), 1)
	length := 50.0
	for _, l := range []float64{50, 100, 200, 500, 1000, 2000, 5000} {
		if l/scale <= most {
			length = l
		}
	}
	step := length / scale / parts
	for i := range parts {
		at := step * float64(i)
		d.Box(layerNote, drafting.Thin, at, 0, step, high)
		if i%2 == 0 {
			d.Fill(layerNote, drafting.At(at, 0), drafting.At(at+step, 0), drafting.At(at+step, high), drafting.At(at, high))
		}
	}
	d.Words(layerNote, 0, high+drafting.Least+1, b.told("drawing.bar", "stone", b.mm(length), "paper", b.mm(length/scale)))
	return d
}

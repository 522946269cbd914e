package beddrawing

import (
	"fmt"
	"io"
	"math"

	"slatewright/bed/drawing"
	"slatewright/bed/pattern"
	"slatewright/internal/picture/drafting"
	"slatewright/internal/picture/ink"
)

// Sizes of a template's tiles, mm of the paper.
const (
	tileMargin = 12.0 // that printers leave white, with what the tile says of itself
	tileOver   = 10.0 // of neighbouring tiles over one another
	control    = 100.0
)

// Template draws a view in true size: the stone, the holes with their marks and middles, a bar to measure along each side, and
// the words that tell which face lies up. Its sheet is as large as the stone.
func Template(p pattern.Pattern, o Options, v drawing.View) *drafting.Drawing {
	b := newBed(p, o)
	t := b.newPlan(v, 1)
	t.Pen = 0.35
	t.stone()
	t.drill()
	t.middles()
	const around, pitch = 24.0, 8.0
	heading := b.told("drawing.template", "name", p.Name, "revision", p.Revision, "view", t.heading())
	if o.Invented {
		heading = b.told("drawing.invented") + ". " + heading
	}
	box := t.Bounds()
	lines := t.Wrap(heading, drafting.Large, box.W())
	top := around + pitch*float64(len(lines))
	t.Move(around-box.X0, top-box.Y0)
	t.Width, t.Height = box.W()+2*around, box.H()+top+around
	t.room = drafting.Box{X0: 1, Y0: top - around, X1: t.Width - 1, Y1: t.Height - 1}
	t.marksInFull()
	t.bars()
	t.Name = "template-" + v.Name(p)
	t.Title = b.told("drawing.template-title", "name", p.Name, "revision", p.Revision, "shown", t.what())
	for i, line := range lines {
		t.Text(drafting.Text{Layer: layerNote, At: drafting.At(around, 12+pitch*float64(i)), Words: line, Height: drafting.Large})
	}
	return t.Drawing
}

// marksInFull sets the mark, the name and the diameter beside each hole.
func (p *plan) marksInFull() {
	p.sides()
	area := p.area()
	for i, h := range p.Holes {
		if p.view.Shows(h.Piece) {
			words := fmt.Sprintf("%s ⌀%s %s", p.marks[i], p.mm(h.Diameter), h.Name)
			p.Mark(layerMark, p.at(h.X, h.Y), reachOf(h)+crossBeyond, words, area.Grown(-0.5))
		}
	}
	p.pieceNames()
}

// bars draws a bar of 100 mm along each side, to be measured on the print.
func (p *plan) bars() {
	area := p.area()
	m := drafting.At((area.X0+area.X1)/2, (area.Y0+area.Y1)/2)
	words := fmt.Sprintf("%g mm", control)
	if box, ok := p.Free(drafting.At(m.X+control, m.Y+40), control+8, 12, area); ok {
		x, y := box.X0+4, box.Y0+8
		p.Across(x, x+control, y, y, words)
		for _, at := range []float64{x, x + control} {
			p.Line(drafting.Dimensions, drafting.Thin, drafting.At(at, y-2), drafting.At(at, y+2))
		}
	}
	if box, ok := p.Free(drafting.At(m.X+40, m.Y+control), 12, control+8, area); ok {
		x, y := box.X0+8, box.Y0+4
		p.Upright(y, y+control, x, x, words)
		for _, at := range []float64{y, y + control} {
			p.Line(drafting.Dimensions, drafting.Thin, drafting.At(x-2, at), drafting.At(x+2, at))
		}
	}
}

// Tiles tells how many sheets of paper a template takes, along and down, with the paper lying where that takes fewer.
func Tiles(d *drafting.Drawing, o Options) (across, down int, lying bool) {
	count := func(w, h float64) (a, b int) {
		n := func(whole, tile float64) int {
			return max(1, int(math.Ceil((whole-tileOver)/(tile-2*tileMargin-tileOver)-1e-9)))
		}
		return n(d.Width, w), n(d.Height, h)
	}
	long, short := o.Paper.size()
	a, c := count(short, long)
	e, f := count(long, short)
	if e*f < a*c {
		return e, f, true
	}
	return a, c, false
}

// TilePDF writes a template as pages to be printed at 100 % and laid over one another: each has its row and column, the marks of
// the corners of what it shows, and a bar of 100 mm.
func TilePDF(w io.Writer, d *drafting.Drawing, o Options) error {
	across, down, lying := Tiles(d, o)
	wide, high := o.Paper.size()
	if !lying {
		wide, high = high, wide
	}
	doc := ink.NewPDF(wide, high, ink.Title{Name: d.Title, Language: o.Reader.Language().Tag()}, nil)
	shown := drafting.Box{X0: tileMargin, Y0: tileMargin, X1: wide - tileMargin, Y1: high - tileMargin}
	for row := range down {
		for col := range across {
			doc.PageOf(wide, high)
			x, y := float64(col)*(shown.W()-tileOver), float64(row)*(shown.H()-tileOver)
			tile := d.Part(drafting.Box{X0: x, Y0: y, X1: x + shown.W(), Y1: y + shown.H()})
			tile.Move(tileMargin-x, tileMargin-y)
			doc.Within(shown.X0, shown.Y0, shown.W(), shown.H(), func() { tile.On(doc) })
			tileFrame(d, o, shown, row, col, across, down).On(doc)
		}
	}
	return doc.Write(w)
}

// tileFrame draws what a tile says of itself: corner marks, where the next tile begins, its place, and a bar to measure.
func tileFrame(d *drafting.Drawing, o Options, shown drafting.Box, row, col, across, down int) *drafting.Drawing {
	f := drafting.New(0.35, 1)
	const arm = 6.0
	for _, x := range [2]float64{shown.X0, shown.X1} {
		for _, y := range [2]float64{shown.Y0, shown.Y1} {
			f.Line(layerSheet, drafting.Thin, drafting.At(x-arm, y), drafting.At(x+arm, y))
			f.Line(layerSheet, drafting.Thin, drafting.At(x, y-arm), drafting.At(x, y+arm))
		}
	}
	tick := func(x, y, dx, dy float64) {
		f.Line(layerSheet, drafting.Thin, drafting.At(x, y), drafting.At(x+dx, y+dy))
	}
	if col+1 < across { // the next tile's corner lies here
		tick(shown.X1-tileOver, shown.Y0, 0, -3)
		tick(shown.X1-tileOver, shown.Y1, 0, 3)
	}
	if row+1 < down {
		tick(shown.X0, shown.Y1-tileOver, -3, 0)
		tick(shown.X1, shown.Y1-tileOver, 3, 0)
	}
	f.Words(layerNote, shown.X0+arm+1, shown.Y0-4, o.Reader.Say("drawing.tile", "name", d.Name, "row", row+1, "rows", down, "column", col+1, "columns", across))
	y := shown.Y1 + 4.5
	f.Line(layerNote, drafting.Wide, drafting.At(shown.X0+arm+2, y), drafting.At(shown.X0+arm+2+control, y))
	for i := 0.0; i <= 10; i++ {
		h := 1.2
		if math.Mod(i, 5) == 0 {
			h = 2.4
		}
		x := shown.X0 + arm + 2 + 10*i
		f.Line(layerNote, drafting.Thin, drafting.At(x, y-h), drafting.At(x, y+h))
	}
	f.Words(layerNote, shown.X0+arm+control+5, y+1, "100 mm")
	return f
}

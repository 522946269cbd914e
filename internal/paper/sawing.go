package paper

import (
	"fmt"
	"io"

	"slatewright/cutting/sawing"
	"slatewright/cutting/slab"
	"slatewright/internal/caution"
	"slatewright/internal/picture/cutplan"
	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
	"slatewright/internal/tongue"
	"slatewright/trouble"
)

// SawingOrder is the sheet that lies at the saw: the slab with its pieces and numbered cuts, each cut with its setting and a box to tick.
type SawingOrder struct {
	sawing.Sheet
	Mark    string // over every page; empty: none
	Mill    string // who cuts; may be empty
	Program string
}

// PDF writes the sheet, on as many pages as its cuts need; of a plan without pieces only the slab. The same order and form give the same bytes. An order that does not belong to its plan is the
// caller's fault.
func (o SawingOrder) PDF(w io.Writer, f Form) error {
	if err := f.Check(); err != nil {
		return err
	}
	if o.Slab == nil || o.Plan == nil || o.Order == nil || len(o.Order.Rows) != len(o.Plan.Cuts) || len(o.Order.Pieces) != len(o.Plan.Pieces) ||
		o.PieceKg != nil && len(o.PieceKg) != len(o.Plan.Pieces) {
		return trouble.Own("bad-order", o.Name, "the sawing order is not that of the plan", "make it from the plan")
	}
	made, err := day(o.Day, o.Name)
	if err != nil {
		return err
	}
	say := said{f.Words}
	name, head, foot := say.orNone(o.Name), say.Say("sawing.title"), say.Say("sawing.title")
	if o.Name != "" {
		head, foot = say.Say("sawing.title-of", "slab", name), say.Say("sawing.foot", "slab", name)
	}
	title := ink.Title{Name: head, Subject: subject(o.Mark, say.Say("sawing.subject")), Author: o.Mill, Maker: o.Program, Made: made}
	p := newPress(f, title, o.Mark, say.footLine(o.Mill, foot, "", o.Program, ""), layout{air: 1})
	p.identity(o.Mill, p.Say("sawing.title"), o.Worth, p.width())
	facts := [][2]string{{p.Say("sawing.slab"), name}, {p.Say("sawing.angle"), cutplan.Degrees(p.Words, o.Plan.Angle) + "°"}, {p.Say("sawing.kerf"), p.Size(o.Plan.Kerf)}, {p.Say("sawing.sawn"), p.Number(o.Order.Length/1000, 1) + " m"}}
	if o.Day != "" {
		facts = append(facts, [2]string{p.Say("sawing.printed"), p.date(o.Day)})
	}
	p.facts(facts, p.width())
	p.y += 2
	p.y += cutplan.Draw(p, o.Slab, o.Plan, cutplan.Names(o.Slab, o.Plan, o.Order), p.left, p.y, p.width(), 112) + 2
	if len(o.Plan.Pieces) > 0 {
		p.sawnPieces(o)
		p.sawnCuts(o)
	}
	if len(o.Warnings) > 0 {
		p.warnings(o.Warnings)
	}
	p.section(0)
	p.cautions(caution.OnPaper(p.Words, topicsOf(KindSawing), caution.Load{Name: name, Kg: o.SlabKg}))
	return p.finish(w)
}

// atSaw is the type of a sheet that is read beside a wet saw.
var atSaw, atSawStrong = look.Text.Sized(8.6), look.Strong.Sized(8.6)

// sawnPieces lists what is cut.
func (p *press) sawnPieces(o SawingOrder) {
	const number, lies, plays, mass = 10.0, 24.0, 28.0, 30.0
	size := 52.0
	tb := table{columns: []column{{p.Say("sawing.number"), number, false}, {p.Say("sawing.type"), p.width() - number - size - lies - plays - mass, false}, {p.Say("sawing.size"), size, false},
		{p.Say("sawing.lies"), lies, false}, {p.Say("sawing.plays"), plays, false}, {p.Say("sawing.mass"), mass, true}}}
	for i, q := range o.Plan.Pieces {
		t := o.Slab.Types[q.Kind]
		name := t.Name
		if t.Place != "" {
			name += ", " + p.place(t.Place)
		}
		kg := p.Say("sawing.unknown")
		if o.PieceKg != nil && o.PieceKg[i] > 0 {
			kg = cutplan.Lifted(p.Words, o.PieceKg[i])
		}
		tb.rows = append(tb.rows, []cell{{text: o.Order.Pieces[i].Name, t: atSawStrong}, {text: name, t: atSaw}, {text: cutplan.Sides(p.Words, q.Along, q.Across), t: atSaw},
			{text: p.lies(q), t: atSaw}, {text: p.plays(t, q), t: atSaw}, {text: kg, t: atSaw}})
	}
	p.section(headHeight + p.tableHeight(table{columns: tb.columns, rows: tb.rows[:1]}))
	p.y += p.head(p.Say("sawing.pieces"), p.left, p.y, p.width())
	p.longTable(tb, nil)
}

func (w said) lies(q slab.Piece) string {
	return w.Say("sawing.lies-turned", "angle", fmt.Sprint(90*q.Quarter))
}

func (w said) plays(t slab.Type, q slab.Piece) string {
	switch {
	case t.Shown == slab.PlaysNone:
		return w.Say("sawing.plays-none")
	case q.Over:
		return w.Say("sawing.plays-bottom")
	}
	return w.Say("sawing.plays-top")
}

// sawnCuts lists the cuts in their order, each with a box to tick.
func (p *press) sawnCuts(o SawingOrder) {
	heads := cutplan.Columns(p.Words)
	widths := [8]float64{8, 9, 25, 31, 19, 20, 20, 0}
	const box = 9.0
	rest := p.width() - box
	for _, w := range widths {
		rest -= w
	}
	widths[7] = rest
	tb := table{}
	for i, h := range heads {
		tb.columns = append(tb.columns, column{h, widths[i], false})
	}
	tb.columns = append(tb.columns, column{p.Say("sawing.done"), box, false})
	for _, l := range cutplan.Lines(p.Words, o.Slab, o.Plan, o.Order) {
		number, note := cell{text: l.Number, t: atSawStrong}, l.Turn
		if l.Air {
			note = p.Say("sawing.need-not")
		}
		tb.rows = append(tb.rows, []cell{number, {text: l.Part, t: atSaw}, {text: l.Way, note: note, t: atSaw}, {text: l.Fence, note: l.From, t: atSawStrong}, {text: l.Setting, t: atSaw},
			{text: l.In, t: atSaw}, {text: l.Out, t: atSaw}, {text: l.Falls[0] + "\n" + l.Falls[1], t: look.Text}, {text: " ", t: atSaw}})
	}
	unit := "mm"
	if p.Units() == tongue.Inch {
		unit = "in"
	}
	note := p.Say("sawing.note", "unit", unit)
	p.section(headHeight + p.high(note, look.Caption, p.width()) + p.tableHeight(table{columns: tb.columns, rows: tb.rows[:1]}))
	p.y += p.head(p.Say("sawing.cuts"), p.left, p.y, p.width())
	p.text(note, look.Caption)
	p.y += 1
	p.longTable(tb, func(y float64) {
		p.Stroke(ink.Rect(p.right-box+cellGap+0.6, y+1, 3.6, 3.6), ink.Pen{Colour: look.Soft, Width: 0.25})
	})
}

// longTable sets a table over as many pages as it needs, its heads on each; each is told where a row begins.
func (p *press) longTable(tb table, each func(y float64)) {
	for from := 0; from < len(tb.rows); {
		part, high := table{columns: tb.columns}, p.tableHeight(table{columns: tb.columns})
		to := from
		for ; to < len(tb.rows); to++ {
			if h := p.rowHeight(tb, tb.rows[to]); to > from && p.y+high+h > p.bottom {
				break
			} else {
				high += h
			}
		}
		part.rows = tb.rows[from:to]
		if each != nil {
			y := p.y + p.tableHeight(table{columns: tb.columns}) - 0.5
			for _, row := range part.rows {
				each(y)
				y += p.rowHeight(tb, row)
			}
		}
		p.y += p.setTable(part, p.left, p.y)
		if from = to; from < len(tb.rows) {
			p.page()
		}
	}
}

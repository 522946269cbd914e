package paper

import (
	"math"

	"slatewright/internal/picture/bedmap"
	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
)

// More than these do not fit one page, and no bed needs them.
const (
	mostMarks = 40
	mostShims = 30 // of one piece
)

// levels sets what a mechanic's level should read, with a plan of the places.
func (p *press) levels(c LevelCard, shims []Shim, m bedmap.Map) {
	if len(c.Marks) == 0 {
		p.section(headHeight + 6)
		p.y += p.head(p.Say("paper.levels"), p.left, p.y, p.width())
		p.text(p.Say("paper.levels-none"), look.Text)
		return
	}
	const plan, gap = 72.0, 5.0
	beside := min(len(c.Divisions), levelsBeside)
	tb := p.levelTable(c, 0, beside, p.width()-plan-gap)
	note := p.levelNote(c, len(shims) > 0)
	high := max(p.tableHeight(tb), planHeight(m, plan)+1)
	p.section(headHeight + high + captionGap + p.high(note, look.Caption, p.width()))
	p.y += p.head(p.Say("paper.levels"), p.left, p.y, p.width())
	p.plan(m, c.Marks, shims, p.left, p.y+1, plan)
	p.setTable(tb, p.left+plan+gap, p.y)
	p.y += high + captionGap
	p.text(note, look.Caption)
	for from := beside; from < len(c.Divisions); from += levelsBelow {
		tb := p.levelTable(c, from, min(len(c.Divisions), from+levelsBelow), p.width())
		p.section(p.tableHeight(tb))
		p.y += p.setTable(tb, p.left, p.y)
	}
}

// How many levels have room in the table beside the plan, and in one over the whole width.
const (
	levelsBeside = 2
	levelsBelow  = 5
)

func (w said) levelNote(c LevelCard, shims bool) string {
	note := w.Say("paper.levels-note")
	if c.Base > 0 {
		note += w.gap() + w.Say("paper.levels-base", "long", w.Number(c.Base, 0), "inches", w.inches(c.Base, 1))
	}
	if shims {
		note += w.gap() + w.Say("paper.levels-squares")
	}
	return note
}

// levelTable lists the marks with the readings of the levels from … to−1; the slopes stand with the first.
func (w said) levelTable(c LevelCard, from, to int, width float64) table {
	tb := table{tight: true, columns: []column{{w.Say("paper.levels-mark"), 8, false}}}
	var heads []string
	if from == 0 {
		heads = []string{"mm/m"}
	}
	heads = append(heads, c.Divisions[from:to]...) // as the specification names them
	each := (width - 8) / float64(2*len(heads))
	for i, side := range [2]string{w.Say("paper.levels-along"), w.Say("paper.levels-across")} {
		for _, head := range heads {
			tb.columns = append(tb.columns, column{head, each, true})
		}
		tb.groups = append(tb.groups, group{side, 1 + i*len(heads), (i + 1) * len(heads)})
	}
	for _, k := range c.Marks {
		row := []cell{strong(k.Name)}
		for _, r := range [2]LevelReading{k.Along, k.Across} {
			if from == 0 {
				row = append(row, say(w.Signed(r.Slope, 3)))
			}
			for _, d := range r.Divisions[from:to] {
				row = append(row, say(w.Signed(d, 1)))
			}
		}
		tb.rows = append(tb.rows, row)
	}
	return tb
}

func planHeight(m bedmap.Map, w float64) float64 { return m.SizeY * w / m.SizeX }

// plan draws the bed small, with joints, shims and the marks of the level.
func (p *press) plan(m bedmap.Map, marks []LevelMark, shims []Shim, x, y, w float64) {
	v := bedmap.DrawOutline(p, m, x, y, w)
	for i, k := range shims {
		at, t := v(k.X, k.Y), look.Map.Sized(4.8)
		p.Stroke(ink.Rect(at.X-0.6, at.Y-0.6, 1.2, 1.2), ink.Pen{Colour: look.Soft, Width: 0.2})
		x, side := at.X+1.1, ink.Left
		if k.X > middle(m, k.Place) {
			x, side = at.X-1.1, ink.Right
		}
		p.Text(ink.Point{X: x, Y: at.Y + t.Height()/2}, shimMark(shims, i), t.In(look.Soft).To(side))
	}
	t := look.Strong.Sized(6)
	for _, k := range marks {
		at := v(k.X, k.Y)
		r := max(1.7, p.Width(k.Name, t)/2+0.6)
		p.Fill([]contour.Line{ink.Disc(at.X, at.Y, r)}, look.Sheet)
		c := ink.Disc(at.X, at.Y, r)
		p.Stroke(c, ink.Pen{Colour: look.Stone, Width: 0.2})
		p.Text(ink.Point{X: at.X, Y: at.Y + t.Height()/2}, k.Name, t.To(ink.Middle))
	}
}

// middle is the x of a piece's middle on the bed.
func middle(m bedmap.Map, place string) float64 {
	for _, piece := range m.Pieces {
		if piece.Place == place {
			return (piece.MinX + piece.MaxX) / 2
		}
	}
	return 0
}

// shims sets the shim card: three short tables, one for each piece, or why there is none.
func (p *press) shims(c ShimCard, m bedmap.Map) {
	title := p.Say("paper.shims")
	if len(c.Shims) == 0 {
		why := p.Say("paper.shims-none")
		if c.NotComputed != "" {
			why = p.Say("paper.shims-none-why", "why", c.NotComputed)
		}
		p.section(headHeight + p.high(why, look.Text, p.width()))
		p.y += p.head(title, p.left, p.y, p.width())
		p.text(why, look.Text)
		return
	}
	const gap = 5.0
	w := (p.width() - 2*gap) / 3
	var tables [3]table
	high := 0.0
	for i, piece := range m.Pieces {
		tables[i] = p.shimTable(c.Shims, piece.Place, w)
		high = max(high, p.tableHeight(tables[i]))
	}
	note := p.shimNote(c.Outcome)
	p.section(headHeight + high + captionGap + p.high(note, look.Caption, p.width()))
	p.y += p.head(title, p.left, p.y, p.width())
	for i, tb := range tables {
		p.setTable(tb, p.left+(w+gap)*float64(i), p.y)
	}
	p.y += high + captionGap
	p.text(note, look.Caption)
}

// shimTable lists the packs of one piece.
func (w said) shimTable(shims []Shim, place string, width float64) table {
	const name = 8.0
	each := (width - name - 3) / 5
	tb := table{tight: true,
		columns: []column{{"", name, false}, {"x", each, true}, {"y", each, true}, {w.Say("paper.shims-exact"), each, true}, {w.Say("paper.shims-pack"), each, true}, {"thou", each + 3, true}},
		groups:  []group{{w.place(place) + ", mm", 0, 4}, {w.Say("paper.shims-pack"), 5, 5}}}
	for i, s := range shims {
		if s.Place == place {
			tb.rows = append(tb.rows, []cell{strong(shimMark(shims, i)), say(w.Signed(s.X, 0)), say(w.Signed(s.Y, 0)), say(w.Number(s.Height, 3)), strong(w.Number(s.Pack, 2)), strong(w.Number(look.Thou(s.Pack), 1))})
		}
	}
	return tb
}

// shimMark is the mark of shim i: its own, or its number on its piece.
func shimMark(shims []Shim, i int) string {
	if shims[i].Mark != "" {
		return shims[i].Mark
	}
	n := 0
	for _, s := range shims[:i+1] {
		if s.Place == shims[i].Place {
			n++
		}
	}
	return look.Fixed(float64(n), 0)
}

func (w said) shimNote(o *ShimOutcome) string {
	note := w.Say("paper.shims-note")
	if o != nil {
		note += w.gap() + w.Say("paper.shims-outcome", "zone", w.both(o.Zone), "first", w.both(o.Step1), "second", w.both(o.Step2))
	}
	return note
}

// laidUp returns the map with the steps that were measured on the laid-up set in place of those predicted.
func laidUp(m bedmap.Map, l *LayUp) bedmap.Map {
	if l == nil {
		return m
	}
	for i, measured := range l.Joints {
		if len(measured) == 0 {
			continue // this joint stands on its prediction
		}
		j := bedmap.Joint{X: m.Joints[i].X, Predicted: []float64{}}
		for _, s := range measured {
			j.Steps = append(j.Steps, bedmap.Step{Y: s.Y, Height: s.Measured})
			j.Predicted = append(j.Predicted, s.Predicted)
		}
		m.Joints[i] = j
	}
	return m
}

// layUpNote says how the set was laid up and how far prediction and measurement differ at most.
func (w said) layUpNote(l *LayUp) string {
	worst := 0.0
	for _, steps := range l.Joints {
		for _, s := range steps {
			worst = math.Max(worst, math.Abs(s.Measured-s.Predicted))
		}
	}
	note := w.Say("paper.laid-up", "day", w.orNone(w.date(l.Date)), "support", w.orNone(l.Support), "instrument", w.orNone(l.Instrument))
	if l.U > 0 {
		note += w.Say("paper.laid-up-u", "amount", w.both(l.U))
	}
	return note + w.Say("paper.laid-up-differ", "amount", w.both(worst))
}

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
		p.y += p.head("What a level should read", p.left, p.y, p.width())
		p.text("not computed", look.Text)
		return
	}
	const plan, gap = 72.0, 5.0
	beside := min(len(c.Divisions), levelsBeside)
	tb := levelTable(c, 0, beside, p.width()-plan-gap)
	note := levelNote(c, len(shims) > 0)
	high := max(p.tableHeight(tb), planHeight(m, plan)+1)
	p.section(headHeight + high + captionGap + p.high(note, look.Caption, p.width()))
	p.y += p.head("What a level should read", p.left, p.y, p.width())
	p.plan(m, c.Marks, shims, p.left, p.y+1, plan)
	p.setTable(tb, p.left+plan+gap, p.y)
	p.y += high + captionGap
	p.text(note, look.Caption)
	for from := beside; from < len(c.Divisions); from += levelsBelow {
		tb := levelTable(c, from, min(len(c.Divisions), from+levelsBelow), p.width())
		p.section(p.tableHeight(tb))
		p.y += p.setTable(tb, p.left, p.y)
	}
}

// How many levels have room in the table beside the plan, and in one over the whole width.
const (
	levelsBeside = 2
	levelsBelow  = 5
)

func levelNote(c LevelCard, shims bool) string {
	note := "With the bed laid as computed; + along: foot end high, + across: right side high."
	if c.Base > 0 {
		note += " Level " + look.Fixed(c.Base, 0) + " mm (" + look.Fixed(c.Base/25.4, 1) + " in) long, its middle on the mark."
	}
	if shims {
		note += " Squares: supports and their packs."
	}
	return note
}

// levelTable lists the marks with the readings of the levels from … to−1; the slopes stand with the first.
func levelTable(c LevelCard, from, to int, width float64) table {
	tb := table{tight: true, columns: []column{{"mark", 8, false}}}
	var heads []string
	if from == 0 {
		heads = []string{"mm/m"}
	}
	heads = append(heads, c.Divisions[from:to]...)
	each := (width - 8) / float64(2*len(heads))
	for i, side := range [2]string{"along the table, in divisions of", "across the table, in divisions of"} {
		for _, head := range heads {
			tb.columns = append(tb.columns, column{head, each, true})
		}
		tb.groups = append(tb.groups, group{side, 1 + i*len(heads), (i + 1) * len(heads)})
	}
	for _, k := range c.Marks {
		row := []cell{strong(k.Name)}
		for _, r := range [2]LevelReading{k.Along, k.Across} {
			if from == 0 {
				row = append(row, say(look.Signed(r.Slope, 3)))
			}
			for _, d := range r.Divisions[from:to] {
				row = append(row, say(look.Signed(d, 1)))
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
	title := "Shim card: starting packs for a true frame"
	if len(c.Shims) == 0 {
		why := "Not computed"
		if c.NotComputed != "" {
			why += ": " + c.NotComputed
		}
		p.section(headHeight + p.high(why+".", look.Text, p.width()))
		p.y += p.head(title, p.left, p.y, p.width())
		p.text(why+".", look.Text)
		return
	}
	const gap = 5.0
	w := (p.width() - 2*gap) / 3
	var tables [3]table
	high := 0.0
	for i, piece := range m.Pieces {
		tables[i] = shimTable(c.Shims, piece.Place, w)
		high = max(high, p.tableHeight(tables[i]))
	}
	note := shimNote(c.Outcome)
	p.section(headHeight + high + captionGap + p.high(note, look.Caption, p.width()))
	p.y += p.head(title, p.left, p.y, p.width())
	for i, tb := range tables {
		p.setTable(tb, p.left+(w+gap)*float64(i), p.y)
	}
	p.y += high + captionGap
	p.text(note, look.Caption)
}

// shimTable lists the packs of one piece.
func shimTable(shims []Shim, place string, w float64) table {
	const name = 8.0
	each := (w - name - 3) / 5
	tb := table{tight: true,
		columns: []column{{"", name, false}, {"x", each, true}, {"y", each, true}, {"exact", each, true}, {"pack", each, true}, {"thou", each + 3, true}},
		groups:  []group{{place + ", mm", 0, 4}, {"pack", 5, 5}}}
	for i, s := range shims {
		if s.Place == place {
			tb.rows = append(tb.rows, []cell{strong(shimMark(shims, i)), say(look.Signed(s.X, 0)), say(look.Signed(s.Y, 0)), say(look.Fixed(s.Height, 3)), strong(look.Fixed(s.Pack, 2)), strong(look.Fixed(look.Thou(s.Pack), 1))})
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

func shimNote(o *ShimOutcome) string {
	note := "x and y from the middle of the bed. A frame is never quite true: begin with these packs, then go by the level."
	if o != nil {
		note += " On the rounded packs the bed becomes: zone " + look.Both(o.Zone) + ", largest step at joint 1 " + look.Both(o.Step1) + ", at joint 2 " + look.Both(o.Step2) + "."
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
func layUpNote(l *LayUp) string {
	worst := 0.0
	for _, steps := range l.Joints {
		for _, s := range steps {
			worst = math.Max(worst, math.Abs(s.Measured-s.Predicted))
		}
	}
	note := "laid dry on " + orNone(l.Date) + "; support: " + orNone(l.Support) + "; instrument: " + orNone(l.Instrument)
	if l.U > 0 {
		note += "; U of one step " + look.Both(l.U)
	}
	return note + "; prediction and measurement differ by at most " + look.Both(worst)
}

package gauging

import (
	"html/template"
	"math"
	"strconv"

	"slatewright/gauge/answers"
	"slatewright/internal/web/shell"
)

func itoa(n int) string { return strconv.Itoa(n) }

func answerReversal(a asked) (reply, error) {
	table, err := a.sheet("list")
	if err != nil {
		return reply{}, err
	}
	s, err := answers.OfTurn(table)
	if err != nil {
		return reply{}, err
	}
	w := say{a.Words}
	out := reply{json: s}
	edge := s.Instrument == answers.Straightedge
	if out.Tone = "good"; !s.Consistent {
		out.Tone = "doubt"
	}
	if edge {
		worst := 0
		for i, p := range s.Places {
			if math.Abs(p.Own) > math.Abs(s.Places[worst].Own) {
				worst = i
			}
		}
		out.Says = w.Say("gauging.edge-says", "own", w.fine(s.Places[worst].Own), "u", w.fine(2*s.Places[worst].U), "at_size", s.X[worst])
		both(&out.Answer, func(width float64) template.HTML { return drawEdge(w, s, width) })
		out.Caption = w.Say("gauging.edge-caption")
	} else {
		key := "gauging.level-good"
		if *s.ZeroDiffers {
			key = "gauging.level-off"
		}
		out.Says = w.Say(key, "zero", w.digits(*s.Zero, 3), "u", w.digits(2**s.ZeroU, 2))
		both(&out.Answer, func(width float64) template.HTML { return drawLevel(w, s, width) })
		out.Caption = w.Say("gauging.level-caption")
	}
	out.Next = w.Say("gauging.turn-agrees")
	if s.Worst != nil {
		out.Next = w.Say("gauging.turn-contradicts", "where", placeOf(w, s, *s.Worst))
	}
	out.Behind = turnTable(w, s, edge)
	out.Figures = []shell.Figure{{Name: w.Say("gauging.chi-squared"), Value: w.digits(s.ChiSquared, 3), Small: w.Say("gauging.of-degrees", "n", s.DoF)}, {Name: w.Say("gauging.by-chance"), Value: w.chance(s.Probability)}}
	out.Notes = s.Warnings
	return out, nil
}

// placeOf names a place: a length along the edge in the reader's units, or the list's own name.
func placeOf(w say, s *answers.Reversal, name string) string {
	for i, p := range s.Places {
		if p.Place == name && i < len(s.X) {
			return w.Size(s.X[i])
		}
	}
	return name
}

// mostPlaces is how many places a picture and its table name.
const mostPlaces = 200

func drawEdge(w say, s *answers.Reversal, width float64) template.HTML {
	left, top, height := 50.0, 40.0, 350.0
	p := begin(width, height, w.Say("gauging.edge-picture"))
	x := around(s.X[0], s.X[len(s.X)-1], left, width-14)
	low, high := 0.0, 0.0
	for i, c := range s.Places {
		low, high = min(low, c.Own-2*c.U, c.Face-2*c.U), max(high, c.Own+2*c.U, c.Face+2*c.U)
		x.low, x.high = min(x.low, s.X[i]), max(x.high, s.X[i])
	}
	y := around(low, high, height-44, top)
	unit := w.scaleOf("mm", max(-low, high))
	ticks := y.ticks(unit.unit, 6)
	for _, v := range ticks {
		p.line("grid", left, y.at(v), width-14, y.at(v))
		p.text("tick", "end", left-6, y.at(v)+4, w.tick(v, unit, ticks))
	}
	p.text("tick", "start", 2, top-18, unit.name)
	p.line("base", left, y.at(0), width-14, y.at(0))
	along := w.scaleOf("mm", 1000)
	if along.name == "thou" {
		along = scale{25.4, "in"}
	}
	places := x.ticks(along.unit, int(width/110))
	for _, v := range places {
		p.text("tick", "middle", x.at(v), height-26, w.tick(v, along, places))
	}
	p.text("tick", "middle", (left+width)/2, height-8, w.Say("gauging.along", "unit", along.name))
	lines := func(class, band string, kind int, of func(answers.ReversalPlace) float64) {
		var run, upper, lower [][2]float64
		for i, c := range s.Places {
			px := x.at(s.X[i])
			run = append(run, [2]float64{px, y.at(of(c))})
			upper = append(upper, [2]float64{px, y.at(of(c) + 2*c.U)})
			lower = append([][2]float64{{px, y.at(of(c) - 2*c.U)}}, lower...)
		}
		p.run(band, append(upper, lower...), true)
		p.run(class, run, false)
		if len(run) <= mostPlaces {
			for _, q := range run {
				p.mark(kind, q[0], q[1], 4.2)
			}
		}
	}
	lines("trend second", "band second", 1, func(c answers.ReversalPlace) float64 { return c.Face })
	lines("trend", "band", 0, func(c answers.ReversalPlace) float64 { return c.Own })
	p.mark(0, left+8, top-22, 4.2)
	p.text("label", "start", left+18, top-18, w.Say("gauging.edge-itself"))
	at := left + 40 + 7.5*float64(len([]rune(w.Say("gauging.edge-itself"))))
	p.mark(1, at, top-22, 4.2)
	p.text("label", "start", at+10, top-18, w.Say("gauging.face-under"))
	return p.end()
}

// drawLevel draws the zero error found at each place; where the level says the same everywhere they lie on one line.
func drawLevel(w say, s *answers.Reversal, width float64) template.HTML {
	places := s.Places[:min(len(s.Places), 24)]
	step, left, top := 34.0, 150.0, 30.0
	if width < wide {
		left = 84
	}
	height := top + step*float64(len(places)) + 44
	p := begin(width, height, w.Say("gauging.level-picture"))
	low, high := min(0, *s.Zero-2**s.ZeroU), max(0, *s.Zero+2**s.ZeroU)
	for _, c := range places {
		low, high = min(low, c.Own-2*c.U), max(high, c.Own+2*c.U)
	}
	x := around(low, high, left, width-16)
	bottom := height - 40
	ticks := x.ticks(1, int((width-left)/70))
	for _, v := range ticks {
		p.line("grid", x.at(v), top, x.at(v), bottom)
		p.text("tick", "middle", x.at(v), height-22, w.tick(v, scale{1, ""}, ticks))
	}
	p.text("tick", "middle", (left+width)/2, height-5, w.Say("gauging.zero-error"))
	p.box("band", x.at(*s.Zero-2**s.ZeroU), top, x.at(*s.Zero+2**s.ZeroU)-x.at(*s.Zero-2**s.ZeroU), bottom-top)
	p.line("trend", x.at(*s.Zero), top-4, x.at(*s.Zero), bottom)
	p.text("label", "middle", min(max(x.at(*s.Zero), 60), width-60), top-10, w.Say("gauging.mean-zero", "zero", w.digits(*s.Zero, 3)))
	p.line("base", x.at(0), top, x.at(0), bottom)
	for i, c := range places {
		y := top + step*(float64(i)+0.5)
		p.text("label", "end", left-12, y+4, short(c.Place, int(left/9)))
		p.span("whisker", x.at(c.Own-2*c.U), x.at(c.Own+2*c.U), y, 4)
		kind := 0
		if s.Worst != nil && *s.Worst == c.Place {
			kind = 3
		}
		p.mark(kind, x.at(c.Own), y, 5.5)
	}
	return p.end()
}

func turnTable(w say, s *answers.Reversal, edge bool) shell.Table {
	heads, write := shell.Heads(w.Say("gauging.place"), w.Say("gauging.edge-itself"), w.Say("gauging.face-under"), "u"), w.fine
	if !edge {
		heads = shell.Heads(w.Say("gauging.place"), w.Say("gauging.zero-error"), w.Say("gauging.slope"), "u")
		write = func(x float64) string { return w.digits(x, 3) }
	}
	t := shell.Table{Caption: w.Say("gauging.turn-behind"), Heads: heads}
	for _, p := range s.Places[:min(len(s.Places), mostPlaces)] {
		r := shell.RowOf(placeOf(w, s, p.Place), write(p.Own), write(p.Face), write(p.U))
		r.Chosen = s.Worst != nil && *s.Worst == p.Place
		t.Rows = append(t.Rows, r)
	}
	return t
}

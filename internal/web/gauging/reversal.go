package gauging

import (
	"html/template"
	"math"
	"strconv"

	"slatewright/gauge/answers"
	"slatewright/internal/picture/chart"
	"slatewright/internal/web/shell"
)

func itoa(n int) string { return strconv.Itoa(n) }

func answerReversal(a shell.Asked) (shell.Reply, error) {
	table, err := a.Sheet("list")
	if err != nil {
		return shell.Reply{}, err
	}
	s, err := answers.OfTurn(table)
	if err != nil {
		return shell.Reply{}, err
	}
	w := say{a.Words}
	out := shell.Reply{JSON: s}
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
		out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML { return drawEdge(w, s, width) })
		out.Caption = w.Say("gauging.edge-caption")
	} else {
		key := "gauging.level-good"
		if *s.ZeroDiffers {
			key = "gauging.level-off"
		}
		out.Says = w.Say(key, "zero", w.digits(*s.Zero, 3), "u", w.digits(2**s.ZeroU, 2))
		out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML { return drawLevel(w, s, width) })
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
	p := chart.New(width, height, w.Say("gauging.edge-picture"))
	x := chart.Around(s.X[0], s.X[len(s.X)-1], left, width-14)
	low, high := 0.0, 0.0
	for i, c := range s.Places {
		low, high = min(low, c.Own-2*c.U, c.Face-2*c.U), max(high, c.Own+2*c.U, c.Face+2*c.U)
		x.Low, x.High = min(x.Low, s.X[i]), max(x.High, s.X[i])
	}
	y := chart.Around(low, high, height-44, top)
	unit := w.scaleOf("mm", max(-low, high))
	ticks, decimals := y.Ticks(unit.unit, 6)
	for _, v := range ticks {
		p.Line("grid", left, y.At(v), width-14, y.At(v))
		p.Text("tick", "end", left-6, y.At(v)+4, w.Number(v/unit.unit, decimals))
	}
	p.Text("tick", "start", 2, top-18, unit.name)
	p.Line("base", left, y.At(0), width-14, y.At(0))
	along := w.scaleOf("mm", 1000)
	if along.name == "thou" {
		along = scale{25.4, "in"}
	}
	places, decimals := x.Ticks(along.unit, width/110)
	for _, v := range places {
		p.Text("tick", "middle", x.At(v), height-26, w.Number(v/along.unit, decimals))
	}
	p.Text("tick", "middle", (left+width)/2, height-8, w.Say("gauging.along", "unit", along.name))
	lines := func(class, band string, kind int, of func(answers.ReversalPlace) float64) {
		var run, upper, lower [][2]float64
		for i, c := range s.Places {
			px := x.At(s.X[i])
			run = append(run, [2]float64{px, y.At(of(c))})
			upper = append(upper, [2]float64{px, y.At(of(c) + 2*c.U)})
			lower = append([][2]float64{{px, y.At(of(c) - 2*c.U)}}, lower...)
		}
		p.Run(band, append(upper, lower...), true)
		p.Run(class, run, false)
		if len(run) <= mostPlaces {
			for _, q := range run {
				p.Mark(kind, q[0], q[1], 4.2)
			}
		}
	}
	lines("trend second", "band second", 1, func(c answers.ReversalPlace) float64 { return c.Face })
	lines("trend", "band", 0, func(c answers.ReversalPlace) float64 { return c.Own })
	p.Mark(0, left+8, top-22, 4.2)
	p.Text("label", "start", left+18, top-18, w.Say("gauging.edge-itself"))
	at := left + 40 + 7.5*float64(len([]rune(w.Say("gauging.edge-itself"))))
	p.Mark(1, at, top-22, 4.2)
	p.Text("label", "start", at+10, top-18, w.Say("gauging.face-under"))
	return p.End()
}

// drawLevel draws the zero error found at each place; where the level says the same everywhere they lie on one line.
func drawLevel(w say, s *answers.Reversal, width float64) template.HTML {
	places := s.Places[:min(len(s.Places), 24)]
	step, left, top := 34.0, 150.0, 30.0
	if width < chart.Wide {
		left = 84
	}
	height := top + step*float64(len(places)) + 44
	p := chart.New(width, height, w.Say("gauging.level-picture"))
	low, high := min(0, *s.Zero-2**s.ZeroU), max(0, *s.Zero+2**s.ZeroU)
	for _, c := range places {
		low, high = min(low, c.Own-2*c.U), max(high, c.Own+2*c.U)
	}
	x := chart.Around(low, high, left, width-16)
	bottom := height - 40
	ticks, decimals := x.Ticks(1, (width-left)/70)
	for _, v := range ticks {
		p.Line("grid", x.At(v), top, x.At(v), bottom)
		p.Text("tick", "middle", x.At(v), height-22, w.Number(v, decimals))
	}
	p.Text("tick", "middle", (left+width)/2, height-5, w.Say("gauging.zero-error"))
	p.Rect("band", x.At(*s.Zero-2**s.ZeroU), top, x.At(*s.Zero+2**s.ZeroU)-x.At(*s.Zero-2**s.ZeroU), bottom-top)
	p.Line("trend", x.At(*s.Zero), top-4, x.At(*s.Zero), bottom)
	p.Text("label", "middle", min(max(x.At(*s.Zero), 60), width-60), top-10, w.Say("gauging.mean-zero", "zero", w.digits(*s.Zero, 3)))
	p.Line("base", x.At(0), top, x.At(0), bottom)
	for i, c := range places {
		y := top + step*(float64(i)+0.5)
		p.Text("label", "end", left-12, y+4, chart.Short(c.Place, int(left/9)))
		p.Span("whisker", x.At(c.Own-2*c.U), x.At(c.Own+2*c.U), y, 4)
		kind := 0
		if s.Worst != nil && *s.Worst == c.Place {
			kind = 3
		}
		p.Mark(kind, x.At(c.Own), y, 5.5)
	}
	return p.End()
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

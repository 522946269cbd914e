package gauging

import (
	"html/template"
	"math"

	"slatewright/gauge/answers"
	"slatewright/gauge/worth"
	"slatewright/internal/picture/chart"
	"slatewright/internal/web/shell"
)

func answerWorth(a shell.Asked) (shell.Reply, error) {
	table, err := a.Sheet("list")
	if err != nil {
		return shell.Reply{}, err
	}
	s, err := answers.OfInstruments(table)
	if err != nil {
		return shell.Reply{}, err
	}
	w := say{a.Words}
	out := shell.Reply{JSON: s}
	out.Says, out.Next = worthSays(w, s)
	curve := s.Question.Curve(161)
	out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML { return drawWorth(w, s, curve, width) })
	out.Caption = w.Say("gauging.worth-caption")
	if left := len(s.Instruments) - mostInstruments; left > 0 {
		out.Caption += " " + w.Say("gauging.worth-left", "n", left)
	}
	out.Behind = risksTable(w, s)
	out.Figures = []shell.Figure{{Name: w.Say("gauging.limit"), Value: w.Length(s.LimitMM)},
		{Name: w.Say("gauging.truly-beyond"), Value: w.share(s.Bad.Value), Small: w.shares(s.Bad.Low, s.Bad.High)}}
	if s.Money != nil {
		out.Tables = []shell.Table{moneyTable(w, s)}
	}
	out.Notes = s.Warnings
	return out, nil
}

func worthSays(w say, s *answers.Worth) (says, next string) {
	best := s.BestOf()
	risks := w.Say("gauging.worth-risks", "instrument", best.Name, "bad", w.share(best.BadAmongAccepted.Value), "stopped", w.share(best.GoodStopped.Value))
	money := ""
	if s.Money != nil {
		money = *s.Money
	}
	amount := func(x float64) string {
		text := w.digits(x, 3)
		if money != "" {
			text += unbroken + money
		}
		return text
	}
	switch {
	case s.Money == nil:
		return w.Say("gauging.worth-doubt", "instrument", best.Name), risks
	case s.Baseline == nil:
		return w.Say("gauging.worth-least", "instrument", best.Name, "cost", amount(best.Money.PerYear.Value)), risks
	case best.Name == *s.Baseline || best.Money.Worth == nil:
		return w.Say("gauging.worth-stay", "instrument", best.Name), risks
	}
	m := best.Money.Worth
	says = w.Say("gauging.worth-most", "instrument", best.Name, "worth", amount(m.Value), "than", *s.Baseline, "within", w.between(w.digits(m.Low, 3), w.digits(m.High, 3)))
	if m.Low <= 0 {
		risks = w.Say("gauging.worth-nothing") + " " + risks
	}
	return says, risks
}

// mostInstruments is how many instruments a picture shows.
const mostInstruments = 8

// drawWorth draws for each instrument the mill's pieces about the limit: beyond it those that it lets through, before it those that it stops.
func drawWorth(w say, s *answers.Worth, c worth.Curve, width float64) template.HTML {
	shown := s.Instruments[:min(len(s.Instruments), mostInstruments)]
	const step, left, top, room = 108.0, 8.0, 26.0, 54.0 // room for the words above a curve
	height := top + step*float64(len(shown)) + 34
	p := chart.New(width, height, w.Say("gauging.worth-picture", "limit_mm", s.LimitMM))
	x := chart.Axis{Low: c.X[0], High: c.X[len(c.X)-1], From: left, To: width - 8}
	peak := 0.0
	for _, d := range c.Density {
		peak = max(peak, d)
	}
	limit := x.At(s.LimitMM)
	for i, in := range shown {
		base := top + step*float64(i+1) - 10
		y := chart.Axis{Low: 0, High: max(peak, math.SmallestNonzeroFloat64), From: base, To: base - step + room}
		strip := func(class string, keep func(k int) (share float64, ok bool)) {
			var edge [][2]float64
			for k := range c.X {
				share, ok := keep(k)
				if !ok {
					continue
				}
				if len(edge) == 0 {
					edge = append(edge, [2]float64{x.At(c.X[k]), base})
				}
				edge = append(edge, [2]float64{x.At(c.X[k]), y.At(c.Density[k] * share)})
			}
			if len(edge) > 0 {
				p.Run(class, append(edge, [2]float64{edge[len(edge)-1][0], base}), true)
			}
		}
		strip("pieces", func(int) (float64, bool) { return 1, true })
		strip("stopped", func(k int) (float64, bool) { return 1 - c.Passes[i][k], c.X[k] <= s.LimitMM })
		strip("passed", func(k int) (float64, bool) { return c.Passes[i][k], c.X[k] > s.LimitMM })
		p.Line("base", left, base, width-8, base)
		p.Line("limit", limit, base-step+room, limit, base+4)
		name := chart.Short(in.Name, int(width/10.5))
		if in.Owned {
			name += " · " + w.Say("gauging.owned")
		}
		p.Text("name", "start", left, base-step+30, name)
		stops, lets := w.Say("gauging.stops", "share", w.share(in.GoodStopped.Value)), w.Say("gauging.lets", "share", w.share(in.BadAmongAccepted.Value))
		if width < chart.Wide {
			p.Text("label", "start", left, base-step+47, stops)
			p.Text("label", "end", width-8, base-step+47, lets)
		} else {
			p.Text("label", "end", limit-8, base-step+46, stops)
			p.Text("label", "start", limit+8, base-step+46, lets)
		}
	}
	p.Text("label", "middle", min(max(limit, 60), width-60), top-10, w.Say("gauging.limit-is", "limit_mm", s.LimitMM))
	unit := w.scaleOf("mm", max(math.Abs(x.Low), math.Abs(x.High)))
	ticks, decimals := x.Ticks(unit.unit, width/90)
	for _, v := range ticks {
		p.Text("tick", "middle", min(max(x.At(v), 16), width-16), height-16, w.Number(v/unit.unit, decimals))
	}
	p.Text("tick", "middle", width/2, height-2, w.Say("gauging.true-value", "unit", unit.name))
	return p.End()
}

func risksTable(w say, s *answers.Worth) shell.Table {
	t := shell.Table{Caption: w.Say("gauging.intervals-90"), Heads: shell.Heads(w.Say("gauging.instrument"), "u", w.Say("gauging.accepts-to"), w.Say("gauging.bad-accepted"), w.Say("gauging.good-stopped"))}
	for _, in := range s.Instruments {
		name := in.Name
		if in.Owned {
			name += " (" + w.Say("gauging.owned") + ")"
		}
		t.Rows = append(t.Rows, shell.RowOf(name, w.fine(in.UMM), w.fine(in.AcceptMM)).With(w.share(in.BadAmongAccepted.Value), w.shares(in.BadAmongAccepted.Low, in.BadAmongAccepted.High)).
			With(w.share(in.GoodStopped.Value), w.shares(in.GoodStopped.Low, in.GoodStopped.High)))
	}
	return t
}

func moneyTable(w say, s *answers.Worth) shell.Table {
	t := shell.Table{Title: w.Say("gauging.money"), Caption: w.Say("gauging.intervals-90"),
		Heads: shell.Heads(w.Say("gauging.instrument"), w.Say("gauging.a-piece"), w.Say("gauging.a-year"), w.Say("gauging.worth-a-year"), w.Say("gauging.pays-from"), w.Say("gauging.cheapest-guard"), w.Say("gauging.a-piece-then"))}
	if *s.Money != "" {
		t.Caption = w.Say("gauging.prices-in", "money", *s.Money) + " " + t.Caption
	}
	for _, in := range s.Instruments {
		m := in.Money
		r := shell.RowOf(in.Name, w.digits(m.PerPiece.Value, 3), w.digits(m.PerYear.Value, 3))
		if m.Worth != nil && (s.Baseline == nil || in.Name != *s.Baseline) {
			r = r.With(w.digits(m.Worth.Value, 3), w.between(w.digits(m.Worth.Low, 3), w.digits(m.Worth.High, 3)))
		} else {
			r = r.With("–", "")
		}
		r = r.With(w.optional(m.BreakEven, func(x float64) string { return w.Number(x, 0) }), "").With(w.Number(m.BestGuard, 2)+unbroken+"u", "").With(w.digits(m.AtBest, 3), "")
		r.Chosen = in.Name == s.Best
		t.Rows = append(t.Rows, r)
	}
	return t
}

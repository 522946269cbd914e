package gluing

import (
	"html/template"
	"time"

	"slatewright/internal/picture/chart"
	"slatewright/internal/tongue"
	"slatewright/internal/web/shell"
	"slatewright/lining"
	"slatewright/lining/answers"
)

// say writes figures of the room in the reader's words.
type say struct{ tongue.Words }

const unbroken = "\u00a0"

func (w say) percent(x float64, decimals int) string { return w.Number(x, decimals) + unbroken + "%" }

func (w say) within(low, high string) string { return w.Say("gluing.within", "low", low, "high", high) }

// signed is a bow with its sign.
func (w say) signed(mm float64) string {
	if mm > 0 {
		return "+" + w.Length(mm)
	}
	return w.Length(mm)
}

func (w say) humidity(s answers.Span, decimals int) (value, within string) {
	return w.percent(s.Value, decimals), w.within(w.percent(s.Low, decimals), w.percent(s.High, decimals))
}

// places are the names of what stands in the sentence of a remark, in its order.
var places = map[string][]string{
	"holds": {"most_mm", "limit_mm"}, "beyond": {"least_mm", "limit_mm"}, "straddles": {"least_mm", "most_mm", "limit_mm"}, "even-so": {"least_mm", "limit_mm"}, "days-short": {"days", "asked"}, "still-moving": {"rate", "most"},
	"sample-open": {"n"}, "meter-only": {"half", "low", "high"}, "wait": {"days"}, "other-layout": {"most_mm"}, "narrow": {"most_mm", "left_mm"}, "room-swings": {"swing"}, "weights-scatter": {"times"}, "glue-water": {"water"},
}

// rounded are the places whose figures are written with so many decimals; the others are written as their kind is.
var rounded = map[string]int{"rate": 3, "most": 2, "half": 1, "low": 0, "high": 0, "swing": 1, "times": 1, "water": 2}

// remark says a remark in the reader's language; best is the layout that it may name.
func (w say) remark(r lining.Remark, best string) string {
	args := map[string]any{"layout": best}
	for i, name := range places[r.Key] {
		args[name] = r.Values[i]
		if decimals, ok := rounded[name]; ok {
			args[name] = w.Number(r.Values[i], decimals)
		}
		if name == "n" {
			args[name] = int(r.Values[i])
		}
	}
	if r.Key == "narrow" {
		args["cause_of"] = w.Say("gluing.cause-" + r.Words[0])
	}
	return w.Tell("gluing.said-"+r.Key, args)
}

// layout says how a lining is cut.
func (w say) layout(l lining.Layout) string {
	switch {
	case l.Kind == lining.Full:
		return w.Say("gluing.layout-full")
	case l.Kind == lining.Pads:
		return w.Say("gluing.layout-pads", "one_size", l.Width, "other_size", l.Length, "along", l.Along, "across", l.Across)
	}
	text := w.Say("gluing.layout-strips", "width_size", l.Width)
	if l.Length > 0 {
		text = w.Say("gluing.layout-lengths", "strips", text, "length_size", l.Length, "gap_size", l.Gap)
	}
	if l.More > 0 {
		text = w.Say("gluing.layout-more", "strips", text, "n", l.More)
	}
	return text
}

// verdicts are how a verdict is told, by its word.
var verdicts = map[lining.Verdict]struct{ key, tone string }{lining.Glue: {"gluing.may", "good"}, lining.DoNotGlue: {"gluing.not-today", "bad"}, lining.CannotTell: {"gluing.cannot-tell", "doubt"}}

func answerBatch(a shell.Asked) (shell.Reply, error) {
	table, err := a.Sheet("list")
	if err != nil {
		return shell.Reply{}, err
	}
	w := say{a.Words}
	g, err := answers.OfBatch(table)
	if err != nil {
		return shell.Reply{}, err
	}
	out := shell.Reply{JSON: g}
	best := ""
	for _, l := range g.Layouts {
		if g.Best != nil && l.Layout == *g.Best {
			best = w.layout(l.Cut)
		}
	}
	told := verdicts[g.Outcome]
	out.Tone, out.Says = told.tone, w.Say(told.key, "why", w.all(g.Why, best))
	out.Next = w.all(g.Next, best)
	out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML { return drawYear(w, g, width) })
	out.Caption = w.Say("gluing.caption", "layout_words", w.layout(g.Layouts[0].Cut), "limit_mm", g.LimitMM)
	out.Behind = yearTable(w, g)
	out.Figures = figures(w, g)
	out.Tables = []shell.Table{layoutTable(w, g), causeTable(w, g)}
	if r := g.Room; r != nil {
		out.Notes = append(out.Notes, w.Say("gluing.room-says", "low", w.percent(r.Low, 0), "high", w.percent(r.High, 0), "limit_mm", g.LimitMM))
	}
	for _, n := range g.Notes {
		out.Notes = append(out.Notes, w.remark(n.Remark, best))
	}
	out.Notes = append(out.Notes, g.Warnings...)
	return out, nil
}

// all says remarks one after the other.
func (w say) all(list []answers.Said, best string) (text string) {
	for i, s := range list {
		if i > 0 {
			text += " "
		}
		text += w.remark(s.Remark, best)
	}
	return text
}

func figures(w say, g *answers.Glue) []shell.Figure {
	state, within := w.humidity(g.State, 1)
	list := []shell.Figure{{Name: w.Say("gluing.balance"), Value: state, Small: within}, {Name: w.Say("gluing.waited"), Value: w.Say("gluing.days", "days", w.Number(g.Days, 1))}}
	if s := g.Sample; s != nil && s.Told {
		list = append(list, shell.Figure{Name: w.Say("gluing.remaining"), Value: w.percent(s.Remaining.Value, 3), Small: w.within(w.percent(s.Remaining.Low, 3), w.percent(s.Remaining.High, 3))})
	}
	per := g.Layouts[0].PerUnit
	list = append(list, shell.Figure{Name: w.Say("gluing.per-percent"), Value: w.fine(per.Value), Small: w.within(w.fine(per.Low), w.fine(per.High))})
	room := shell.Figure{Name: w.Say("gluing.certificate"), Value: w.Say("gluing.no-room")}
	if r := g.Room; r != nil {
		room.Value = w.Say("gluing.room", "low", w.percent(r.Low, 0), "high", w.percent(r.High, 0))
	}
	return append(list, room)
}

// fine writes a bow for one percent, which is smaller than what Length shows.
func (w say) fine(mm float64) string {
	if w.Units() == tongue.Inch {
		return w.Number(mm/0.0254, 2) + unbroken + "thou"
	}
	return w.Number(mm*1000, 1) + unbroken + "µm"
}

func yearTable(w say, g *answers.Glue) shell.Table {
	t := shell.Table{Caption: w.Say("gluing.behind"), Heads: shell.Heads(w.Say("gluing.month"), w.Say("gluing.humidity"), w.Say("gluing.bow"), w.Say("gluing.along"), w.Say("gluing.across"), w.Say("gluing.face"))}
	for _, m := range g.Months {
		h, hw := w.humidity(m.Humidity, 0)
		row := shell.RowOf(w.Month(time.Month(m.Month))).With(h, hw)
		for _, b := range []answers.Span{m.Bow, m.Along, m.Across} {
			row = row.With(w.signed(b.Value), w.within(w.signed(b.Low), w.signed(b.High)))
		}
		t.Rows = append(t.Rows, row.With(w.Say("gluing.face-"+m.Face), ""))
	}
	return t
}

// held are the words for whether a layout keeps within the share.
var held = map[string]string{"yes": "gluing.holds-yes", "no": "gluing.holds-no", "cannot tell": "gluing.holds-open"}

func layoutTable(w say, g *answers.Glue) shell.Table {
	t := shell.Table{Title: w.Say("gluing.layouts"), Caption: w.Say("gluing.layouts-caption", "limit_mm", g.LimitMM), Heads: shell.Heads(w.Say("gluing.layout"), w.Say("gluing.covers"), w.Say("gluing.largest"), w.Say("gluing.holds"))}
	for i, l := range g.Layouts {
		row := shell.RowOf(w.layout(l.Cut), w.percent(100*l.Cover, 0)).With(w.Length(l.Worst.Value), w.within(w.Length(l.Worst.Low), w.Length(l.Worst.High))).With(w.Say(held[l.Holds]), "")
		row.Chosen = i == 0
		t.Rows = append(t.Rows, row)
	}
	return t
}

func causeTable(w say, g *answers.Glue) shell.Table {
	t := shell.Table{Title: w.Say("gluing.causes"), Caption: w.Say("gluing.causes-caption", "most_mm", g.Layouts[0].Worst.High), Heads: shell.Heads(w.Say("gluing.cause"), w.Say("gluing.left"))}
	for _, c := range g.Causes {
		t.Rows = append(t.Rows, shell.RowOf(w.Say("gluing.cause-"+c.Cause), w.Length(c.WorstMM)))
	}
	return t
}

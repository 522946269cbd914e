package gauging

import (
	"html/template"

	"slatewright/gauge/answers"
	"slatewright/internal/picture/chart"
	"slatewright/internal/web/shell"
	"slatewright/sheet"
)

func answerVerdicts(a shell.Asked, table *sheet.Sheet) (shell.Reply, error) {
	if a.Typed("tolerance") != "" {
		return shell.Reply{}, notFor(a, "tolerance", "gauging.verdicts-no-tolerance")
	}
	s, err := answers.OfVerdicts(table)
	if err != nil {
		return shell.Reply{}, err
	}
	w := say{a.Words}
	out := shell.Reply{JSON: s, Question: at + "/agreement"}
	out.Says, out.Next = agreementSays(w, s)
	rows := kappas(w, s)
	out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML { return drawKappas(w, rows, width) })
	out.Caption = w.Say("gauging.kappa-caption")
	if len(rows) > mostKappas {
		out.Caption += " " + w.Say("gauging.kappa-left", "n", len(rows)-mostKappas)
	}
	out.Behind = kappaTable(w, rows)
	if t := errorsTable(w, s); len(t.Rows) > 0 {
		out.Tables = append(out.Tables, t)
	} else {
		out.Notes = append(out.Notes, w.Say("gauging.no-reference"))
	}
	out.Notes = append(out.Notes, s.Warnings...)
	return out, nil
}

// agreed is one agreement with who agrees.
type agreed struct {
	who string
	*answers.Kappa
}

func kappas(w say, s *answers.Agreement) (list []agreed) {
	add := func(who string, k *answers.Kappa) {
		if k != nil {
			list = append(list, agreed{who, k})
		}
	}
	add(w.Say("gauging.everybody"), s.All)
	for _, p := range s.Pairs {
		add(w.Say("gauging.pair", "one", p.First, "other", p.Second), &p.Kappa)
	}
	for _, p := range s.Persons {
		add(w.Say("gauging.pair-again", "one", p.Name), p.Own)
		add(w.Say("gauging.pair-reference", "one", p.Name), p.Reference)
	}
	return list
}

func agreementSays(w say, s *answers.Agreement) (says, next string) {
	switch k := s.All; {
	case k == nil:
		says = w.Say("gauging.kappa-one")
	case k.Kappa == nil:
		says = w.Say("gauging.kappa-none")
	default:
		says = w.Say("gauging.kappa-says", "kappa", w.Number(*k.Kappa, 2), "within", w.between(w.Number(k.Drawn[0], 2), w.Number(k.Drawn[1], 2)), "agree", w.share(k.Agreed))
	}
	worst := -1
	for i, p := range s.Persons {
		if p.FalseAccept != nil && p.FalseAccept.Of > 0 && (worst < 0 || p.FalseAccept.Share > s.Persons[worst].FalseAccept.Share) {
			worst = i
		}
	}
	if worst >= 0 {
		p := s.Persons[worst]
		next = w.Say("gauging.kappa-worst", "who", p.Name, "count", p.FalseAccept.Count, "of", p.FalseAccept.Of)
	}
	return says, next
}

// mostKappas is how many agreements a picture shows.
const mostKappas = 22

func drawKappas(w say, rows []agreed, width float64) template.HTML {
	rows = rows[:min(len(rows), mostKappas)]
	step, left := 30.0, 196.0
	if width < chart.Wide {
		step, left = 44, 16
	}
	height := 44 + step*float64(len(rows))
	low := -0.2
	for _, r := range rows {
		if r.Drawn != nil {
			low = min(low, r.Drawn[0])
		}
	}
	x := chart.Axis{Low: max(low, -1), High: 1, From: left, To: width - 22}
	p := chart.New(width, height, w.Say("gauging.kappa-picture"))
	for _, t := range []struct {
		v     float64
		words string
	}{{0, w.Say("gauging.kappa-0")}, {1, w.Say("gauging.kappa-1")}} {
		p.Line("limit", x.At(t.v), 24, x.At(t.v), height-18)
		p.Text("tick", map[bool]string{true: "middle", false: "end"}[t.v == 0], min(x.At(t.v), width-4), 16, t.words)
	}
	for _, v := range []float64{0, 0.2, 0.4, 0.6, 0.8, 1} {
		p.Text("tick", "middle", x.At(v), height-2, w.Number(v, 1))
		p.Line("grid", x.At(v), 24, x.At(v), height-18)
	}
	for i, r := range rows {
		y := 24 + step*(float64(i)+0.5)
		if width < chart.Wide {
			y += 9
			p.Text("label", "start", 2, y-12, chart.Short(r.who, 44))
		} else {
			p.Text("label", "end", left-16, y+4, chart.Short(r.who, 28))
		}
		if r.Kappa.Kappa == nil {
			p.Text("tick", "start", x.At(0)+6, y+4, w.Say("gauging.kappa-undefined"))
			continue
		}
		p.Span("whisker", x.At(max(r.Drawn[0], x.Low)), x.At(r.Drawn[1]), y, 4)
		p.Mark(map[bool]int{true: 3, false: 0}[i == 0], x.At(max(*r.Kappa.Kappa, x.Low)), y, 5.5)
	}
	return p.End()
}

func kappaTable(w say, rows []agreed) shell.Table {
	t := shell.Table{Caption: w.Say("gauging.intervals-95"), Heads: shell.Heads(w.Say("gauging.between-whom"), w.Say("gauging.kappa"), w.Say("gauging.drawn-anew"), w.Say("gauging.large-sample"), w.Say("gauging.agree"))}
	for _, r := range rows {
		if r.Kappa.Kappa == nil {
			t.Rows = append(t.Rows, shell.RowOf(r.who, w.Say("gauging.kappa-undefined"), "–", "–", w.share(r.Agreed)))
			continue
		}
		t.Rows = append(t.Rows, shell.RowOf(r.who, w.Number(*r.Kappa.Kappa, 3), w.between(w.Number(r.Drawn[0], 2), w.Number(r.Drawn[1], 2)), w.between(w.Number(r.Large[0], 2), w.Number(r.Large[1], 2)), w.share(r.Agreed)))
	}
	return t
}

func errorsTable(w say, s *answers.Agreement) shell.Table {
	t := shell.Table{Title: w.Say("gauging.errors"), Caption: w.Say("gauging.intervals-95"), Heads: shell.Heads(w.Say("gauging.person"), w.Say("gauging.bad-passed"), w.Say("gauging.good-stopped"))}
	for _, p := range s.Persons {
		if p.FalseAccept != nil {
			a, aw := countedOf(w, p.FalseAccept)
			r, rw := countedOf(w, p.FalseReject)
			t.Rows = append(t.Rows, shell.RowOf(p.Name).With(a, aw).With(r, rw))
		}
	}
	return t
}

func countedOf(w say, r *answers.Rate) (count, within string) {
	if r == nil || r.Of == 0 {
		return w.Say("gauging.none-to-judge"), ""
	}
	return w.Say("gauging.count-of", "count", r.Count, "of", r.Of, "share", w.share(r.Share)), w.shares(r.Within[0], r.Within[1])
}

package cutting

import (
	"html/template"
	"math"
	"slices"

	"slatewright/cutting/recovery/answers"
	"slatewright/internal/caution"
	"slatewright/internal/picture/chart"
	"slatewright/internal/tongue"
	"slatewright/internal/web/shell"
)

const onRecovery = at + "/recovery"

// recovered asks what becomes of the rock, or what a lift weighs.
func recovered() shell.Question {
	file := func(name string) map[string]string { return map[string]string{"list": name} }
	return shell.Question{Path: onRecovery, File: "recovery", Care: []caution.Topic{caution.Faces, caution.Lifting},
		Form: func(v *shell.Visit) shell.Asking {
			return shell.Asking{Asks: v.Say("recovery.asks"), About: v.Say("recovery.about"),
				Form:  shell.ListForm{Fields: []shell.ListField{{Name: "list", Label: v.Say("recovery.list"), Hint: v.Say("recovery.list-hint")}}},
				Links: []shell.Anchor{{Path: onRecovery + "/lifts", Says: v.Say("recovery.lifts-example")}}}
		},
		Examples: []shell.Example{{Files: file("year.csv")}, {Path: onRecovery + "/lifts", Files: file("lift.csv")}},
		Answer:   answerRecovery}
}

func answerRecovery(a shell.Asked) (shell.Reply, error) {
	list, err := a.Sheet("list")
	if err != nil {
		return shell.Reply{}, err
	}
	if answers.IsLift(list) {
		return answerLifts(a, list)
	}
	way, err := answers.Read(list)
	if err != nil {
		return shell.Reply{}, err
	}
	got, err := answers.Of(way)
	if err != nil {
		return shell.Reply{}, err
	}
	s := followed{a.Words, got}
	out := shell.Reply{JSON: got}
	out.Tone, out.Says, out.Next = s.tone(), s.says(), s.next()
	out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML { return s.draw(width) })
	out.Caption, out.Behind = a.Say("recovery.caption"), s.behind()
	out.Figures, out.Tables, out.Notes = s.figures(), []shell.Table{s.stages()}, got.Warnings
	return out, nil
}

// followed is an account on its way to a page.
type followed struct {
	tongue.Words
	*answers.Account
}

func (s followed) tone() string {
	if !s.Closes {
		return "doubt"
	}
	return ""
}

func (s followed) says() string {
	if s.Recovery.Value == nil {
		return s.Say("recovery.cannot-tell")
	}
	key := "recovery.out"
	if s.Definition == "overburden in" {
		key = "recovery.in"
	}
	return s.Say(key, "share", s.Percent(100**s.Recovery.Value), "low", s.Percent(100*s.Recovery.Low), "high", s.Percent(100*s.Recovery.High))
}

// next points at what costs most, or at what does not add up.
func (s followed) next() string {
	if !s.Closes {
		return s.Say("recovery.does-not-balance")
	}
	i := slices.IndexFunc(s.Losses, func(l answers.Loss) bool { return l.Share > 0 })
	switch {
	case i < 0:
		return ""
	case s.Money != nil && s.Losses[i].Money != nil:
		return s.Say("recovery.dearest", "cause", s.cause(s.Losses[i]), "stage", s.Losses[i].Stage, "money", s.money(*s.Losses[i].Money))
	}
	return s.Say("recovery.heaviest", "cause", s.cause(s.Losses[i]), "stage", s.Losses[i].Stage, "tonnes", s.tonnes(s.Losses[i].Mass.T))
}

// cause names a cause; those that the reckoning itself names are said in the reader's language.
func (s followed) cause(l answers.Loss) string {
	switch l.Cause {
	case "overburden":
		return s.Say("recovery.overburden")
	case "not accounted for":
		return s.Say("recovery.missing")
	}
	return l.Cause
}

func (s followed) money(v float64) string {
	text := s.Number(v, 0)
	if s.Currency != "" {
		text += unbroken + s.Currency
	}
	return text
}

func (s followed) tonnes(t float64) string { return s.Number(t, 1) + unbroken + "t" }

func (s followed) share(name string, r answers.Ratio) shell.Figure {
	if r.Value == nil {
		return shell.Figure{Name: name, Value: s.Say("recovery.not-told")}
	}
	return shell.Figure{Name: name, Value: s.Percent(100 * *r.Value), Small: s.Say("recovery.between", "low", s.Percent(100*r.Low), "high", s.Percent(100*r.High))}
}

func (s followed) figures() []shell.Figure {
	list := []shell.Figure{s.share(s.Say("recovery.share-out"), s.Out), s.share(s.Say("recovery.share-in"), s.In)}
	if s.Pieces != nil {
		list = append(list, shell.Figure{Name: s.Say("recovery.of-pieces"), Value: s.Percent(100 * *s.Pieces)})
	}
	if s.Money != nil {
		list = append(list, shell.Figure{Name: s.Say("recovery.money-lost"), Value: s.money(*s.Money), Small: s.Say("recovery.own-prices")})
	}
	return list
}

// behind is what the picture shows.
func (s followed) behind() shell.Table {
	t := shell.Table{Heads: shell.Heads(s.Say("recovery.lost-at"), s.Say("recovery.lost-tonnes"), s.Say("recovery.of-rock"), s.Say("recovery.lost-pieces"), s.Say("recovery.lost-money"))}
	for _, l := range s.Losses {
		money := "–"
		if l.Money != nil {
			money = s.money(*l.Money)
		}
		row := shell.RowOf(l.Stage)
		row.Cells[0].Small = s.cause(l)
		row = row.With(s.tonnes(l.Mass.T), "± "+s.tonnes(2*l.Mass.U)).With(s.Percent(100*l.Share), "").With(s.Number(l.Pieces, 0), "").With(money, "")
		t.Rows = append(t.Rows, row)
	}
	return t
}

// stages is the balance of each stage.
func (s followed) stages() shell.Table {
	t := shell.Table{Title: s.Say("recovery.stages"), Heads: shell.Heads(s.Say("recovery.stage"), s.Say("recovery.came-in"), s.Say("recovery.went-out"), s.Say("recovery.lost"), s.Say("recovery.missing-head"), s.Say("recovery.yield"))}
	for _, g := range s.Stages {
		yield, pieces := "–", ""
		if g.Yield.Value != nil {
			yield = s.Percent(100 * *g.Yield.Value)
		}
		if g.Pieces != nil {
			pieces = s.Say("recovery.pieces-yield", "share", s.Percent(100**g.Pieces))
		}
		row := shell.RowOf(g.Name, s.tonnes(g.In.T), s.tonnes(g.Out.T), s.tonnes(g.Lost.T)).With(s.tonnes(g.Missing.T), "± "+s.tonnes(2*g.Missing.U)).With(yield, pieces)
		t.Rows = append(t.Rows, row)
	}
	return t
}

// column is one of the three measures of a loss.
type column struct {
	name string
	of   func(answers.Loss) (value, doubt float64, told bool)
	say  func(float64) string
}

func (s followed) columns() []column {
	return []column{
		{s.Say("recovery.lost-tonnes"), func(l answers.Loss) (float64, float64, bool) { return l.Mass.T, 2 * l.Mass.U, true }, func(v float64) string { return s.Number(v, decimalsOf(v)) }},
		{s.Say("recovery.lost-pieces"), func(l answers.Loss) (float64, float64, bool) { return l.Pieces, 0, l.Pieces > 0 }, func(v float64) string { return s.Number(v, 0) }},
		{s.Say("recovery.lost-money"), func(l answers.Loss) (float64, float64, bool) {
			if l.Money == nil {
				return 0, 0, false
			}
			return *l.Money, 0, true
		}, func(v float64) string { return s.Number(v, 0) }},
	}
}

// decimalsOf keeps three figures of a mass.
func decimalsOf(v float64) int {
	if math.Abs(v) < 100 {
		return 1
	}
	return 0
}

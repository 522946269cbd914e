package surfacing

import (
	"fmt"
	"math"
	"strings"
	"time"

	"slatewright/internal/caution"
	"slatewright/internal/picture/chart"
	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/measure"
	"slatewright/stone"
	"slatewright/surfacing/machine/machinefile"
	"slatewright/surfacing/passes"
	"slatewright/surfacing/passes/answers"
)

// onPasses is the page of a plan of passes.
const onPasses = at + "/passes"

// mostOff is how much may come off a face for a page to plan it, mm; the verb plans more.
const mostOff = 3

// planned asks in how many passes a piece is surfaced.
func planned() shell.Question {
	files := map[string]string{"machine": "machine.yaml"}
	piece := map[string]string{"size": "914 x 1473 mm", "top": "0.3; 0.62; 1.1 mm", "bottom": "0.3; 0.7; 1.2 mm", "thickness": "26.1 mm", "final": "25.8 mm", "least": "25.4 mm", "reserve": "0.2 mm", "bow": "0.4 mm"}
	tight := map[string]string{"size": "914 x 1473 mm", "top": "0.3; 0.62; 1.1 mm", "bottom": "0.3; 0.7; 1.2 mm", "thickness": "25.4 mm", "flat": "0.1 mm", "bow": "0.4 mm"}
	return shell.Question{Path: onPasses, File: "passes", Longest: 30 * time.Second,
		Care: []caution.Topic{caution.Lifting, caution.Dust, caution.Machines, caution.Discs, caution.Wet},
		Form: func(v *shell.Visit) shell.Asking {
			return shell.Asking{Asks: v.Say("passes.asks"), About: v.Say("passes.about"),
				Form: shell.ListForm{Fields: []shell.ListField{{Name: "machine", Label: v.Say("passes.machine"), Hint: v.Say("passes.machine-hint")}, {Name: "cleanup", Label: v.Say("passes.cleanup"), Hint: v.Say("passes.cleanup-hint")}},
					More: pieceFields(v)},
				Links: []shell.Anchor{{Path: onPasses + "/tight", Says: v.Say("passes.tight-example")}}}
		},
		Examples: []shell.Example{{Files: files, Plain: piece}, {Path: onPasses + "/tight", Files: files, Plain: tight}},
		Answer:   answerPasses}
}

// pieceFields are the plain fields of a plan.
func pieceFields(v *shell.Visit) []shell.ListChoice {
	return []shell.ListChoice{
		{Name: "size", Label: v.Say("passes.size"), Hint: v.Say("passes.size-hint")},
		{Name: "top", Label: v.Say("passes.top"), Hint: v.Say("passes.top-hint")},
		{Name: "bottom", Label: v.Say("passes.bottom"), Hint: v.Say("passes.bottom-hint")},
		{Name: "thickness", Label: v.Say("passes.thickness"), Hint: v.Say("passes.thickness-hint")},
		{Name: "final", Label: v.Say("passes.final"), Hint: v.Say("passes.final-hint")},
		{Name: "least", Label: v.Say("passes.least"), Hint: v.Say("passes.least-hint")},
		{Name: "reserve", Label: v.Say("passes.reserve"), Hint: v.Say("passes.reserve-hint")},
		{Name: "flat", Label: v.Say("passes.flat"), Hint: v.Say("passes.flat-hint")},
		{Name: "bow", Label: v.Say("passes.bow"), Hint: v.Say("passes.bow-hint")},
		{Name: "stress", Label: v.Say("passes.stress"), Hint: v.Say("passes.stress-hint")},
	}
}

// limitKeys name what stops a plan.
var limitKeys = map[passes.Limit]string{passes.ByTable: "passes.limit-table", passes.ByThickness: "passes.limit-thickness", passes.ByLeast: "passes.limit-least", passes.ByPower: "passes.limit-power",
	passes.ByDamage: "passes.limit-damage", passes.ByWear: "passes.limit-wear", passes.ByRounds: "passes.limit-rounds", passes.ByFlatness: "passes.limit-flatness", passes.BySettings: "passes.limit-settings"}

// limit is the word for what stops a plan.
func (s planning) limit(h answers.Hindrance) string { return s.Say(limitKeys[passes.Limit(h.Limit)]) }

func answerPasses(a shell.Asked) (shell.Reply, error) {
	q, err := passesAsked(a)
	if err != nil {
		return shell.Reply{}, err
	}
	r, err := shell.Once(a, "passes", func(func() bool) (*answers.Report, error) { return answers.Of(*q) })
	if err != nil {
		return shell.Reply{}, err
	}
	s := planning{a.Words, r}
	out := shell.Reply{JSON: r}
	out.Tone, out.Says, out.Next = s.tone(), s.says(), s.next()
	out.Wide, out.Narrow = chart.Both(s.picture)
	out.Caption, out.Behind, out.Figures = s.caption(), s.behind(), s.figures()
	if len(r.Stopped) > 0 {
		out.Tables = append(out.Tables, s.limits(s.Say("passes.stopped"), r.Stopped))
	} else {
		out.Tables = append(s.layings(), s.compared(), s.parts())
		if len(r.Rule.Breaks) > 0 {
			out.Tables = append(out.Tables, s.limits(s.Say("passes.rule-breaks"), r.Rule.Breaks))
		}
	}
	out.Notes = r.Warnings
	return out, nil
}

// passesAsked reads the form.
func passesAsked(a shell.Asked) (*passes.Question, error) {
	file, err := a.List("machine")
	if err != nil {
		return nil, err
	}
	m, err := machinefile.Parse(file.Name, []byte(file.Text))
	if err != nil {
		return nil, err
	}
	q := &passes.Question{Machine: &m, Flat: passes.UsualFlat, Stone: stone.Slate()}
	if q.X, q.Y, err = measure.ParseSize(a.Typed("size")); err != nil {
		return nil, problem.New("bad-value", "size", a.Say("passes.no-size"), a.Say("passes.no-size-next"))
	}
	for _, f := range []struct {
		name string
		to   *float64
	}{{"thickness", &q.Thickness}, {"final", &q.Final}, {"least", &q.Least}, {"reserve", &q.Reserve}, {"flat", &q.Flat}} {
		mm, given, err := a.LengthIn(f.name)
		if err != nil {
			return nil, err
		}
		if given {
			*f.to = mm
		}
	}
	if typed := a.Typed("bow"); typed != "" {
		mm, ok := shell.SmallLength(a.Words, strings.ReplaceAll(typed, "−", "-"))
		if !ok {
			return nil, problem.New("bad-value", "bow", a.Say("passes.no-bow"), a.Say("passes.no-bow-next"))
		}
		q.Bow = &mm
	}
	if typed := a.Typed("stress"); typed != "" {
		if q.Stress, err = answers.ReadStress(typed); err != nil {
			return nil, err
		}
	}
	return q, passesTaken(a, q)
}

// passesTaken reads what is to come off: from a clean-up's answer, or from the two fields.
func passesTaken(a shell.Asked, q *passes.Question) error {
	top, bottom, file := a.Typed("top"), a.Typed("bottom"), a.Lists.Lists["cleanup"]
	switch {
	case !file.Empty() && top+bottom != "":
		return problem.New("bad-value", "cleanup", a.Say("passes.said-twice"), a.Say("passes.said-twice-next"))
	case !file.Empty():
		c, err := answers.ReadCleanup(file.Name, file.Reader())
		if err != nil {
			return err
		}
		c.Into(q)
	default:
		for f, typed := range []string{top, bottom} {
			name := passes.Face(f).String()
			if typed == "" {
				return problem.New("missing", name, a.Say("passes.no-off"), a.Say("passes.no-off-next"))
			}
			stock, err := answers.ReadOff(name, typed)
			if err != nil {
				return err
			}
			q.Take[f] = stock
		}
	}
	for f, s := range q.Take {
		if s.Max > mostOff {
			return problem.New("too-large", passes.Face(f).String(), a.Say("passes.too-much", "off_mm", s.Max, "most_mm", float64(mostOff)), a.Say("passes.too-much-next", "command", "slatewright passes"))
		}
	}
	return nil
}

// planning is an answered question on its way to a page.
type planning struct {
	tongue.Words
	*answers.Report
}

func (s planning) tone() string {
	switch {
	case s.Plan == nil:
		return "bad"
	case s.Answer().Outcome == passes.Unsure:
		return "doubt"
	}
	return "good"
}

func (s planning) says() string {
	switch p := s.Plan; {
	case p == nil:
		return s.Say("passes.none", "limit", s.limit(s.Stopped[0]))
	case s.Answer().Outcome == passes.Unsure:
		return s.Say("passes.unsure")
	default:
		return s.Say("passes.says", "n", p.Rounds, "minutes", s.Number(p.Minutes, 0))
	}
}

func (s planning) next() string {
	switch {
	case s.Plan == nil:
		return s.Say("passes.none-next")
	case s.LastCut:
		return s.Say("passes.last-cut")
	}
	return ""
}

// shown is the plan, or where there is none what the rule of thumb would do.
func (s planning) shown() *answers.Plan {
	if s.Plan != nil {
		return s.Plan
	}
	return s.Rule
}

func (s planning) caption() string {
	if s.Plan == nil {
		return s.Say("passes.caption-rule")
	}
	return s.Say("passes.caption")
}

// lying is how a face lies in a setup.
func (s planning) lying(u answers.Setup) string {
	key := "passes.lies-pressed"
	if u.Hold == passes.Free.String() {
		key = "passes.lies-free"
	}
	return s.Say(key, "face", s.Word("face", u.Face))
}

// behind is what the picture shows: the layings.
func (s planning) behind() shell.Table {
	t := shell.Table{Caption: s.Say("passes.behind"), Heads: shell.Heads(s.Say("passes.laying"), s.Say("passes.off"), s.Say("passes.rounds"), s.Say("passes.minutes"))}
	for i, u := range s.shown().Setups {
		t.Rows = append(t.Rows, shell.RowOf(fmt.Sprintf("%d. %s", i+1, s.lying(u)), s.Length(u.Mean), fmt.Sprint(len(u.Passes)), s.Number(u.Minutes, 0)))
	}
	return t
}

// layings are the passes, a table for each laying.
func (s planning) layings() (list []shell.Table) {
	for i, u := range s.Plan.Setups {
		t := shell.Table{Title: fmt.Sprintf("%d. %s", i+1, s.lying(u)), Heads: shell.Heads(s.Say("passes.stage"), s.Say("passes.set"), "m/min", s.Say("passes.minutes"), "kW", s.Say("passes.wear"))}
		if u.Turned {
			t.Caption = s.Say("passes.turned")
		}
		for _, p := range u.Passes {
			set := s.Length(p.Depth)
			if p.Spark {
				set = s.Say("passes.spark")
			}
			t.Rows = append(t.Rows, shell.RowOf(p.Stage, set, s.Number(p.Feed, 2), s.Number(p.Minutes, 1), s.Number(p.Power, 1), s.Number(p.Wear*1000, 0)))
		}
		list = append(list, t)
	}
	return list
}

func (s planning) figures() []shell.Figure {
	p := s.Plan
	if p == nil {
		return nil
	}
	list := []shell.Figure{{Name: s.Say("passes.time"), Value: s.Number(p.Minutes, 0) + unbroken + "min", Small: s.Say("passes.beside-rule", "value", s.Number(s.Rule.Minutes, 0)+unbroken+"min")}}
	if p.Cost != nil {
		list = append(list, shell.Figure{Name: s.Say("passes.cost"), Value: s.money(*p.Cost), Small: s.Say("passes.of-it-bits", "value", s.money(*p.BitsCost))})
	}
	if t := p.Thickness; t != nil {
		list = append(list, shell.Figure{Name: s.Say("passes.thickness-after"), Value: s.Both(t.Value), Small: s.Say("passes.between", "low_mm", t.Low, "high_mm", t.High)})
	}
	for _, f := range []struct {
		key string
		v   *answers.Flatness
	}{{"passes.flat-top", p.Top}, {"passes.flat-bottom", p.Bottom}} {
		if f.v != nil {
			list = append(list, shell.Figure{Name: s.Say(f.key), Value: s.flat(f.v), Small: s.most(f.v)})
		}
	}
	if l := s.Left; l != nil {
		list = append(list, shell.Figure{Name: s.Say("passes.left"), Value: s.Both(l.Above), Small: s.Say("passes.left-u", "u_mm", l.U)})
	}
	return list
}

func (s planning) money(v float64) string {
	text := s.Number(v, 2)
	if c := s.shown().Currency; c != "" {
		text += unbroken + c
	}
	return text
}

func (s planning) flat(f *answers.Flatness) string {
	if f == nil || f.Value == nil {
		return s.Say("passes.cannot-tell")
	}
	return s.Say("passes.about-mm", "mm", *f.Value)
}

func (s planning) most(f *answers.Flatness) string {
	if f == nil || f.High == nil {
		return ""
	}
	return s.Say("passes.at-most", "mm", *f.High)
}

// compared is the plan beside the rule of thumb.
func (s planning) compared() shell.Table {
	a, b := s.Plan, s.Rule
	t := shell.Table{Title: s.Say("passes.compared"), Caption: s.Say("passes.compared-about"), Heads: shell.Heads("", s.Say("passes.this-plan"), s.Say("passes.rule"))}
	row := func(key string, of func(*answers.Plan) string) {
		t.Rows = append(t.Rows, shell.RowOf(s.Say(key), of(a), of(b)))
	}
	row("passes.rounds", func(p *answers.Plan) string { return fmt.Sprint(p.Rounds) })
	row("passes.minutes", func(p *answers.Plan) string { return s.Number(p.Minutes, 0) })
	if a.Cost != nil {
		row("passes.cost", func(p *answers.Plan) string { return s.money(*p.Cost) })
	}
	row("passes.water", func(p *answers.Plan) string { return s.Number(p.Water, 0) + unbroken + "l" })
	row("passes.energy", func(p *answers.Plan) string { return s.Number(p.Energy, 1) + unbroken + "kWh" })
	row("passes.peak", func(p *answers.Plan) string { return s.Number(p.Peak, 1) + unbroken + "kW" })
	worn := func(p *answers.Plan, stage string) string {
		for _, w := range p.Bits {
			if w.Stage == stage {
				return s.Length(w.Wear)
			}
		}
		return "–"
	}
	for _, w := range a.Bits {
		t.Rows = append(t.Rows, shell.RowOf(s.Say("passes.bits-of", "stage", w.Stage), worn(a, w.Stage), worn(b, w.Stage)))
	}
	for _, f := range []struct {
		key  string
		a, b *answers.Flatness
	}{{"passes.flat-top", a.Top, b.Top}, {"passes.flat-bottom", a.Bottom, b.Bottom}} {
		if f.a != nil {
			t.Rows = append(t.Rows, shell.RowOf(s.Say(f.key)).With(s.flat(f.a), s.most(f.a)).With(s.flat(f.b), s.most(f.b)))
		}
	}
	return t
}

// parts is what keeps the top from flat.
func (s planning) parts() shell.Table {
	f := s.Plan.Top
	if f == nil {
		f = s.Plan.Bottom
	}
	t := shell.Table{Title: s.Say("passes.parts"), Caption: s.Say("passes.parts-about"), Heads: shell.Heads(s.Say("passes.part"), s.Say("passes.about-head"), s.Say("passes.most-head"))}
	for _, p := range f.Parts {
		t.Rows = append(t.Rows, shell.RowOf(s.InWords(p.Cause), s.Length(p.Value), s.Length(p.High)))
	}
	return t
}

// limits is a table of limits that are not kept.
func (s planning) limits(title string, list []answers.Hindrance) shell.Table {
	t := shell.Table{Title: title, Heads: []shell.Cell{{Text: s.Say("passes.limit-head")}, {Text: s.Say("passes.what-head")}}}
	for _, h := range list {
		t.Rows = append(t.Rows, shell.Row{Cells: []shell.Cell{{Text: s.limit(h)}, {Text: s.InWords(h.What), Small: s.Say("passes.frees", "by", s.InWords(h.Frees))}}})
	}
	return t
}

// deepest is the greatest depth over a wanted plane, mm.
func (s planning) deepest() float64 {
	return math.Max(math.Max(s.Asked.Top.Max, s.Asked.Bottom.Max), 0.1)
}

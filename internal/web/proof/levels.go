package proof

import (
	"fmt"
	"html/template"
	"math"

	"slatewright/internal/picture/chart"
	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/judge"
	"slatewright/traverse/answers"
	"slatewright/traverse/levels"
)

// mostWalked is how many stations a page fits: 2,000 of them, with steps from anywhere to anywhere, took 20 s of a processor, and the time
// grows with the third power.
const mostWalked = 700

// answerLevels says how flat the stations of a level walk are.
func answerLevels(a shell.Asked) (shell.Reply, error) {
	list, err := a.List("list")
	if err != nil {
		return shell.Reply{}, err
	}
	limit, err := limitOf(a)
	if err != nil {
		return shell.Reply{}, err
	}
	w, err := levels.Read(list.Name, list.Reader())
	if err != nil {
		return shell.Reply{}, err
	}
	if len(w.At) > mostWalked {
		return shell.Reply{}, problem.New("too-large", w.Name, a.Say("proof.too-many", "many", mostWalked), a.Say("proof.too-long-next", "command", "slatewright levels FILE"))
	}
	got, err := answers.OfLevels(w, limit, false, false)
	if err != nil {
		return shell.Reply{}, err
	}
	l := walked{a, got}
	out := shell.Reply{JSON: got}
	out.Tone, out.Says, out.Next = l.says()
	out.Wide, out.Narrow = chart.Both(l.picture)
	out.Caption = l.caption()
	out.Behind, out.Figures, out.Notes = l.stations(), l.figures(), got.Warnings
	if len(got.Suspects) > 0 {
		out.Tables = append(out.Tables, l.suspects())
	}
	return out, nil
}

// walked is an answered walk on its way to a page.
type walked struct {
	shell.Asked
	*answers.Levels
}

// says is the answer in a sentence, and what to do.
func (l walked) says() (tone, says, next string) {
	low, high := 0.0, 0.0
	if l.ZoneInterval != nil {
		low, high = l.ZoneInterval[0], l.ZoneInterval[1]
	}
	zone := []any{"many", l.Stations, "zone_mm", l.ZoneMM, "low_mm", low, "high_mm", high}
	if s := l.Suspect; s != nil {
		return "doubt", l.Say("proof.levels-suspect", "row", s.Row, "off_mm", math.Abs(s.ErrorUM)/1000), l.Say("proof.levels-read-again")
	}
	if l.ZoneInterval == nil {
		return "doubt", l.Say("proof.levels-bare", zone...), l.Say("proof.levels-close")
	}
	if l.LimitMM == nil {
		return "", l.Say("proof.levels-zone", zone...), ""
	}
	zone = append(zone, "limit_mm", *l.LimitMM)
	switch l.Says {
	case judge.Conforms:
		return "good", l.Say("proof.levels-conforms", zone...), ""
	case judge.DoesNotConform:
		return "bad", l.Say("proof.levels-fails", zone...), ""
	}
	return "doubt", l.Say("proof.levels-open", zone...), l.Say("proof.levels-finer")
}

func (l walked) caption() string {
	key := "proof.levels-caption"
	if l.Stations > mostFigures {
		key = "proof.levels-caption-many"
	}
	text := l.Say(key, "unit", smallUnit(l.Words))
	if l.Suspect != nil {
		text += " " + l.Say("proof.levels-caption-suspect")
	}
	return text
}

// mostFigures is how many stations have their heights beside them; more have contour lines.
const mostFigures = 40

// picture draws the walk from above.
func (l walked) picture(width float64) template.HTML {
	w := l.Fitted.Walk
	p := planOf(l.Words, width, barRoom, w.At, l.Say("proof.levels-picture", "many", l.Stations, "zone_mm", l.ZoneMM))
	many := l.Stations > mostFigures
	suspect := map[int]bool{}
	for _, s := range l.Fitted.Suspects {
		suspect[s.Step] = true
	}
	if many {
		p.contours(w.At, l.Fitted.Z)
	}
	drawn := map[[2]int]bool{}
	for k, s := range w.Steps {
		at := [2]int{min(s.From, s.To), max(s.From, s.To)}
		if x0, y0 := p.place(w.At[s.From]); !drawn[at] && !suspect[k] && len(w.Steps) <= mostSteps {
			x1, y1 := p.place(w.At[s.To])
			p.Line("step", x0, y0, x1, y1)
			drawn[at] = true
		}
	}
	for i, at := range w.At {
		x, y := p.place(at)
		p.Disc("spot", x, y, min(3.5, 60/math.Sqrt(float64(len(w.At)))))
		if i < mostFigures {
			p.Block(x, y, 4)
		}
	}
	p.suspects(l)
	if !many {
		for i, at := range w.At {
			x, y := p.place(at)
			p.Label("", x, y, small(l.Words, l.Fitted.Z[i]), false)
		}
	}
	p.axes()
	low, high := math.NaN(), math.NaN()
	if l.ZoneInterval != nil {
		low, high = l.ZoneInterval[0], l.ZoneInterval[1]
	}
	p.bar(low, l.ZoneMM, high, l.LimitMM)
	return p.End()
}

// mostSteps is how many steps are drawn; more would hide the contours.
const mostSteps = 600

// suspects marks the steps that cannot be right: a broken line with a cross in its middle, and its line of the file in words.
func (p *plan) suspects(l walked) {
	w := l.Fitted.Walk
	for i, s := range l.Fitted.Suspects {
		step := w.Steps[s.Step]
		x0, y0 := p.place(w.At[step.From])
		x1, y1 := p.place(w.At[step.To])
		p.Line("wrong", x0, y0, x1, y1)
		x, y := (x0+x1)/2, (y0+y1)/2
		p.Cross("cross", x, y, 6)
		p.Block(x, y, 5)
		if i == 0 || len(l.Suspects) < 4 {
			p.Label("wrong-word", x, y, p.w.Say("proof.line-of-file", "row", step.Row), true)
		}
	}
}

// stations are the heights as a table.
func (l walked) stations() shell.Table {
	t := shell.Table{Caption: l.Say("proof.levels-heights"), Heads: shell.Heads("x", "y", l.Say("proof.height"), l.Say("proof.doubt-u"))}
	for i, at := range l.Fitted.Walk.At {
		if i == mostRows {
			t.Caption = l.Say("proof.first-rows", "many", mostRows, "of", l.Stations)
			break
		}
		u := "?"
		if x := l.Fitted.U[i]; !math.IsNaN(x) {
			u = "± " + fine(l.Words, x)
		}
		t.Rows = append(t.Rows, shell.RowOf(l.Size(at[0]), l.Size(at[1]), small(l.Words, l.Fitted.Z[i])+unbroken+smallUnit(l.Words), u))
	}
	return t
}

// mostRows is how many rows a table of a page has; the file of the answer has them all.
const mostRows = 200

const unbroken = "\u00a0"

// fine writes a length that is smaller than what is promised: to a hundredth of a micrometre or of a thou.
func fine(w tongue.Words, mm float64) string {
	if w.Units() == tongue.Inch {
		return w.Number(mm/0.0254, 2) + unbroken + "thou"
	}
	return w.Number(mm*1000, 2) + unbroken + "µm"
}

func (l walked) figures() []shell.Figure {
	list := []shell.Figure{{Name: l.Say("proof.zone"), Value: l.Both(l.ZoneMM)}}
	if l.ZoneInterval != nil {
		list[0].Small = l.Say("proof.between", "low_mm", l.ZoneInterval[0], "high_mm", l.ZoneInterval[1])
	}
	um := func(x float64) string { return fine(l.Words, x/1000) }
	if c := l.Closure; c != nil {
		f := shell.Figure{Name: l.Say("proof.closure", "many", c.Loops), Value: um(*l.ClosureUM)}
		if c.Expected != nil {
			f.Small = l.Say("proof.closure-expected", "u", um(*c.Expected))
		}
		list = append(list, f)
	}
	if f := l.Fit; f != nil {
		switch {
		case f.UUM != nil:
			list = append(list, shell.Figure{Name: l.Say("proof.step-u"), Value: um(*f.UUM), Small: l.Say("proof.from-closures")})
		case f.Ratio != nil:
			list = append(list, shell.Figure{Name: l.Say("proof.fit"), Value: l.Number(*f.Ratio, 2), Small: l.Say("proof.fit-between", "low", f.Interval[0], "high", f.Interval[1])})
		}
	}
	list = append(list, shell.Figure{Name: l.Say("proof.spare"), Value: l.Number(float64(l.Spare), 0)})
	if x := l.largestHidden(); x > 0 {
		list = append(list, shell.Figure{Name: l.Say("proof.detectable"), Value: um(x), Small: l.Say("proof.detectable-small")})
	}
	if s := l.Slope; s != nil {
		list = append(list, shell.Figure{Name: l.Say("proof.slope"), Value: fmt.Sprintf("%s · %s", l.Signed(s[0], 1), l.Signed(s[1], 1)), Small: l.Say("proof.slope-small")})
	}
	return list
}

// largestHidden is the slip, µm, that the test would find in any step; 0 where a slip of any size could hide in one.
func (l walked) largestHidden() (um float64) {
	for _, s := range l.Steps {
		if s.DetectableUM == nil {
			return 0
		}
		um = max(um, *s.DetectableUM)
	}
	return um
}

func (l walked) suspects() shell.Table {
	t := shell.Table{Title: l.Say("proof.suspects"), Heads: shell.Heads(l.Say("proof.row"), l.Say("proof.from"), l.Say("proof.to"), l.Say("proof.rise"), l.Say("proof.off"), l.Say("proof.or-rows"))}
	for _, s := range l.Suspects {
		others := "–"
		if len(s.Others) > 0 {
			others = rows(l.Words, s.Others)
		}
		t.Rows = append(t.Rows, shell.RowOf(fmt.Sprint(s.Row), spot(l.Words, s.X1, s.Y1), spot(l.Words, s.X2, s.Y2), fine(l.Words, s.RiseUM/1000), fine(l.Words, s.ErrorUM/1000)+" ± "+fine(l.Words, s.U/1000), others))
	}
	return t
}

// spot writes a place.
func spot(w tongue.Words, x, y float64) string { return w.Size(x) + " · " + w.Size(y) }

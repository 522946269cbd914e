package surfacing

import (
	"html/template"
	"math"
	"time"

	"slatewright/internal/caution"
	"slatewright/internal/picture/chart"
	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/surfacing/disc/answers"
	"slatewright/surfacing/disc/wear"
)

// worn asks when the bits of a disc are used up.
func worn() shell.Question {
	return shell.Question{Path: at + "/wear", File: "wear", Care: []caution.Topic{caution.Lifting, caution.Machines, caution.Discs}, Longest: 10 * time.Second,
		Form: func(v *shell.Visit) shell.Asking {
			return shell.Asking{Asks: v.Say("wear.asks"), About: v.Say("wear.about"),
				Form:  shell.ListForm{Fields: []shell.ListField{{Name: "list", Label: v.Say("wear.list"), Hint: v.Say("wear.columns")}}},
				Links: []shell.Anchor{{Path: at + "/disc", Says: v.Say("disc.asks")}}}
		},
		Examples: []shell.Example{{Files: map[string]string{"list": "disc-wear.csv"}}},
		Answer:   answerWear}
}

// mostWearDays is how many days a page fits.
const mostWearDays = 120

func answerWear(a shell.Asked) (shell.Reply, error) {
	table, err := a.Sheet("list")
	if err != nil {
		return shell.Reply{}, err
	}
	l, err := wear.Read(table)
	if err != nil {
		return shell.Reply{}, err
	}
	if len(l.Days) > mostWearDays {
		return shell.Reply{}, problem.New("too-large", "list", a.Say("wear.too-many", "most", mostWearDays), a.Say("wear.too-many-next"))
	}
	r, err := answers.OfWear(table.Name, l, nil)
	if err != nil {
		return shell.Reply{}, err
	}
	w := wearing{a.Words, r}
	out := shell.Reply{JSON: r}
	out.Tone, out.Says, out.Next = w.tone(), w.says(), a.Say("disc.next", "what", r.Next)
	out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML { return w.draw(width) })
	out.Caption = w.Say("wear.caption")
	if len(r.LeftOut) > 0 {
		out.Caption += " " + w.Say("wear.caption-out")
	}
	out.Behind, out.Figures, out.Notes = w.behind(), w.figures(), r.Warnings
	if len(r.Bits) > 0 {
		out.Tables = append(out.Tables, w.bits())
	}
	return out, nil
}

// wearing is an answered log on its way to a page.
type wearing struct {
	tongue.Words
	*answers.Wear
}

func (w wearing) tone() string {
	return map[string]string{string(wear.Lasts): "good", string(wear.Change): "bad", string(wear.CannotTell): "doubt"}[w.State]
}

func (w wearing) says() string {
	switch wear.State(w.State) {
	case wear.Change:
		return w.Say("wear.used-up")
	case wear.CannotTell:
		return w.Say("wear.cannot-tell")
	}
	if a := w.Answer; !a.End[0].IsZero() && !a.End[1].IsZero() {
		return w.Say("wear.lasts-to", "day", a.End[0], "from", a.End[1])
	}
	return w.Say("wear.lasts", "left", w.amount(w.First.Expected))
}

// unit is that of the amounts.
func (w wearing) unit() string {
	if w.Unit == "m2" {
		return "m²"
	}
	return w.Say("wear.days")
}

func (w wearing) amount(x *float64) string {
	if x == nil {
		return w.Say("wear.not-told")
	}
	return w.Number(*x, 0) + unbroken + w.unit()
}

// between writes an interval.
func (w wearing) between(s answers.Span, show func(*float64) string) string {
	switch {
	case s.From == nil:
		return ""
	case s.To == nil:
		return w.Say("wear.at-least", "low", show(s.From))
	}
	return w.Say("wear.interval", "low", show(s.From), "high", show(s.To))
}

func (w wearing) money(x *float64) string {
	if x == nil {
		return w.Say("wear.not-told")
	}
	return w.Number(*x, 2)
}

func (w wearing) figures() []shell.Figure {
	rate := func(x *float64) string {
		if x == nil {
			return w.Say("wear.not-told")
		}
		return w.Number(*x, 2) + unbroken + "µm"
	}
	height := func(x *float64) string {
		if x == nil {
			return w.Say("wear.not-told")
		}
		return w.Length(*x)
	}
	list := []shell.Figure{
		{Name: w.Say("wear.rate", "unit", w.unit()), Value: rate(w.Rate.Expected), Small: w.between(w.Rate, rate)},
		{Name: w.Say("wear.now"), Value: height(w.Now.Expected), Small: w.Say("wear.usable", "mm", w.Log.Usable)},
		{Name: w.Say("wear.left"), Value: w.amount(w.Left.Expected), Small: w.between(w.Left, w.amount)},
		{Name: w.Say("wear.first"), Value: w.amount(w.First.Expected), Small: w.between(w.First, w.amount)},
		{Name: w.Say("wear.life"), Value: w.amount(w.Life.Expected), Small: w.between(w.Life, w.amount)},
	}
	if a := w.Answer; !a.End[0].IsZero() {
		f := shell.Figure{Name: w.Say("wear.change"), Value: w.Day(a.End[0])}
		if !a.End[1].IsZero() && !a.End[2].IsZero() {
			f.Small = w.Say("wear.interval", "low", w.Day(a.End[1]), "high", w.Day(a.End[2]))
		}
		list = append(list, f)
	}
	if w.PerM2.Expected != nil {
		list = append(list, shell.Figure{Name: w.Say("wear.per-m2"), Value: w.money(w.PerM2.Expected), Small: w.between(w.PerM2, w.money)})
	}
	if w.PerSet.Expected != nil {
		list = append(list, shell.Figure{Name: w.Say("wear.per-set"), Value: w.money(w.PerSet.Expected), Small: w.between(w.PerSet, w.money)})
	}
	return list
}

func (w wearing) bits() shell.Table {
	t := shell.Table{Title: w.Say("wear.bits"), Heads: shell.Heads(w.Say("disc.place"), w.Say("disc.height"), w.Say("wear.off"), w.Say("wear.pace"), "")}
	for _, b := range w.Bits {
		pace, odd := "", ""
		if b.Pace != nil {
			pace = w.Number(*b.Pace, 2)
		}
		if b.Odd {
			odd = w.Say("wear.odd")
		}
		t.Rows = append(t.Rows, shell.RowOf(b.Position, w.Length(b.Height), w.Signed(b.Off, 2)+unbroken+"mm", pace, odd))
	}
	return t
}

func (w wearing) behind() shell.Table {
	t := shell.Table{Caption: w.Say("wear.behind"), Heads: shell.Heads(w.Say("wear.day"), w.unit(), w.Say("disc.height"))}
	for _, p := range w.Answer.Course {
		t.Rows = append(t.Rows, shell.RowOf(w.Day(p.Day), w.Number(p.Amount, 0), w.Length(p.Height)))
	}
	return t
}

// draw shows the typical bit's height over the amount, its course with the band, and where the usable height ends.
func (w wearing) draw(width float64) template.HTML {
	const height = 360.0
	a, usable := w.Answer, w.Log.Usable
	end, top := math.Max(w.Worked, 1), 0.0
	for _, p := range a.Course {
		top = math.Max(top, p.Height)
	}
	if w.Left.Expected != nil {
		end += math.Min(1.15*(*w.Left.Expected), 6*end)
	}
	g := chart.Plot{Pen: chart.New(width, height, w.Say("wear.picture", "n", len(a.Course))), X: chart.Axis{Low: 0, High: 1.02 * end, From: 52, To: width - 12}, Y: chart.Around(math.Max(usable-0.12*(top-usable), 0), top, height-40, 34)}
	g.Hatch("beyond", g.X.From, g.Y.At(usable), g.X.To-g.X.From, g.Y.From-g.Y.At(usable))
	g.Grid(w.Words, 1, 1, w.Say("wear.axis", "unit", w.unit()), "mm")
	g.Level("limit", usable)
	g.Text("label", "start", g.X.From+6, g.Y.At(usable)-6, w.Say("wear.usable", "mm", usable))
	w.course(g, end)
	for _, p := range a.Course {
		if p.Used {
			g.Disc("mark m0", g.X.At(p.Amount), g.Y.Clip(p.Height), 3.2)
		} else {
			g.Cross("due", g.X.At(p.Amount), g.Y.Clip(p.Height), 5)
		}
	}
	if w.Left.From != nil && w.Left.Expected != nil {
		to := g.X.High
		if w.Left.To != nil {
			to = math.Min(w.Worked+*w.Left.To, to)
		}
		g.Span("whisker", g.X.At(w.Worked+*w.Left.From), g.X.At(to), g.Y.At(usable), 5)
	}
	return g.End()
}

// course draws the expected height and its band.
func (w wearing) course(g chart.Plot, end float64) {
	const steps = 60
	var middle, upper, lower [][2]float64
	for i := range steps + 1 {
		x := end * float64(i) / steps
		h, ok := w.Answer.At(x)
		if !ok {
			return
		}
		px := g.X.At(x)
		middle, upper, lower = append(middle, [2]float64{px, g.Y.Clip(h.Expected)}), append(upper, [2]float64{px, g.Y.Clip(h.To)}), append(lower, [2]float64{px, g.Y.Clip(h.From)})
	}
	for i := len(lower) - 1; i >= 0; i-- {
		upper = append(upper, lower[i])
	}
	g.Run("band", upper, true)
	g.Run("trend", middle, false)
}

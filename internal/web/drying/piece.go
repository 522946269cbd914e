package drying

import (
	"html/template"
	"math"
	"slices"
	"strings"

	"slatewright/internal/picture/chart"
	"slatewright/internal/web/shell"
	"slatewright/seasoning"
	"slatewright/seasoning/answers"
)

// answerPiece says whether one piece may leave.
func answerPiece(w say, got *answers.Leaving) shell.Reply {
	p := single{say: w, Piece: got.Pieces[0], fit: got.Verdicts[0].Fit, series: got.Values.Series[0]}
	out := shell.Reply{JSON: got}
	out.Tone, out.Says = tones[seasoning.State(p.State)], p.says()
	if out.Next = ""; p.State == string(seasoning.Unsure) {
		out.Next = w.Say("season.read-on")
	}
	if out.Wide, out.Narrow = chart.Both(p.picture); out.Wide != "" {
		out.Caption = p.caption()
	}
	out.Behind, out.Figures = p.readings(), p.figures()
	if len(got.Sentinels) > 0 {
		out.Tables = append(out.Tables, several{w, got}.sentinels())
	}
	out.Notes = append(slices.Clone(got.Warnings), p.Warnings...)
	return out
}

var tones = map[seasoning.State]string{seasoning.May: "good", seasoning.Stays: "bad", seasoning.Unsure: "doubt"}

// single is an answered piece on its way to a page.
type single struct {
	say
	answers.Piece
	fit    *seasoning.Fit
	series seasoning.Series
}

func (p single) says() string {
	if p.State == string(seasoning.May) && len(p.Why) == 0 {
		return p.Say("season.may", "most", p.amount(p.Piece, p.Limit), "allowed", p.amount(p.Piece, p.Share))
	}
	return p.Say(sentences[seasoning.State(p.State)], "why", p.reasons(p.Why))
}

var sentences = map[seasoning.State]string{seasoning.May: "season.let-go", seasoning.Stays: "season.stays", seasoning.Unsure: "season.cannot-tell"}

// reasons says why, in the reader's language.
func (w say) reasons(why []string) string {
	var said []string
	for _, text := range why {
		said = append(said, w.InWords(text))
	}
	return strings.Join(said, "; ")
}

// decimals are those to a tenth of the noise, or better.
func decimals(p answers.Piece) int {
	if p.Noise == nil || !(*p.Noise > 0) {
		return 4
	}
	return min(max(int(math.Ceil(1-math.Log10(*p.Noise))), 0), 6)
}

// amount writes a value of a piece with its unit.
func (w say) amount(p answers.Piece, x *float64) string {
	if x == nil {
		return w.Say("season.not-told")
	}
	return w.Number(*x, decimals(p)) + unbroken + p.Unit
}

// signed is amount with its sign: − for what still shrinks.
func (w say) signed(p answers.Piece, x *float64) string {
	if x == nil {
		return w.Say("season.not-told")
	}
	return w.Signed(*x, decimals(p)) + unbroken + p.Unit
}

const unbroken = "\u00a0"

// days writes a number of days.
func (w say) days(x *float64, decimals int) string {
	if x == nil {
		return w.Say("season.not-told")
	}
	return w.Number(*x, decimals)
}

func (p single) caption() string {
	text := p.Say("season.caption", "unit", p.Piece.Unit)
	if len(p.LeftOut) > 0 {
		text += " " + p.Say("season.caption-left-out")
	}
	if len(p.series.Moved) > 0 {
		text += " " + p.Say("season.caption-moved")
	}
	return text
}

// zero is the day from which on the instrument has had the zero of now.
func (p single) zero() float64 {
	if len(p.series.Moved) == 0 {
		return math.Inf(-1)
	}
	return slices.Max(p.series.Moved)
}

// picture draws the readings over the days, the course with its band, and where it ends; nothing where nothing is fitted.
func (p single) picture(width float64) template.HTML {
	if _, _, _, ok := p.fit.At(p.Day); !ok || p.Final == nil {
		return ""
	}
	const height = 360.0
	last := max(p.fit.Last, p.Day, 1)
	if p.ReadyDay != nil && *p.ReadyDay < 3*last {
		last = max(last, *p.ReadyDay)
	}
	g := chart.Plot{Pen: chart.New(width, height, p.Say("season.picture", "readings", p.Readings)),
		X: chart.Axis{Low: 0, High: 1.06 * last, From: 62, To: width - 10}, Y: chart.Axis{Low: *p.Final - *p.Share, High: *p.Final + *p.Share, From: height - 40, To: 30}}
	first := p.zero()
	if math.IsInf(first, 0) {
		first = 0
	}
	var curve, upper, lower [][2]float64
	const steps = 80
	for i := range steps + 1 {
		day := max(first, 0) + (1.06*last-max(first, 0))*float64(i)/steps
		x, low, high, _ := p.fit.At(day)
		curve, upper, lower = append(curve, [2]float64{day, x}), append(upper, [2]float64{day, high}), append(lower, [2]float64{day, low})
		g.Y.Low, g.Y.High = min(g.Y.Low, x, low), max(g.Y.High, x, high)
	}
	for _, r := range p.series.Readings {
		if r.Day >= p.zero() {
			g.Y.Low, g.Y.High = min(g.Y.Low, r.Value), max(g.Y.High, r.Value)
		}
	}
	pad := 0.06 * (g.Y.High - g.Y.Low)
	g.Y.Low, g.Y.High = g.Y.Low-pad, g.Y.High+pad
	g.Rect("stone", g.X.From, g.Y.At(*p.Final+*p.Share), g.X.To-g.X.From, g.Y.At(*p.Final-*p.Share)-g.Y.At(*p.Final+*p.Share))
	g.Grid(p.say, 1, 1, p.Say("season.days"), p.Piece.Unit)
	slices.Reverse(lower)
	g.Curve("band", append(upper, lower...), true)
	g.Level("base", *p.Final)
	g.Curve("trend", curve, false)
	p.mark(g)
	for i, r := range p.series.Readings {
		if r.Day < p.zero() {
			continue
		}
		if slices.Contains(p.fit.Wrong, i) {
			g.Cross("due", g.X.At(r.Day), g.Y.At(r.Value), 5)
		} else {
			g.Disc("mark m0", g.X.At(r.Day), g.Y.At(r.Value), 3.2)
		}
	}
	return g.End()
}

// mark draws the day on which the piece is surely ready.
func (p single) mark(g chart.Plot) {
	if p.ReadyDay == nil || *p.ReadyDay > g.X.High {
		return
	}
	x := g.X.At(*p.ReadyDay)
	g.Line("limit", x, g.Y.To, x, g.Y.From)
	words := p.Say("season.ready-on", "day", *p.ReadyDay)
	if x < (g.X.From+g.X.To)/2 {
		g.Text("label", "start", x+6, g.Y.To+10, words)
	} else {
		g.Text("label", "end", x-6, g.Y.To+10, words)
	}
}

// readings are the table behind the picture.
func (p single) readings() shell.Table {
	t := shell.Table{Caption: p.Say("season.behind"), Heads: shell.Heads(p.Say("season.day"), p.Say("season.read"), p.Say("season.course"), p.Say("season.band"))}
	for i, r := range p.series.Readings {
		if i == mostRows {
			break
		}
		value := r.Value
		course, band := p.Say("season.not-told"), p.Say("season.not-told")
		if x, low, high, ok := p.fit.At(r.Day); ok && p.Final != nil && r.Day >= p.zero() {
			course, band = p.amount(p.Piece, &x), p.Say("season.from-to", "low", p.Number(low, decimals(p.Piece)), "high", p.Number(high, decimals(p.Piece)))
		}
		t.Rows = append(t.Rows, shell.RowOf(p.Figure(tenth(r.Day)), p.amount(p.Piece, &value), course, band))
	}
	return t
}

// mostRows is how many rows a table of the page has.
const mostRows = 200

func (p single) figures() []shell.Figure {
	list := []shell.Figure{
		{Name: p.Say("season.to-come", "day", p.Day), Value: p.signed(p.Piece, p.Remaining)},
		{Name: p.Say("season.ready"), Value: p.days(p.ReadyDay, 0)},
		{Name: p.Say("season.tau"), Value: p.days(p.TauDays, 1)},
		{Name: p.Say("season.ends"), Value: p.amount(p.Piece, p.Final)},
		{Name: p.Say("season.noise"), Value: p.amount(p.Piece, p.Noise)},
	}
	if p.Limit != nil {
		list[0].Small = p.Say("season.at-most", "most", p.amount(p.Piece, p.Limit), "allowed", p.amount(p.Piece, p.Share))
	}
	if p.Expected != nil {
		list[1].Small = p.Say("season.expected", "day", *p.Expected)
	}
	if p.ReadyDate != nil {
		list[1].Small += " · " + *p.ReadyDate
	}
	switch {
	case p.TauFrom != nil && p.TauTo != nil:
		list[2].Small = p.Say("season.ninety", "low", p.days(p.TauFrom, 1), "high", p.days(p.TauTo, 1))
	case p.TauFrom != nil:
		list[2].Small = p.Say("season.at-least", "low", p.days(p.TauFrom, 1))
	}
	if p.FinalSD != nil {
		list[3].Small = p.Say("season.deviation", "value", p.amount(p.Piece, p.FinalSD))
	}
	return list
}

package drying

import (
	"cmp"
	"html/template"
	"math"
	"slices"
	"strings"

	"slatewright/internal/picture/chart"
	"slatewright/internal/tongue"
	"slatewright/internal/web/shell"
	"slatewright/seasoning"
	"slatewright/seasoning/answers"
)

// mostBars is how many pieces a picture shows.
const mostBars = 40

// answerLayer says how many pieces of a layer may leave.
func answerLayer(w say, got *answers.Leaving) shell.Reply {
	l := several{w, got}
	out := shell.Reply{JSON: got}
	out.Tone = tones[got.State()]
	out.Says = l.says()
	shown := l.shown()
	out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML { return l.picture(shown, width) })
	out.Caption = w.Say("season.bars")
	if len(shown) < len(got.Pieces) {
		out.Caption += " " + w.Say("season.bars-first", "many", len(shown), "of", len(got.Pieces))
	}
	out.Behind, out.Figures = l.pieces(), l.figures()
	if len(got.Sentinels) > 0 {
		out.Tables = append(out.Tables, l.sentinels())
	}
	out.Notes = slices.Clone(got.Warnings)
	for _, p := range got.Pieces {
		for _, text := range p.Warnings {
			out.Notes = append(out.Notes, p.Name+": "+w.InWords(text))
		}
	}
	return out
}

// several is an answered layer on its way to a page.
type several struct {
	say
	*answers.Leaving
}

// says is how many of how many may leave, and which not where they are few.
func (l several) says() string {
	names := map[seasoning.State][]string{}
	for i, v := range l.Verdicts {
		names[v.State] = append(names[v.State], l.Pieces[i].Name)
	}
	may := len(names[seasoning.May])
	if may == len(l.Pieces) {
		return l.Say("season.all-may", "many", may)
	}
	said := []string{l.Say("season.of-layer", "many", len(l.Pieces), "may", may)}
	for _, s := range []struct {
		state seasoning.State
		key   string
	}{{seasoning.Stays, "season.stay"}, {seasoning.Unsure, "season.open"}} {
		switch list := names[s.state]; {
		case len(list) > mostNamed:
			said = append(said, l.Say(s.key, "which", l.Number(float64(len(list)), 0)))
		case len(list) > 0:
			said = append(said, l.Say(s.key, "which", l.List(list...)))
		}
	}
	return strings.Join(said, l.gap())
}

// mostNamed is how many pieces the sentence names; of more it says how many they are.
const mostNamed = 4

// gap stands between two sentences.
func (w say) gap() string {
	if w.Language() == tongue.Chinese {
		return ""
	}
	return " "
}

// part is a size as a part of a piece's share; infinite where it is not told.
func part(p answers.Piece, x *float64) float64 {
	if x == nil || p.Share == nil || !(*p.Share > 0) {
		return math.Inf(1)
	}
	return math.Abs(*x) / *p.Share
}

// shown are the pieces of the picture, by their place in the list: all, or those with most to come against their share.
func (l several) shown() []int {
	var list []int
	for i := range l.Pieces {
		list = append(list, i)
	}
	if len(list) > mostBars {
		slices.SortStableFunc(list, func(a, b int) int {
			return cmp.Compare(part(l.Pieces[b], l.Pieces[b].Limit), part(l.Pieces[a], l.Pieces[a].Limit))
		})
		list = list[:mostBars]
		slices.Sort(list)
	}
	return list
}

// farthest is how many shares a picture reaches at most; what is beyond has an arrow.
const farthest = 8.0

// picture draws a bar for each piece: what is still to come as a part of its share, with its limit.
func (l several) picture(shown []int, width float64) template.HTML {
	const row = 24.0
	reach := 1.3
	for _, i := range shown {
		if x := part(l.Pieces[i], l.Pieces[i].Limit); !math.IsInf(x, 0) {
			reach = max(reach, min(1.08*x, farthest))
		}
	}
	height := row*float64(len(shown)) + 66
	g := chart.Plot{Pen: chart.New(width, height, l.Say("season.bars-picture", "many", len(shown))),
		X: chart.Axis{Low: 0, High: reach, From: 96, To: width - 16}, Y: chart.Axis{Low: 0, High: 1, From: height - 36, To: 30}}
	g.Across(l.say, 1, l.Say("season.shares"))
	for k, i := range shown {
		p, y := l.Pieces[i], g.Y.To+row*(float64(k)+0.5)
		g.Text("number", "end", g.X.From-8, y+4, chart.Short(p.Name, 12))
		limit := part(p, p.Limit)
		if math.IsInf(limit, 0) {
			g.Text("label", "start", g.X.From+14, y+4, l.Say("season.not-told"))
			continue
		}
		g.Rect(fill(p), g.X.From, y-6, g.X.At(min(part(p, p.Remaining), reach))-g.X.From, 12)
		end := g.X.At(min(limit, reach))
		g.Line("whisker", g.X.From, y, end, y)
		if limit > reach {
			g.Run("whisker", [][2]float64{{end - 6, y - 4}, {end, y}, {end - 6, y + 4}}, false)
		} else {
			g.Line("whisker", end, y-5, end, y+5)
		}
	}
	g.Line("limit", g.X.At(1), g.Y.To-4, g.X.At(1), g.Y.From)
	g.Text("label", "middle", max(g.X.At(1), g.X.From+30), g.Y.To-10, l.Say("season.allowed"))
	return g.End()
}

// fill is the class of a piece's bar: the ink for one that stays is another than that for one that may leave.
func fill(p answers.Piece) string {
	if p.State == string(seasoning.May) {
		return "doubt"
	}
	return "doubt drawn-ones"
}

// pieces are the table behind the picture.
func (l several) pieces() shell.Table {
	t := shell.Table{Caption: l.Say("season.behind-layer", "unit", l.Unit), Heads: shell.Heads(l.Say("season.piece"), l.Say("season.answer"), l.Say("season.day"), l.Say("season.to-come-short"), l.Say("season.limit"), l.Say("season.allowed"), l.Say("season.tau"), l.Say("season.ready"))}
	for i, p := range l.Pieces {
		if i == mostRows {
			break
		}
		t.Rows = append(t.Rows, shell.RowOf(p.Name, l.state(p), l.Figure(tenth(p.Day)), l.signed(p, p.Remaining), l.amount(p, p.Limit), l.amount(p, p.Share), l.days(p.TauDays, 1), l.days(p.ReadyDay, 0)))
	}
	wordy(t)
	return t
}

// state is the answer for a piece in a word or two, and why.
func (l several) state(p answers.Piece) string {
	text := map[string]string{string(seasoning.May): l.Say("season.state-may"), string(seasoning.Stays): l.Say("season.state-stays")}[p.State]
	if text == "" {
		text = l.Say("season.not-told")
	}
	if len(p.Why) > 0 {
		text += ": " + l.reasons(p.Why)
	}
	return text
}

func (l several) figures() (list []shell.Figure) {
	g := l.Group
	if g == nil || g.TauDays == nil {
		return nil
	}
	tau := shell.Figure{Name: l.Say("season.tau-layer"), Value: l.days(g.TauDays, 1)}
	if g.Spread != nil {
		tau.Small = l.Say("season.spread", "factor", l.Number(*g.Spread, 2), "many", g.Pieces)
	}
	list = []shell.Figure{tau, {Name: l.Say("season.new-piece"), Value: l.days(g.ReadyDay, 0)}}
	if g.Expected != nil {
		list[1].Small = l.Say("season.expected", "day", *g.Expected)
	}
	return list
}

func (l several) sentinels() shell.Table {
	t := shell.Table{Title: l.Say("season.sentinels"), Heads: shell.Heads(l.Say("season.piece"), l.Say("season.answer"), l.Say("season.per-week"), l.Say("season.limit"))}
	words := map[string]string{"still": l.Say("season.state-still"), "moves": l.Say("season.state-moves")}
	week := func(x *float64, unit string) string {
		if x == nil {
			return l.Say("season.not-told")
		}
		return l.Signed(*x, 4) + unbroken + unit
	}
	for _, s := range l.Sentinels {
		state := words[s.State]
		if state == "" {
			state = l.Say("season.not-told")
		}
		limit := l.Say("season.not-told")
		if s.Limit != nil {
			limit = l.Number(*s.Limit, 4) + unbroken + s.Unit
		}
		t.Rows = append(t.Rows, shell.RowOf(s.Name, state, week(s.PerWeek, s.Unit), limit))
	}
	wordy(t)
	return t
}

// wordy sets the second column of a table to the left: it holds words.
func wordy(t shell.Table) {
	t.Heads[1].Figure = false
	for _, r := range t.Rows {
		r.Cells[1].Figure = false
	}
}

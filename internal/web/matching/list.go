package matching

import (
	"html/template"
	"math"
	"strings"
	"time"

	"slatewright/bed"
	"slatewright/bed/specfile"
	"slatewright/internal/caution"
	"slatewright/internal/picture/chart"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/sets"
	"slatewright/sets/answers"
	"slatewright/sets/stockfile"
)

const onList = at + "/list"

// times is how long a page looks for a better plan; the first is the usual one.
var times = []struct {
	value string
	long  time.Duration
	says  string
}{{"2", 2 * time.Second, "racks.two-seconds"}, {"10", 10 * time.Second, "racks.ten-seconds"}, {"40", 40 * time.Second, "racks.forty-seconds"}}

// listed asks about a stock that is given as a list.
func listed() shell.Question {
	return shell.Question{Path: onList, File: "match", Care: []caution.Topic{caution.Lifting, caution.Placing}, Longest: 90 * time.Second, Form: listForm, Answer: answerList,
		Examples: []shell.Example{{Files: map[string]string{"stock": "floor.csv", "orders": "orders.csv"}, Plain: map[string]string{"pass": "90"}}}}
}

func listForm(v *shell.Visit) shell.Asking {
	long := shell.ListChoice{Name: "time", Label: v.Say("racks.time"), Hint: v.Say("racks.time-hint"), Value: times[0].value}
	for _, t := range times {
		long.Choices = append(long.Choices, shell.ListChoice{Value: t.value, Label: v.Say(t.says)})
	}
	more := []shell.ListChoice{{Name: "pass", Label: v.Say("racks.pass"), Hint: v.Say("racks.pass-hint")}, {Name: "together", Label: v.Say("racks.together"), Hint: v.Say("racks.together-hint")}, {Name: "apart", Label: v.Say("racks.kept-from"), Hint: v.Say("racks.kept-from-hint")}, long}
	w := wish{Costs: sets.DefaultWeights()}
	for _, c := range costsOf(v, w) {
		more = append(more, shell.ListChoice{Name: c.Name, Label: v.Say("racks.counts", "what", c.Label), Value: c.Value})
	}
	return shell.Asking{Asks: v.Say("racks.list-asks"), About: v.Say("racks.list-about", "command", "slatewright match"),
		Form: shell.ListForm{Fields: []shell.ListField{{Name: "stock", Label: v.Say("racks.list-stock"), Hint: v.Say("racks.list-stock-hint")},
			{Name: "orders", Label: v.Say("racks.list-orders"), Hint: v.Say("racks.list-orders-hint")}, {Name: "spec", Label: v.Say("racks.list-spec"), Hint: v.Say("racks.list-spec-hint")},
			{Name: "before", Label: v.Say("racks.list-before"), Hint: v.Say("racks.list-before-hint")}}, More: more}}
}

// askOf makes the question of what was given.
func askOf(a shell.Asked) (q answers.Ask, err error) {
	q.Spec = bed.NineFoot()
	sized := !a.Lists.Lists["spec"].Empty()
	if sized {
		if q.Spec, err = specfile.Read(a.Lists.Lists["spec"].Name, a.Lists.Lists["spec"].Reader()); err != nil {
			return q, err
		}
		q.Room, q.Judged = answers.Room(q.Spec), true
	} else {
		q.Spec.EdgeBand, q.Spec.Lining = 0, 0
		q.Spec.Supports, q.Spec.Shims = [3][][2]float64{}, nil
	}
	list, err := a.Sheet("stock")
	if err != nil {
		return q, err
	}
	if q.Stock, err = stockfile.Read(list, stockfile.Terms{Spec: q.Spec, Sized: sized, Today: a.Now.Format(time.DateOnly)}); err != nil {
		return q, err
	}
	if !a.Lists.Lists["orders"].Empty() {
		list, err := a.Sheet("orders")
		if err != nil {
			return q, err
		}
		if q.Orders, err = stockfile.ReadOrders(list, q.Spec.Limits); err != nil {
			return q, err
		}
	}
	if before := a.Lists.Lists["before"]; !before.Empty() {
		if q.Before, err = stockfile.ReadBefore(before.Name, before.Reader()); err != nil {
			return q, err
		}
	}
	if q.Weights, err = weightsIn(a); err != nil {
		return q, err
	}
	return q, byHand(a, &q)
}

// byHand reads what is kept together and apart: groups of numbers joined by +, parted by blanks.
func byHand(a shell.Asked, q *answers.Ask) error {
	for _, how := range [2]string{"together", "apart"} {
		for _, group := range strings.Fields(a.Plain.Get(how)) {
			if err := q.Hand.Keep(how, strings.Split(group, "+"), how); err != nil {
				return err
			}
		}
	}
	return nil
}

// weightsIn are what counts, as it stands in the form.
func weightsIn(a shell.Asked) (sets.Weights, error) {
	w := wish{Costs: sets.DefaultWeights()}
	for _, c := range costsOf(a.Visit, w) {
		x, given, err := a.NumberIn(c.Name)
		if err != nil {
			return w.Costs, err
		}
		if given && (x < 0 || x > mostWeight) {
			return w.Costs, problem.New("bad-value", c.Name, a.Say("list.no-number", "typed", a.Plain.Get(c.Name)), a.Say("list.no-number-next"))
		}
		if given {
			*w.weights()[c.Name] = x
		}
	}
	return w.Costs, nil
}

func answerList(a shell.Asked) (shell.Reply, error) {
	q, err := askOf(a)
	if err != nil {
		return shell.Reply{}, err
	}
	long := times[0].long
	for _, t := range times {
		if t.value == a.Plain.Get("time") {
			long = t.long
		}
	}
	begun := time.Now()
	q.Stop = func(share float64) bool { return a.Stop() || time.Since(begun) > time.Duration(share*float64(long)) }
	q.Freeing = oneMore()
	q.Exchanges = 1
	pass, _, err := a.NumberIn("pass")
	if err == nil && (pass < 0 || pass > 100) {
		err = problem.New("bad-value", "pass", a.Say("list.no-number", "typed", a.Plain.Get("pass")), a.Say("list.no-number-next"))
	}
	if err != nil {
		return shell.Reply{}, err
	}
	q.Late.Pass = pass / 100
	q.Elastic = len(q.Spec.Shims) > 0
	found, err := q.Answer()
	if err != nil {
		return shell.Reply{}, err
	}
	m := matched{a.Visit, found}
	return m.reply(), nil
}

// matched is an answered list on its way to a page.
type matched struct {
	*shell.Visit
	*answers.Matched
}

func (m matched) reply() (out shell.Reply) {
	out.JSON = m.Matched
	n := len(m.Sets)
	out.Tone, out.Says = "good", m.Say("racks.list-sets", "n", n)
	if n == 0 {
		out.Tone, out.Says = "bad", m.Say("racks.no-set", "n", len(m.Unused))
	} else {
		out.Next = proofOf(m.Visit, m.Plan)
	}
	for _, o := range m.Orders {
		if !o.Met {
			out.Tone = "doubt"
			out.Next = m.Say("racks.short", "order", o.ID, "n", o.Sets, "of", o.Wanted) + " " + out.Next
		}
	}
	if n > 0 {
		out.Wide, out.Narrow = chart.Both(m.draw)
	}
	out.Caption, out.Figures, out.Notes = m.Say("racks.caption"), m.figures(), m.Warnings
	if m.Late != nil {
		out.Notes = append(append([]string{}, out.Notes...), m.Late.Warnings...)
	}
	out.Tables = m.tables()
	return out
}

func (m matched) draw(width float64) template.HTML {
	s := sketchIn(m.Visit)
	for k, x := range m.Sets {
		b := sketchBed{Letter: letter(k), IDs: [3]string{x.Head, x.Centre, x.Foot}, Turned: x.Turns, Quiet: x.Order == nil && len(m.Orders) > 0}
		if x.StepMM != nil {
			steps := m.Plan.Sets[k].Steps
			b.Joints = [2]string{m.Length(steps[0]), m.Length(steps[1])}
		}
		s.Beds = append(s.Beds, b)
	}
	s.Loose = m.Unused
	return s.draw(width)
}

func (m matched) figures() []shell.Figure {
	if len(m.Sets) == 0 {
		return nil
	}
	list := figuresOf(m.Visit, m.Plan, m.keeps(m.Limits.StepMM), m.keeps(m.Limits.ZoneMM), len(m.Question.Pieces))
	if s := m.Spread; s != nil {
		list = append(list, shell.Figure{Name: m.Say("racks.as-they-come"), Value: m.Length(s.RandomMM), Small: m.Say("racks.sorted", "mm", s.PlanMM)})
	}
	return list
}

// of writes a length that may not be known.
func (m matched) of(mm *float64) string {
	if mm == nil || math.IsNaN(*mm) {
		return "–"
	}
	return m.Length(*mm)
}

func (m matched) tables() (list []shell.Table) {
	if len(m.Sets) > 0 {
		list = append(list, m.setTable())
	}
	if t := m.exchangeTable(); len(t.Rows) > 0 {
		list = append(list, t)
	}
	if len(m.Left) > 0 {
		t := shell.Table{Title: m.Say("racks.left-over"), Heads: []shell.Cell{{Text: m.Word("kind", "piece")}, {Text: m.Say("racks.why")}}}
		for _, l := range m.Left {
			t.Rows = append(t.Rows, shell.Row{Cells: []shell.Cell{{Text: l.ID}, {Text: m.InWords(l.Why)}}})
		}
		list = append(list, t)
	}
	if len(m.OneMore) > 0 {
		t := shell.Table{Title: m.Say("racks.what-frees"), Heads: []shell.Cell{{Text: m.Say("racks.change")}, {Text: m.Say("racks.would-free")}}}
		for _, f := range m.OneMore {
			do, frees := m.freed(f)
			t.Rows = append(t.Rows, shell.Row{Cells: []shell.Cell{{Text: do}, {Text: frees}}})
		}
		list = append(list, t)
	}
	if m.Late != nil {
		list = append(list, m.lateTable())
	}
	return list
}

// lateTable says what matching late is worth: of pieces that pass one by one, more sets come of the same stone, and fewer spares are kept.
func (m matched) lateTable() shell.Table {
	l := m.Late
	t := shell.Table{Title: m.Say("racks.late"), Caption: m.Say("racks.late-about", "pass_percent", 100*l.PassRate, "n", l.Wanted, "sure_percent", 100*l.Sure) + " " + m.Word("place", "head") + " + " + m.Word("place", "centre") + " + " + m.Word("place", "foot"),
		Heads: shell.Heads(m.Say("racks.late-way"), m.Say("racks.late-share"), m.Say("racks.late-begin"), m.Say("racks.late-spares"))}
	for _, x := range []struct {
		key string
		way answers.LateWay
	}{{"racks.late-settled", l.Settled}, {"racks.late-fixed", l.Fixed}, {"racks.late-any", l.Any}} {
		t.Rows = append(t.Rows, shell.RowOf(m.Say(x.key), m.Percent(100*x.way.Share)).With(m.Number(float64(x.way.Pieces), 0), m.byPlace(x.way.Begin)).With(m.Number(float64(x.way.Spare), 0), m.byPlace(x.way.Spares)))
	}
	return t
}

// byPlace writes how many there are for head + centre + foot, as the caption says; "" where any piece takes any place.
func (m matched) byPlace(each [3]int) string {
	if each == [3]int{} {
		return ""
	}
	var list []string
	for _, n := range each {
		list = append(list, m.Number(float64(n), 0))
	}
	return strings.Join(list, " + ")
}

// keeps says what a limit is, and what of it is kept for doubt.
func (m matched) keeps(limit float64) string {
	if m.RoomMM > 0 {
		return m.Say("racks.limit-less", "limit_mm", limit, "mm", m.RoomMM)
	}
	return m.Say("racks.limit", "limit_mm", limit)
}

// setTable has a line for each set.
func (m matched) setTable() shell.Table {
	t := shell.Table{Title: m.Say("racks.sets"), Heads: []shell.Cell{{Text: m.Word("kind", "set")}, {Text: m.Say("racks.from-head")}, {Text: m.Say("racks.step"), Figure: true},
		{Text: m.Say("racks.zone"), Figure: true}, {Text: m.Say("racks.spread"), Figure: true}}}
	for k, s := range m.Sets {
		ids := [3]string{s.Head, s.Centre, s.Foot}
		pieces := shell.Cell{Text: strings.Join(ids[:], " · ")}
		for i, id := range ids {
			if s.Turns[i] {
				pieces.Small = join(pieces.Small, id+" "+m.Say("racks.turned"))
			}
		}
		row := shell.Row{Cells: []shell.Cell{{Text: letter(k)}, pieces}}
		if s.Order != nil {
			row.Cells[0].Text += " · " + *s.Order
		}
		t.Rows = append(t.Rows, row.With(m.of(s.StepMM), m.bent(s.ElasticStepMM)).With(m.of(s.ZoneMM), m.bent(s.ElasticZoneMM)).With(m.of(s.SpreadMM), ""))
	}
	return t
}

// mostExchanges is how many exchanges a page lists.
const mostExchanges = 60

// exchangeTable says for each place of each set what the best exchange would cost.
func (m matched) exchangeTable() shell.Table {
	t := shell.Table{Title: m.Say("racks.exchanges"), Heads: []shell.Cell{{Text: m.Word("kind", "set")}, {Text: m.Say("racks.goes")}, {Text: m.Say("racks.comes")}, {Text: m.Say("racks.in-all"), Figure: true}}}
	for k, s := range m.Sets {
		for _, x := range s.Exchanges {
			from := m.Say("racks.from-left")
			if x.FromSet != nil && *x.FromSet-1 == k {
				from = m.Say("racks.change-places")
			} else if x.FromSet != nil {
				from = m.Say("racks.from-set", "set", letter(*x.FromSet-1))
			}
			if len(t.Rows) < mostExchanges {
				t.Rows = append(t.Rows, shell.Row{Cells: []shell.Cell{{Text: letter(k)}, {Text: x.Out, Small: m.Word("place", x.Place)}, {Text: x.In, Small: from}, {Text: m.Signed(x.MoreCost, 3), Figure: true}}})
			}
		}
	}
	return t
}

// bent is a figure as stone that bends has it, "" where it was not laid so.
func (m matched) bent(mm *float64) string {
	if mm == nil {
		return ""
	}
	return m.Say("racks.bent", "mm", *mm)
}

// freed is one change, and what it would free.
func (m matched) freed(f answers.Freed) (do, frees string) {
	var each []string
	for _, c := range f.Changes {
		act := map[string]sets.Act{"regrind": sets.Regrind, "recut": sets.Recut, "one more": sets.OneMore}[c.Act]
		each = append(each, changeIn(m.Visit, act, c.Piece, c.Place))
	}
	return inTurn(each), freesIn(m.Visit, f.MoreSets, f.Orders, f.MoreCost)
}

package matching

import (
	"html/template"
	"math"

	"slatewright/bed"
	"slatewright/internal/book"
	"slatewright/internal/picture/chart"
	"slatewright/internal/web/shell"
	"slatewright/sets/learned"
)

const onLearned = at + "/learned"

// learnedRooms are what lay-ups have taught to keep from the limits: the next proposal does. 0 as long as they are too few.
func (r room) learnedRooms(v *shell.Visit) rooms {
	list, err := r.lessons.all(v.R.Context(), v.Ledger, v.Blobs)
	if err != nil {
		return rooms{} // the racks are there all the same; the page of what was learned says what is wrong
	}
	return rooms{learned.From(stepsOf(list)).Room, learned.From(zonesOf(list)).Room}
}

// taught is the page of what lay-ups have taught.
type taught struct {
	Answer *shell.Answer
	Back   shell.Anchor
}

func (r room) learned(v *shell.Visit) error {
	list, err := r.lessons.all(v.R.Context(), v.Ledger, v.Blobs)
	if err != nil {
		return err
	}
	p := taught{Back: shell.Anchor{Path: at, Says: v.Say("racks.asks")}}
	if len(list) > 0 {
		t := teaching{v, list, learned.From(stepsOf(list)), learned.From(zonesOf(list)), bed.NineFoot()}
		p.Answer = t.answer()
	}
	return v.Show(shell.Page{Name: "matching/learned", Title: v.Say("racks.learned-asks"), Here: string(book.Sets), Data: p})
}

// teaching is what was learned on its way to a page.
type teaching struct {
	*shell.Visit
	list        []lesson
	steps, zone learned.Answer
	spec        bed.Spec
}

func (t teaching) answer() *shell.Answer {
	a := &shell.Answer{Caption: t.Say("racks.learned-caption"), Figures: t.figures(), Tables: []shell.Table{t.table()}}
	switch s := t.steps; {
	case !s.Enough:
		a.Tone, a.Says, a.Next = "doubt", t.Say("racks.learned-few", "n", s.N), t.Say("racks.learned-few-next", "of", learned.Few)
	case s.BiasWithin.Low > 0:
		a.Tone, a.Says = "doubt", t.Say("racks.learned-worse", "mm", s.Bias, "n", s.N)
	case s.BiasWithin.High < 0:
		a.Tone, a.Says = "good", t.Say("racks.learned-better", "mm", -s.Bias, "n", s.N)
	default:
		a.Tone, a.Says = "good", t.Say("racks.learned-as-foretold", "n", s.N)
	}
	if t.steps.Enough {
		a.Next = t.Say("racks.learned-room", "mm", max(t.steps.Room, roomOf(t.spec)))
		if t.steps.Room < roomOf(t.spec) {
			a.Next = t.Say("racks.learned-room-usual", "mm", roomOf(t.spec))
		}
	}
	a.Notes = append(append([]string{}, t.steps.Warnings...), t.zone.Warnings...)
	a.Wide, a.Narrow = chart.Both(t.draw)
	return a
}

// figures are bias and spread of read less foretold, of steps and of zones.
func (t teaching) figures() (list []shell.Figure) {
	for _, x := range []struct {
		key string
		learned.Answer
	}{{"racks.step", t.steps}, {"racks.zone", t.zone}} {
		if x.N == 0 {
			continue
		}
		bias := shell.Figure{Name: t.Say("racks.bias", "what", t.Say(x.key)), Value: t.signed(x.Bias)}
		sd := shell.Figure{Name: t.Say("racks.sd", "what", t.Say(x.key)), Value: "–"}
		if x.N > 1 {
			bias.Small = t.Say("racks.within-90", "low", t.signed(x.BiasWithin.Low), "high", t.signed(x.BiasWithin.High))
			sd.Value, sd.Small = t.Length(x.SD), t.Say("racks.within-90", "low", t.Length(x.SDWithin.Low), "high", t.Length(x.SDWithin.High))
		}
		list = append(list, bias, sd)
	}
	return list
}

// signed writes a length with its sign.
func (t teaching) signed(mm float64) string {
	if mm > 0 {
		return "+" + t.Length(mm)
	}
	return t.Length(mm)
}

// of writes a length that may not be known.
func (t teaching) of(mm float64) string {
	if math.IsNaN(mm) {
		return "–"
	}
	return t.Length(mm)
}

// table has a line for each set, the latest first.
func (t teaching) table() shell.Table {
	table := shell.Table{Title: t.Say("racks.set-by-set"), Heads: shell.Heads(t.Word("kind", "set"), t.Say("racks.laid-up"), t.Say("racks.step-read"), t.Say("racks.zone-judged"))}
	for i := len(t.list) - 1; i >= 0; i-- {
		x := t.list[i]
		table.Rows = append(table.Rows, shell.RowOf(x.Set, t.Day(x.Day)).With(t.of(x.Step), t.foretold(x.StepForetold, x.Step)).With(t.of(x.Zone), t.foretold(x.ZoneForetold, x.Zone)))
	}
	return table
}

// foretold says what was foretold, and how far off that was.
func (t teaching) foretold(mm, found float64) string {
	switch {
	case math.IsNaN(mm):
		return ""
	case math.IsNaN(found):
		return t.Say("racks.foretold", "mm", mm)
	}
	return t.Say("racks.foretold-off", "mm", mm, "off", t.signed(found-mm))
}

// draw shows what was read over what was foretold: on the slanting line both are the same.
func (t teaching) draw(width float64) template.HTML {
	far := t.spec.Limits.Step
	for _, x := range t.list {
		for _, mm := range []float64{x.Step, x.StepForetold} {
			if mm > far {
				far = mm
			}
		}
	}
	const left, right, top, foot, high = 64.0, 18.0, 28.0, 40.0, 330.0
	p := chart.Plot{Pen: chart.New(width, high, t.Say("racks.learned-picture")), X: chart.Axis{Low: 0, High: far * 1.08, From: left, To: width - right}, Y: chart.Axis{Low: 0, High: far * 1.08, From: high - foot, To: top}}
	unit, name := 1.0, "mm"
	if shell.SmallUnit(t.Words) == "thou" {
		unit, name = 0.0254, "thou"
	}
	p.Grid(t.Words, unit, unit, t.Say("racks.axis-foretold", "unit", name), t.Say("racks.axis-read", "unit", name))
	p.Curve("trend", [][2]float64{{0, 0}, {far * 1.08, far * 1.08}}, false)
	p.Level("limit", t.spec.Limits.Step)
	odd := map[int]bool{}
	for _, i := range t.steps.Outliers {
		odd[i] = true
	}
	for i, x := range t.list {
		if math.IsNaN(x.StepForetold) {
			continue
		}
		mark := 0
		if odd[i] {
			mark = 1
		}
		px, py := p.X.At(x.StepForetold), p.Y.At(x.Step)
		p.Mark(mark, px, py, 5)
		p.Block(px, py, 6)
	}
	for i, x := range t.list {
		if odd[i] || i == len(t.list)-1 {
			p.Label("label", p.X.At(x.StepForetold), p.Y.At(x.Step), x.Set, false)
		}
	}
	return p.End()
}

package surfacing

import (
	"fmt"
	"io"

	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/surfacing/passes/answers"
	"slatewright/trouble"
)

// passPlan prints a plan of passes.
type passPlan struct{ *answers.Report }

// Outcome is Refused where no plan keeps the limits, and CannotTell where the thickness leaves it open.
func (p passPlan) Outcome() verb.Outcome {
	switch p.Report.Outcome {
	case "no plan":
		return verb.Refused
	case "cannot tell":
		return verb.CannotTell
	}
	return verb.Done
}

// Print writes the plan for people.
func (p passPlan) Print(w io.Writer) {
	fmt.Fprintf(w, "%s\n%s\n", p.Machine, p.headline())
	if p.Plan != nil {
		p.layings(w)
		verb.Section(w, "What it comes to")
		p.totals(w)
		p.flat(w)
	}
	for _, h := range p.Stopped {
		fmt.Fprintf(w, "\n%s", verb.Wrap(fmt.Sprintf("%s: %s. It would be freed by %s.", h.Limit, h.What, h.Frees), "  ", "    ", verb.Width))
	}
	for _, h := range p.broken() {
		fmt.Fprintf(w, "\n%s", verb.Wrap(fmt.Sprintf("By the rule of thumb, %s.", h.What), "  ", "    ", verb.Width))
	}
	verb.PrintWarnings(w, p.Warnings)
}

// broken are the limits that the rule of thumb does not keep: worth saying where a plan stands beside it.
func (p passPlan) broken() []answers.Hindrance {
	if p.Plan == nil {
		return nil
	}
	return p.Rule.Breaks
}

func (p passPlan) headline() string {
	switch {
	case p.Plan == nil:
		return "No plan keeps the limits"
	case p.Report.Outcome == "cannot tell":
		return "Cannot tell whether the thickness is there; the plan if it is"
	case p.LastCut:
		return "A plan, and the last cut of this piece"
	}
	return fmt.Sprintf("A plan of %s", trouble.Count(p.Plan.Rounds, "round", "rounds"))
}

func (p passPlan) layings(w io.Writer) {
	for i, s := range p.Plan.Setups {
		turned := ""
		if s.Turned {
			turned = "turn it over, "
		}
		fmt.Fprintf(w, "\n%d. %sthe %s, %s: %s mm on average, %s min\n", i+1, turned, s.Face, s.Hold, measure.Decimal(s.Mean, 2), measure.Decimal(s.Minutes, 0))
		rows := [][]string{{"stage", "set to", "m/min", "min", "kW", "wears µm"}}
		for _, q := range s.Passes {
			set := measure.Decimal(q.Depth, 2) + " mm"
			if q.Spark {
				set = "spark out"
			}
			rows = append(rows, []string{q.Stage, set, measure.Decimal(q.Feed, 2), measure.Decimal(q.Minutes, 1), measure.Decimal(q.Power, 1), measure.Decimal(q.Wear*1000, 0)})
		}
		verb.Table(w, 1, rows...)
	}
}

// totals shows the plan beside the rule of thumb.
func (p passPlan) totals(w io.Writer) {
	a, b := p.Plan, p.Rule
	rows := [][]string{{"", "this plan", "rule of thumb"}, {"rounds", fmt.Sprint(a.Rounds), fmt.Sprint(b.Rounds)}, {"minutes", measure.Decimal(a.Minutes, 0), measure.Decimal(b.Minutes, 0)}}
	if a.Cost != nil {
		rows = append(rows, []string{"cost, " + currency(a), measure.Decimal(*a.Cost, 2), measure.Decimal(*b.Cost, 2)},
			[]string{"  of it bits", measure.Decimal(*a.BitsCost, 2), measure.Decimal(*b.BitsCost, 2)})
	}
	rows = append(rows, []string{"water, l", measure.Decimal(a.Water, 0), measure.Decimal(b.Water, 0)}, []string{"energy, kWh", measure.Decimal(a.Energy, 1), measure.Decimal(b.Energy, 1)},
		[]string{"greatest power, kW", measure.Decimal(a.Peak, 1), measure.Decimal(b.Peak, 1)})
	for _, t := range a.Bits {
		other := "–"
		for _, u := range b.Bits {
			if u.Stage == t.Stage {
				other = measure.Decimal(u.Wear, 3)
			}
		}
		rows = append(rows, []string{"bits of " + t.Stage + ", mm", measure.Decimal(t.Wear, 3), other})
	}
	if a.Thickness != nil {
		rows = append(rows, []string{"thickness, mm", bracketed(a.Thickness.Value, a.Thickness.Low, a.Thickness.High), bracketed(b.Thickness.Value, b.Thickness.Low, b.Thickness.High)})
	}
	for _, f := range []struct {
		name string
		a, b *answers.Flatness
	}{{"top from flat, mm", a.Top, b.Top}, {"bottom from flat, mm", a.Bottom, b.Bottom}} {
		if f.a != nil {
			rows = append(rows, []string{f.name, flatWords(f.a), flatWords(f.b)})
		}
	}
	verb.Table(w, 1, rows...)
	if p.Unasked != nil {
		fmt.Fprintf(w, "\n  without a number of rounds asked: %s, %s min", trouble.Count(p.Unasked.Rounds, "round", "rounds"), measure.Decimal(p.Unasked.Minutes, 0))
		if p.Unasked.Cost != nil {
			fmt.Fprintf(w, ", %s", measure.Decimal(*p.Unasked.Cost, 2))
		}
		fmt.Fprintln(w)
	}
	if l := p.Left; l != nil {
		fmt.Fprintf(w, "\n  %s mm stay above the least thickness, standard uncertainty %s mm\n", measure.Decimal(l.Above, 3), measure.Decimal(l.U, 3))
	}
}

func currency(p *answers.Plan) string {
	if p.Currency == "" {
		return "in the mill's money"
	}
	return p.Currency
}

func bracketed(v, low, high float64) string {
	return fmt.Sprintf("%s (%s to %s)", measure.Decimal(v, 2), measure.Decimal(low, 2), measure.Decimal(high, 2))
}

func flatWords(f *answers.Flatness) string {
	if f == nil || f.Value == nil {
		return "cannot tell"
	}
	return fmt.Sprintf("about %s, at most %s", measure.Decimal(*f.Value, 3), measure.Decimal(*f.High, 3))
}

// flat shows what the top's flatness is made of.
func (p passPlan) flat(w io.Writer) {
	f := p.Plan.Top
	if f == nil {
		f = p.Plan.Bottom
	}
	verb.Section(w, "What keeps it from flat")
	rows := [][]string{{"", "about mm", "at most mm"}}
	for _, t := range f.Parts {
		rows = append(rows, []string{t.Cause, measure.Decimal(t.Value, 3), measure.Decimal(t.High, 3)})
	}
	verb.Table(w, 1, rows...)
}

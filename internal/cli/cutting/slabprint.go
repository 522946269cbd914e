package cutting

import (
	"fmt"
	"io"
	"strconv"

	"slatewright/cutting/slab/answers"
	"slatewright/internal/caution"
	"slatewright/internal/cli/verb"
	"slatewright/measure"
)

// slabReport prints a plan.
type slabReport struct{ *answers.Plan }

// Outcome is Refused where nothing fits, and CannotTell where better plans may exist.
func (r slabReport) Outcome() verb.Outcome { return outcome(r.State) }

func outcome(s answers.State) verb.Outcome {
	switch s {
	case answers.Nothing:
		return verb.Refused
	case answers.Bounded:
		return verb.CannotTell
	}
	return verb.Done
}

// amount prints a value with the decimals that it needs.
func amount(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func worth(s answers.State, value, bound, gap float64) string {
	switch s {
	case answers.Nothing:
		return "Nothing fits"
	case answers.Proven:
		return fmt.Sprintf("Value %s; no plan is worth more", amount(value))
	}
	if value == 0 {
		return fmt.Sprintf("No plan was found in this time; none is worth more than %s", measure.Decimal(bound, 2))
	}
	return fmt.Sprintf("Value %s; no plan is worth more than %s (gap %s %%)", amount(value), measure.Decimal(bound, 2), measure.Decimal(100*gap, 1))
}

// ordersReport prints which slab goes to which order.
type ordersReport struct{ *answers.Choice }

// Outcome is that of a plan.
func (r ordersReport) Outcome() verb.Outcome { return outcome(r.State) }

// Print writes the choice for people.
func (r ordersReport) Print(w io.Writer) {
	fmt.Fprintf(w, "%s\n%s\n\n", r.File, worth(r.State, r.Value, r.Bound, r.Gap))
	rows := [][]string{{"slab", "order", "value", "at most"}}
	for _, g := range r.Given {
		if g.Order == nil {
			rows = append(rows, []string{g.Slab, "none", "", ""})
			continue
		}
		rows = append(rows, []string{g.Slab, *g.Order, amount(g.Plan.Value), amount(g.Plan.Bound)})
	}
	verb.Table(w, 2, rows...)
	verb.Section(w, "Every slab for every order")
	rows = [][]string{{"slab", "order", "value", "at most"}}
	for _, p := range r.Table {
		rows = append(rows, []string{p.Slab, p.Order, amount(p.Value), amount(p.Bound)})
	}
	verb.Table(w, 2, rows...)
	for _, g := range r.Given {
		if g.Plan != nil && len(g.Plan.Pieces) > 0 {
			verb.Section(w, fmt.Sprintf("%s for %s: start angle %.4g°, kerf %g", g.Slab, *g.Order, g.Plan.Angle, g.Plan.Kerf))
			slabReport{g.Plan}.tables(w)
			verb.PrintWarnings(w, g.Plan.Warnings)
		}
	}
	verb.PrintWarnings(w, r.Warnings)
	if r.State != answers.Nothing {
		verb.Care(w, []caution.Topic{caution.Machines, caution.Dust, caution.Lifting})
	}
}

// Print writes the plan for people.
func (r slabReport) Print(w io.Writer) {
	fmt.Fprintln(w, r.File)
	fmt.Fprintln(w, worth(r.State, r.Value, r.Bound, r.Gap))
	if len(r.Pieces) > 0 {
		fmt.Fprintf(w, "%s %% of the slab becomes pieces; start angle %.4g°, kerf %g\n\n", measure.Decimal(100*r.Used, 1), r.Angle, r.Kerf)
		r.tables(w)
	}
	verb.PrintWarnings(w, r.Warnings)
	if len(r.Pieces) > 0 {
		verb.Care(w, []caution.Topic{caution.Machines, caution.Dust, caution.Lifting})
	}
}

func (r slabReport) tables(w io.Writer) {
	rows := [][]string{{"piece", "x", "y", "along", "across", "turn"}}
	for _, p := range r.Pieces {
		turn := fmt.Sprintf("%d°", p.Quarters)
		if p.Over {
			turn += " over"
		}
		rows = append(rows, []string{p.Type, mm(p.X), mm(p.Y), mm(p.Along), mm(p.Across), turn})
	}
	verb.Table(w, 1, rows...)
	fmt.Fprintln(w)
	rows = [][]string{{"cut", "way", "setting", "from x", "y", "to x", "y"}}
	for _, c := range r.Cuts {
		rows = append(rows, []string{strconv.Itoa(c.Order), c.Way, mm(c.Setting), mm(c.X1), mm(c.Y1), mm(c.X2), mm(c.Y2)})
	}
	verb.Table(w, 2, rows...)
}

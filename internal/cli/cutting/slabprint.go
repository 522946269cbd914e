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
func (r slabReport) Outcome() verb.Outcome {
	switch r.State {
	case answers.Nothing:
		return verb.Refused
	case answers.Bounded:
		return verb.CannotTell
	}
	return verb.Done
}

// amount prints a value with the decimals that it needs.
func amount(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// Print writes the plan for people.
func (r slabReport) Print(w io.Writer) {
	fmt.Fprintln(w, r.File)
	switch {
	case r.State == answers.Nothing:
		fmt.Fprintln(w, "Nothing fits")
	case r.Proven:
		fmt.Fprintf(w, "Value %s; no plan is worth more\n", amount(r.Value))
	default:
		fmt.Fprintf(w, "Value %s; no plan is worth more than %s (gap %s %%)\n", amount(r.Value), measure.Decimal(r.Bound, 2), measure.Decimal(100*r.Gap, 1))
	}
	if len(r.Pieces) > 0 {
		fmt.Fprintf(w, "%s %% of the slab becomes pieces; start angle %g°, kerf %g\n\n", measure.Decimal(100*r.Used, 1), r.Angle, r.Kerf)
		r.tables(w)
	}
	verb.PrintWarnings(w, r.Warnings)
	if len(r.Pieces) > 0 {
		care(w, []caution.Topic{caution.Machines, caution.Dust, caution.Lifting})
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

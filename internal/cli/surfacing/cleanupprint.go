package surfacing

import (
	"fmt"
	"io"
	"math"
	"strings"

	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/surfacing/cleanup"
	"slatewright/surfacing/cleanup/answers"
)

// outcome is the exit status of an answer.
func outcome(a cleanup.Answer) verb.Outcome {
	return [...]verb.Outcome{cleanup.Possible: verb.Done, cleanup.Impossible: verb.Refused, cleanup.Unsure: verb.CannotTell}[a]
}

type slabReport struct{ *answers.Slab }

// Outcome is Refused where no clean-up is possible, and CannotTell where the doubt straddles what is asked.
func (r slabReport) Outcome() verb.Outcome { return outcome(r.Answer()) }

// mm prints a length to a micrometre.
func mm(v float64) string { return measure.Decimal(v, 3) }

// both prints a thickness in mm and in inches.
func both(v float64) string { return mm(v) + " mm (" + measure.Decimal(v/25.4, 4) + " in)" }

func between(v [2]float64) string {
	if v[0] == v[1] {
		return "no doubt is known"
	}
	return mm(v[0]) + " to " + mm(v[1]) + " mm (95 %)"
}

// Print writes the answer for people.
func (r slabReport) Print(w io.Writer) {
	if r.Name != "" {
		fmt.Fprintln(w, r.Name)
	}
	printFace(w, "top", r.Top)
	printFace(w, "bottom", r.Bottom)
	fmt.Fprintf(w, "tied by %s\n\n%s", r.tie(), verb.Wrap(r.headline(), "", "", verb.Width))
	verb.Section(w, "The thickest parallel planes inside the slab")
	rows := [][2]string{{"thickness", both(r.ThicknessMM) + ", " + between(r.IntervalMM)}}
	if less := r.Allowances.DamageTop + r.Allowances.DamageBottom + r.Allowances.Movement; less > 0 {
		rows = append(rows, [2]string{"less damage, movement", mm(less) + " mm"}, [2]string{"can be left", both(r.AvailableMM) + ", " + between(r.AvailableIn)})
	}
	for i, c := range r.Governing {
		name := ""
		if i == 0 {
			name = "held by"
		}
		rows = append(rows, [2]string{name, "the " + c.Face + " at " + spot(c.X, c.Y)})
	}
	proof := "proven: no planes inside it are thicker"
	if !r.ProofOK {
		proof = "not proven: between " + mm(r.Proof.LowMM) + " and " + mm(r.Proof.HighMM) + " mm"
	}
	rows = append(rows, [2]string{"proof", fmt.Sprintf("%s (%d passes over the readings)", proof, r.Proof.Passes)},
		[2]string{"tilt", fmt.Sprintf("%s mm/m along, %s mm/m across", mm(r.AlongMMPerM), mm(r.AcrossMMPerM))})
	verb.Columns(w, rows)
	r.printPlan(w)
	verb.PrintWarnings(w, r.Warnings)
}

func printFace(w io.Writer, name string, f *answers.Face) {
	if f == nil {
		return
	}
	state := f.State
	if f.GravityMM != nil {
		state = "free: " + mm(*f.GravityMM) + " mm of gravity taken off"
	}
	fmt.Fprintf(w, "%s: %s, %d readings, %s\n", name, f.File, f.Readings, state)
}

func (r slabReport) tie() string {
	switch r.Tie.By {
	case "zero":
		return "the zeros of the gauge"
	case "frame":
		return "the piece frame"
	}
	return fmt.Sprintf("%d caliper thicknesses", r.Tie.Calipers)
}

// headline is the answer in one sentence.
func (r slabReport) headline() string {
	need := ""
	if r.NeedMM != nil {
		need = " at " + measure.FormatRounded(*r.NeedMM, measure.MM, 3)
	}
	switch r.Answer() {
	case cleanup.Possible:
		return "A clean-up is possible" + need
	case cleanup.Unsure:
		return "Cannot tell whether a clean-up is possible" + need + ": it lies within the doubt"
	}
	if r.MissingMM == nil && r.Left != nil {
		return "No clean-up is allowed" + need + ": " + r.Left.Words
	}
	missing := 0.0
	if r.MissingMM != nil {
		missing = *r.MissingMM
	}
	text := "No clean-up possible" + need + ": " + mm(missing) + " mm is missing"
	if len(r.Governing) > 0 {
		text += ", between " + places(r.Governing)
	}
	return text
}

// places names the readings that govern.
func places(list []answers.Contact) string {
	var parts []string
	for _, name := range []string{"top", "bottom"} {
		var at []string
		for _, c := range list {
			if c.Face == name {
				at = append(at, spot(c.X, c.Y))
			}
		}
		parts = append(parts, "the "+name+" at "+strings.Join(at, ", "))
	}
	return strings.Join(parts, " and ")
}

func spot(x, y float64) string {
	return "(" + measure.Decimal(x, 0) + ", " + measure.Decimal(y, 0) + ")"
}

func (r slabReport) printPlan(w io.Writer) {
	if r.Answer() == cleanup.Impossible {
		return
	}
	title := "What comes off"
	if r.CutToMM != r.FinishMM {
		title += ", down to " + mm(r.CutToMM) + " mm now and " + mm(r.FinishMM) + " mm after the movement"
	} else {
		title += ", down to " + mm(r.CutToMM) + " mm"
	}
	verb.Section(w, title)
	split := "as the planes demand"
	if r.Equal {
		split = "as much off the top as off the bottom"
	}
	rows := [][2]string{{"off the top", off(r.OffTop)}, {"off the bottom", off(r.OffBottom)}, {"split", split}}
	if l := r.Left; l != nil {
		words := l.Words
		if l.XMM != nil {
			words += fmt.Sprintf(" (± %s, 95 %%), at the thinnest caliper place %s, which read %s mm", mm(1.96**l.UMM), spot(*l.XMM, *l.YMM), mm(*l.ReadMM))
		}
		rows = append(rows, [2]string{"what stays", words})
	}
	verb.Columns(w, rows)
}

func off(o answers.Off) string {
	return fmt.Sprintf("%s to %s mm, %s on average", mm(o.Min), mm(o.Max), mm(o.Mean))
}

type setReport struct{ *answers.Set }

// Outcome is that of the piece that does worst.
func (r setReport) Outcome() verb.Outcome { return outcome(r.Set.Answer()) }

// Print writes the answer for people.
func (r setReport) Print(w io.Writer) {
	fmt.Fprintf(w, "%d pieces can have %s in common, %s; %s has the least to give\n\n", len(r.Pieces), both(r.CommonMM), between(r.CommonIn), r.HeldBy)
	rows := [][]string{{"piece", "can be left mm", "off top mm", "to", "mean", "off bottom mm", "to", "mean", ""}}
	for _, p := range r.Pieces {
		row := []string{p.Name, mm(p.AvailableMM)}
		for _, o := range []answers.Off{p.OffTop, p.OffBottom} {
			row = append(row, mm(o.Min), mm(o.Max), mm(o.Mean))
		}
		if p.Equal {
			row = append(row, "equal")
		}
		rows = append(rows, row)
	}
	verb.Table(w, 1, rows...)
	for _, p := range r.Pieces {
		if p.Left != nil {
			fmt.Fprintf(w, "\n  %s: %s", p.Name, p.Left.Words)
		}
	}
	fmt.Fprintln(w)
	verb.PrintWarnings(w, append(append([]string{}, r.Warnings...), named(r.Pieces)...))
}

// named are the warnings of several slabs, each once where all have it.
func named(slabs []*answers.Slab) (list []string) {
	count := map[string]int{}
	for _, p := range slabs {
		for _, text := range p.Warnings {
			count[text]++
		}
	}
	for i, p := range slabs {
		for _, text := range p.Warnings {
			switch {
			case count[text] < len(slabs):
				list = append(list, p.Name+": "+text)
			case i == 0:
				list = append(list, text)
			}
		}
	}
	return list
}

type stockReport struct{ *answers.Stock }

// Outcome is Refused where a slab gives no finish of the list, and CannotTell where that cannot be told.
func (r stockReport) Outcome() verb.Outcome { return outcome(r.Stock.Answer()) }

// Print writes the answer for people.
func (r stockReport) Print(w io.Writer) {
	head := []string{"slab", "planes mm", "to", "best"}
	for _, size := range r.SizesMM {
		head = append(head, measure.Decimal(size, decimals(size)))
	}
	rows := [][]string{head}
	for _, s := range r.Slabs {
		row := []string{s.Name, bound(s.Interval[0]), bound(s.Interval[1]), "none"}
		if s.BestMM != nil {
			row[3] = measure.Decimal(*s.BestMM, decimals(*s.BestMM))
		}
		for i, a := range s.Gives {
			row = append(row, short(a, s.Missing[i]))
		}
		rows = append(rows, row)
	}
	verb.Table(w, 1, rows...)
	fmt.Fprintf(w, "\nA number is how much may be missing, mm; ? is where it cannot be told.\n")
	fmt.Fprintf(w, "%s", verb.Wrap("It rests on "+r.Proves+".", "", "", verb.Width))
	if r.Allowance > 0 {
		fmt.Fprintf(w, "%s mm for damage, movement and reserve is left out of the planes for each finish.\n", mm(r.Allowance))
	}
	verb.PrintWarnings(w, append(append([]string{}, r.Warnings...), r.named()...))
}

// named are the warnings of the slabs, once where all have them.
func (r stockReport) named() []string {
	var list []*answers.Slab
	for _, s := range r.Slabs {
		list = append(list, &answers.Slab{Name: s.Name, Warnings: s.Warnings})
	}
	return named(list)
}

func decimals(v float64) int {
	if v == math.Trunc(v) {
		return 0
	}
	return 1
}

func bound(v *float64) string {
	if v == nil {
		return "?"
	}
	return mm(*v)
}

func short(answer string, missing *float64) string {
	switch {
	case answer == cleanup.Possible.String():
		return "yes"
	case answer == cleanup.Unsure.String() && missing != nil:
		return "? " + mm(*missing)
	case answer == cleanup.Unsure.String():
		return "?"
	case missing != nil:
		return "no " + mm(*missing)
	}
	return "no"
}

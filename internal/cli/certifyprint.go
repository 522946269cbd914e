package cli

import (
	"fmt"
	"io"
	"math"

	"slatewright/certificate"
	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/internal/paper/desk"
	"slatewright/measure"
)

// program is what certificates say made them.
const program = "slatewright " + Version

// certifyReport is the answer.
type certifyReport struct {
	Set        string                  `json:"set"`
	Verdict    string                  `json:"verdict"`
	DecidedBy  string                  `json:"decided_by"`
	Demo       bool                    `json:"demo"`
	Basis      string                  `json:"basis"`
	Results    []certificate.Result    `json:"results"`
	Next       certificate.Step        `json:"next_step"`
	Hindrances []certificate.Hindrance `json:"hindrances"`
	Support    certificate.Support     `json:"support"`
	Files      []string                `json:"files"`
	Answers    map[string]string       `json:"answers,omitempty"` // the mill's own, when a book was named
	Recorded   bool                    `json:"recorded,omitempty"`
	Warnings   []string                `json:"warnings"`
	set        *desk.Set
}

func newCertifyReport(set *desk.Set) *certifyReport {
	b, f := set.Body, set.Body.Found
	return &certifyReport{Set: b.Set, Verdict: f.Verdict, DecidedBy: f.DecidedBy, Demo: b.Demo(), Basis: f.Basis, Results: f.Results, Next: f.Next,
		Hindrances: append([]certificate.Hindrance{}, f.Hindrances...), Support: f.Support, Files: []string{},
		Warnings: append([]string{}, f.Warnings...), set: set}
}

func (r *certifyReport) Print(w io.Writer) {
	if r.Demo {
		fmt.Fprintf(w, "%s\n\n", r.set.Body.Mark)
	}
	fmt.Fprintf(w, "Set %s: %s, %s\n", r.Set, r.Verdict, r.Basis)
	fmt.Fprint(w, verb.Wrap(r.set.Reason(), "  ", "  ", verb.Width))
	fmt.Fprintf(w, "\n  %-18s %9s  %9s  %9s  %11s  %s\n", "", "value", "U (k=2)", "limit", "probability", "")
	for _, x := range r.set.Results() {
		limit := "≤ "
		if x.AtLeast {
			limit = "≥ "
		}
		probability := math.NaN()
		if x.Probability != nil {
			probability = *x.Probability
		}
		fmt.Fprintf(w, "  %-18s %9s  %9s  %9s  %11s  %s\n", x.Name, figure(x.Value, 3), figure(x.U, 3), limit+figure(x.Limit, 3), figure(probability, 4), x.Verdict)
	}
	fmt.Fprint(w, "  mm; the probability that the true value conforms\n")
	for _, h := range r.Hindrances {
		fmt.Fprintf(w, "\n%s", verb.Wrap(h.Of+": "+h.Reason, "Hindrance: ", "           ", verb.Width))
	}
	fmt.Fprintf(w, "\n%s", verb.Wrap(r.Next.Text+" "+r.Next.Reason, "Next: ", "      ", verb.Width))
	opened.PrintAnswers(w, r.Answers)
	if r.Recorded {
		fmt.Fprint(w, "\nThe verdict stands in the book.\n")
	}
	for _, f := range r.Files {
		fmt.Fprintf(w, "\nWrote %s", f)
	}
	if len(r.Files) > 0 {
		fmt.Fprintln(w)
	}
	verb.PrintWarnings(w, r.Warnings)
}

// figure is one number of the table, or a dash where there is none.
func figure(x float64, decimals int) string {
	if math.IsNaN(x) {
		return "–"
	}
	return measure.Decimal(x, decimals)
}

func (r *certifyReport) Outcome() verb.Outcome { return verb.OutcomeOf(r.set.Verdict()) }

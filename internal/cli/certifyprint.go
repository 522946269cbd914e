package cli

import (
	"fmt"
	"io"

	"slatewright/certificate"
	"slatewright/internal/paper"
	"slatewright/judge"
	"slatewright/measure"
)

// program is what certificates say made them.
const program = "slatewright " + Version

// reseatStep is the advice that compose follows by itself.
const reseatStep = judge.Reseat

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
	Warnings   []string                `json:"warnings"`
	reason     string
}

func newCertifyReport(b certificate.Body) *certifyReport {
	f := b.Found
	p := &papers{body: b}
	return &certifyReport{Set: b.Set, Verdict: f.Verdict, DecidedBy: f.DecidedBy, Demo: b.Demo(), Basis: f.Basis, Results: f.Results, Next: f.Next,
		Hindrances: append([]certificate.Hindrance{}, f.Hindrances...), Support: f.Support, Files: []string{},
		Warnings: append([]string{}, f.Warnings...), reason: p.reason()}
}

func (r *certifyReport) print(w io.Writer) {
	if r.Demo {
		fmt.Fprintf(w, "%s\n\n", certificate.Invented)
	}
	fmt.Fprintf(w, "Set %s: %s, %s\n", r.Set, r.Verdict, r.Basis)
	fmt.Fprint(w, wrap(r.reason, "  ", "  ", width))
	fmt.Fprintf(w, "\n  %-18s %9s  %9s  %9s  %11s  %s\n", "", "value", "U (k=2)", "limit", "probability", "")
	for _, x := range r.Results {
		limit := "≤ "
		if x.AtLeast {
			limit = "≥ "
		}
		fmt.Fprintf(w, "  %-18s %s  %s  %9s  %11s  %s\n", inWords(x.Name), column(x, x.Value.Float64()), column(x, 2*x.U.Float64()),
			limit+measure.Decimal(x.Limit.Float64(), 3), x.Probability.String(), x.Verdict)
	}
	fmt.Fprint(w, "  mm; the probability that the true value conforms\n")
	for _, h := range r.Hindrances {
		fmt.Fprintf(w, "\n%s", wrap(h.Of+": "+h.Reason, "Hindrance: ", "           ", width))
	}
	fmt.Fprintf(w, "\n%s", wrap(r.Next.Text+" "+r.Next.Reason, "Next: ", "      ", width))
	for _, f := range r.Files {
		fmt.Fprintf(w, "\nWrote %s", f)
	}
	if len(r.Files) > 0 {
		fmt.Fprintln(w)
	}
	printWarnings(w, r.Warnings)
}

// column is one number of the table, or a dash where nothing was read.
func column(r certificate.Result, mm float64) string {
	if r.Missing {
		return fmt.Sprintf("%9s", "–")
	}
	return fmt.Sprintf("%9s", measure.Decimal(mm, 3))
}

func (r *certifyReport) outcome() outcome { return outcomeOf(r.Verdict) }

func outcomeOf(verdict string) outcome {
	switch paper.Verdict(verdict) {
	case paper.Conforms:
		return done
	case paper.DoesNotConform:
		return refused
	}
	return cannotTell
}

package cli

import (
	"fmt"
	"io"
	"math"

	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/traverse/answers"
	"slatewright/traverse/feelers"
	"slatewright/trouble"
)

// feelersVerb bounds the zone of a face read with a straightedge.
type feelersVerb struct {
	File  string       `arg:"" help:"Readings of feeler strips under a straightedge, CSV; - is standard input."`
	Limit *verb.Length `placeholder:"LENGTH" help:"Say whether the zone of the stations keeps within this limit, such as 0.25mm."`
}

func (feelersVerb) About() verb.About {
	return verb.About{
		Text: `A feeler strip tells two things: it passes, or it stops. So each reading bounds the gap under the edge, and all readings together
			bound how flat the stations can be: the answer is the smallest and the largest minimum zone that agree with every reading. No
			guess lies between them.

			The sheet has the columns line,x,y,passes_mm,stops_mm below '# edge: blocks 2.00 mm' (on two equal blocks, which stand on the first
			and the last station of each line) or '# edge: laid'. Lines that cross at stations which both have hold each other; a line that
			nothing ties leaves the zone without an upper bound. Header lines (strip limits, block limits, edge straightness, edge sag) widen the
			readings.

			Readings that cannot all be true are named, and the next reading that narrows the bounds most. With --limit the exit status is
			the verdict on the zone of the stations.`,
		Examples: []verb.Example{
			{"slatewright feelers edge.csv", "the bounds, for people"},
			{"slatewright feelers edge.csv --limit 0.25mm", "a verdict: 0 conforms, 1 does not, 2 cannot tell"},
			{"slatewright feelers edge.csv --json", "the same as one JSON object"},
		},
	}
}

// feelersReport is the answer.
type feelersReport struct{ *answers.Feelers }

// Run bounds the zone.
func (v feelersVerb) Run(s *verb.Session) (verb.Report, error) {
	if v.Limit != nil && v.Limit.MM <= 0 {
		return nil, trouble.Usage("bad-limit", "slatewright feelers", "--limit must be more than 0", "give the largest zone that is good enough, such as 0.25mm")
	}
	set, err := verb.Read(s, v.File, feelers.Read)
	if err != nil {
		return nil, err
	}
	r, err := answers.OfFeelers(set, limitOf(v.Limit))
	if err != nil {
		return nil, err
	}
	return &feelersReport{r}, nil
}

// Outcome is the verdict. Without bounds on both sides the question is not answered, with a limit or without.
func (r *feelersReport) Outcome() verb.Outcome {
	switch {
	case r.Verdict != nil:
		return verb.OutcomeOf(r.Says)
	case r.LowMM == nil || r.HighMM == nil:
		return verb.CannotTell
	}
	return verb.Done
}

// Print writes the report for people. Bounds are rounded outwards.
func (r *feelersReport) Print(w io.Writer) {
	fmt.Fprintf(w, "%s\n%s\n\n", r.File, trouble.Count(r.Stations, "station", "stations"))
	if r.LowMM != nil {
		printLength(w, "at least", math.Floor(*r.LowMM*1e4+1e-4)/1e4, "proven: no face that agrees with every reading is flatter")
		switch {
		case r.HighMM == nil:
			fmt.Fprint(w, "  at most        no bound\n")
		case r.HighIsExact:
			printLength(w, "at most", math.Ceil(*r.HighMM*1e4-1e-4)/1e4, "and a face that agrees with every reading is so uneven")
		default:
			printLength(w, "at most", math.Ceil(*r.HighMM*1e4-1e-4)/1e4, "proven: no face that agrees with every reading is more uneven")
		}
	}
	for _, c := range r.Contradictions {
		fmt.Fprintf(w, "Contradiction: %s\n", c.What)
		for _, g := range c.Readings {
			fmt.Fprintf(w, "  line %d: %s at (%g, %g), passes %s, stops %s\n", g.Row, g.Line, g.X, g.Y, stripOf(g.PassesMM), stripOf(g.StopsMM))
		}
	}
	if r.Next != nil {
		fmt.Fprintf(w, "\n%s", verb.Wrap(r.Next.What, "Next: ", "      ", verb.Width))
	}
	if r.Verdict != nil {
		fmt.Fprintf(w, "\nVerdict: %s (limit %s)\n", *r.Verdict, measure.FormatLength(*r.LimitMM, measure.MM))
	}
	verb.PrintWarnings(w, r.Warnings)
}

func stripOf(mm *float64) string {
	if mm == nil {
		return "nothing"
	}
	return measure.FormatLength(*mm, measure.MM)
}

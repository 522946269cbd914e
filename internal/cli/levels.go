package cli

import (
	"fmt"
	"io"

	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/traverse/answers"
	"slatewright/traverse/levels"
	"slatewright/trouble"
)

// levelsVerb makes heights of a level walk.
type levelsVerb struct {
	File       string       `arg:"" help:"Steps of a level or an autocollimator, CSV; - is standard input."`
	Limit      *verb.Length `placeholder:"LENGTH" help:"Say whether the zone of the stations keeps within this limit, such as 0.25mm."`
	Rule       string       `enum:"guarded,simple" default:"guarded" help:"How the limit is decided: guarded counts the doubt against the verdict, simple compares the zone alone."`
	Covariance bool         `help:"With --json: add the covariances of all heights, mm²."`
}

func (levelsVerb) About() verb.About {
	return verb.About{
		Text: `Fits heights to the steps of a level walk by least squares: any lines that hang together, a union jack, a grid or a loop.
			The sheet has the columns x1,y1,x2,y2,rise_um and, above them, the standard uncertainty of a step ('# u: 1 um'). Heights are about
			the least-squares plane through the stations.

			The loops are closed and held against what u allows. A step that cannot be right is named with its line in the file, or with the
			others that could be the wrong one as well; it is not left out. What size of slip each step would have shown, and the steps that no
			loop controls, are in the answer too. With '# reference: lines' each line has a datum slope of its own, which is fitted
			(autocollimators).

			With --limit the exit status is the verdict on the zone of the stations; with a suspect step it is 'cannot tell'.`,
		Examples: []verb.Example{
			{"slatewright levels jack.csv", "heights, closures and suspects, for people"},
			{"slatewright levels jack.csv --limit 0.1mm", "a verdict that counts the doubt of the zone"},
			{"slatewright levels jack.csv --covariance --json", "everything, for programs"},
		},
	}
}

// levelsReport is the answer.
type levelsReport struct{ *answers.Levels }

// Run fits the walk.
func (v levelsVerb) Run(s *verb.Session) (verb.Report, error) {
	if v.Limit != nil && v.Limit.MM <= 0 {
		return nil, trouble.Usage("bad-limit", "slatewright levels", "--limit must be more than 0", "give the largest zone that is good enough, such as 0.25mm")
	}
	w, err := verb.Read(s, v.File, levels.Read)
	if err != nil {
		return nil, err
	}
	r, err := answers.OfLevels(w, limitOf(v.Limit), v.Rule == "simple", v.Covariance)
	if err != nil {
		return nil, err
	}
	return &levelsReport{r}, nil
}

// limitOf is a limit in mm, nil where none was given.
func limitOf(l *verb.Length) *float64 {
	if l == nil {
		return nil
	}
	return &l.MM
}

// Outcome is the verdict; without a limit the question is answered.
func (r *levelsReport) Outcome() verb.Outcome {
	if r.Verdict == nil {
		return verb.Done
	}
	return verb.OutcomeOf(r.Says)
}

// mostHeights is how many heights are listed for people.
const mostHeights = 40

// Print writes the report for people.
func (r *levelsReport) Print(w io.Writer) {
	um := func(x float64, decimals int) string { return measure.Decimal(x, decimals) + " µm" }
	fmt.Fprintf(w, "%s\n%s, %s, %s to spare\n\n", r.File, trouble.Count(r.Stations, "station", "stations"), trouble.Count(len(r.Steps), "step", "steps"),
		trouble.Count(r.Spare, "reading", "readings"))
	if r.Zone.Few {
		fmt.Fprintf(w, "  %-13s  not told by so few stations\n", "zone")
	} else {
		printLength(w, "zone", r.ZoneMM, "of the stations, between two parallel planes")
	}
	if r.ZoneInterval != nil {
		fmt.Fprintf(w, "  %-13s  %s to %s mm (95 %%)\n", "its doubt", measure.Decimal(r.ZoneInterval[0], 4), measure.Decimal(r.ZoneInterval[1], 4))
	}
	if c := r.Closure; c != nil {
		expected := ""
		if c.Expected != nil {
			expected = fmt.Sprintf("; u lets expect ± %s", um(*c.Expected, 1))
		}
		fmt.Fprintf(w, "  %-13s  %s is the largest of %s%s\n", "closure", um(*r.ClosureUM, 1), trouble.Count(c.Loops, "loop", "loops"), expected)
	}
	if r.Fit != nil && r.Fit.UUM != nil {
		fmt.Fprintf(w, "  %-13s  %s for a step, from the closures\n", "u", um(*r.Fit.UUM, 2))
	}
	r.printSuspects(w)
	fmt.Fprint(w, "\nHeights about the mean plane, mm:\n")
	for _, h := range r.Heights[:min(len(r.Heights), mostHeights)] {
		doubt := "?"
		if h[3] != nil {
			doubt = "± " + measure.Decimal(*h[3], 4)
		}
		fmt.Fprintf(w, "  x %9s  y %9s  z %9s  %s\n", measure.Decimal(*h[0], 1), measure.Decimal(*h[1], 1), measure.Decimal(*h[2], 4), doubt)
	}
	if n := len(r.Heights) - mostHeights; n > 0 {
		fmt.Fprintf(w, "  and %d more: --json has them all\n", n)
	}
	if r.Verdict != nil {
		fmt.Fprintf(w, "\nVerdict: %s (limit %s)\n", *r.Verdict, measure.FormatLength(*r.LimitMM, measure.MM))
	}
	verb.PrintWarnings(w, r.Warnings)
}

func (r *levelsReport) printSuspects(w io.Writer) {
	for _, s := range r.Suspects {
		fmt.Fprintf(w, "\nSuspect: the step in line %d, from (%g, %g) to (%g, %g): it seems %s off, ± %s\n", s.Row, s.X1, s.Y1, s.X2, s.Y2,
			measure.Decimal(s.ErrorUM, 1)+" µm", measure.Decimal(s.U, 1))
		if n := len(s.Others); n > 0 {
			fmt.Fprintf(w, "  %s the readings nearly as well, so the slip may be there: line %s\n", trouble.Count(n, "other step explains", "other steps explain"), rowsOf(s.Others))
		}
	}
}

// rowsOf lists lines of a file, the first few.
func rowsOf(rows []int) string {
	text := ""
	for i, row := range rows {
		if i == 8 {
			return text + ", …"
		}
		if i > 0 {
			text += ", "
		}
		text += fmt.Sprint(row)
	}
	return text
}

package gauging

import (
	"fmt"
	"io"

	"slatewright/gauge/answers"
	"slatewright/gauge/history"
	"slatewright/internal/cli/verb"
	"slatewright/measure"
)

// Due asks when an instrument must be calibrated next.
type Due struct {
	File string `arg:"" help:"Calibrations: day, error, u, adjusted; header lines limit and longest. CSV; - is standard input."`
}

// About is the help of the verb.
func (Due) About() verb.About {
	return verb.About{
		Text: `Fits a straight drift to the errors that an instrument's certificates found, each with its own uncertainty, and finds the last day on which
			the expected error with its 95 % bound is still below the allowed limit. The next calibration is due on that day, or when the
			mill's longest interval ends, whichever comes first. With fewer than three calibrations since the last adjustment no trend can be
			told, and the interval alone counts.

			Exit status 1: that day is past.`,
		Examples: []verb.Example{{"slatewright gauge due dial-7.csv", "drift, and the next day"}},
	}
}

// Run reads the history and answers.
func (v Due) Run(s *verb.Session) (verb.Report, error) {
	list, err := readSheet(s, v.File)
	if err != nil {
		return nil, err
	}
	a, err := answers.OfHistory(list, s.Clock())
	if err != nil {
		return nil, err
	}
	return &dueReport{a}, nil
}

// dueReport is the answer.
type dueReport struct{ *answers.Due }

// Outcome is Refused where the day is past.
func (r *dueReport) Outcome() verb.Outcome {
	if r.Overdue {
		return verb.Refused
	}
	return verb.Done
}

// reasons say what made the day.
var reasons = map[history.Reason]string{
	history.ByTrend:    "the day after, the expected error with its bound reaches the limit",
	history.ByInterval: "the mill's longest interval ends; the trend would allow more",
	history.Beyond:     "the error may be beyond the limit already",
	history.TooFew:     "the mill's longest interval ends; there are too few calibrations for a trend",
}

// Print writes the answer for people.
func (r *dueReport) Print(w io.Writer) {
	state := "due"
	if r.Overdue {
		state = "overdue since"
	}
	fmt.Fprintf(w, "%s\nCalibration %s %s: %s\n", r.File, state, r.Due.Due, reasons[history.Reason(r.Why)])
	if r.Drift != nil {
		um := func(x float64) string { return measure.FormatRounded(x, measure.Micron, 1) }
		words := "it drifts"
		if !r.Drifts {
			words = "nothing beyond its own doubt"
		}
		fmt.Fprintf(w, "\n  drift a year   %s (95 %%: %s to %s), %s\n", um(*r.Drift), um(r.DriftIn[0]), um(r.DriftIn[1]), words)
		fmt.Fprintf(w, "  that day       %s expected, at most %s, of %s allowed\n", um(*r.ErrorMM), um(*r.BoundMM), um(r.LimitMM))
	}
	verb.PrintWarnings(w, r.Warnings)
}

package gauging

import (
	"fmt"
	"io"
	"time"

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

// dueReport is the answer. Its names are a contract with other programs.
type dueReport struct {
	File     string      `json:"file"`
	Due      string      `json:"due"`
	Overdue  bool        `json:"overdue"`
	Why      string      `json:"why"`
	Used     int         `json:"calibrations_used"`
	LimitMM  float64     `json:"limit_mm"`
	Drift    *float64    `json:"drift_mm_a_year"`
	DriftIn  *[2]float64 `json:"drift_interval"`
	Drifts   bool        `json:"drifts"`
	ErrorMM  *float64    `json:"error_when_due_mm"`
	BoundMM  *float64    `json:"bound_when_due_mm"`
	Scatter  float64     `json:"scatter_ratio"`
	Warnings []string    `json:"warnings"`
	reason   history.Reason
}

// Run reads the history and answers.
func (v Due) Run(s *verb.Session) (verb.Report, error) {
	list, err := readSheet(s, v.File)
	if err != nil {
		return nil, err
	}
	q, err := history.Read(list)
	if err != nil {
		return nil, err
	}
	a, err := history.Ask(q)
	if err != nil {
		return nil, at(list.Name, err)
	}
	today := s.Clock().Format(time.DateOnly)
	r := &dueReport{File: list.Name, Due: a.Due.Format(time.DateOnly), Why: string(a.Why), Used: a.Used, LimitMM: q.Limit, Drift: number(a.DriftPerYear), Drifts: a.Drifts, ErrorMM: number(a.ErrorAtDue),
		BoundMM: number(a.BoundAtDue), Scatter: a.Scatter, Warnings: append([]string{}, a.Warnings...), reason: a.Why}
	r.Overdue = r.Due < today || a.Why == history.Beyond
	if r.Drift != nil {
		r.DriftIn = &[2]float64{a.DriftLow, a.DriftHigh}
	}
	return r, nil
}

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
	fmt.Fprintf(w, "%s\nCalibration %s %s: %s\n", r.File, state, r.Due, reasons[r.reason])
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

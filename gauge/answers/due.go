package answers

import (
	"time"

	"slatewright/gauge/history"
	"slatewright/sheet"
)

// Due is when an instrument must be calibrated next.
type Due struct {
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

	Question history.Question `json:"-"` // as read
	Answer   *history.Answer  `json:"-"` // with the trend on any day
}

// OfHistory answers a list of calibrations as of a day.
func OfHistory(list *sheet.Sheet, today time.Time) (*Due, error) {
	q, err := history.Read(list)
	if err != nil {
		return nil, err
	}
	a, err := history.Ask(q)
	if err != nil {
		return nil, at(list.Name, err)
	}
	r := &Due{File: list.Name, Due: a.Due.Format(time.DateOnly), Why: string(a.Why), Used: a.Used, LimitMM: q.Limit, Drift: number(a.DriftPerYear), Drifts: a.Drifts, ErrorMM: number(a.ErrorAtDue),
		BoundMM: number(a.BoundAtDue), Scatter: a.Scatter, Warnings: append([]string{}, a.Warnings...), Question: q, Answer: a}
	if last := q.Calibrations[len(q.Calibrations)-1].Day; last.After(today.AddDate(0, 0, 1)) {
		r.Warnings = append(r.Warnings, "the calibration of "+last.Format(time.DateOnly)+" is still to come: look at its day, and at the clock of this machine")
	}
	r.Overdue = r.Due < today.Format(time.DateOnly) || a.Why == history.Beyond
	if r.Drift != nil {
		r.DriftIn = &[2]float64{a.DriftLow, a.DriftHigh}
	}
	return r, nil
}

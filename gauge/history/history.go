// Package history reads an instrument's calibrations: how its error drifts, and when it is next due before the drift and its doubt reach the
// allowed limit, never later than the mill's longest interval.
//
// It knows no calendar but the days it is given, and no clock. It takes the drift as straight; an instrument that was adjusted begins anew.
package history

import (
	"fmt"
	"math"
	"slices"
	"time"

	"slatewright/gauge/tables"
	"slatewright/sheet"
	"slatewright/trouble"
)

// Calibration is one certificate: the error found, in the unit of the limit, and its standard uncertainty.
type Calibration struct {
	Day      time.Time
	Error, U float64
	Adjusted bool // the instrument was changed afterwards: what was found before says nothing of what follows
}

// Question is an instrument's history.
type Question struct {
	Calibrations []Calibration
	Limit        float64 // largest error that is allowed, either way
	Longest      int     // days from one calibration to the next, at most
	Warnings     []string
}

// Reason says what made the day.
type Reason string

// The reasons.
const (
	ByTrend    Reason = "trend"    // the bound reaches the limit
	ByInterval Reason = "interval" // the mill's longest interval ends first
	Beyond     Reason = "beyond"   // the limit may be passed already
	TooFew     Reason = "too few"  // no trend can be told: the longest interval alone counts
)

// Answer is what the history tells.
type Answer struct {
	Due          time.Time
	Why          Reason
	Used         int     // calibrations since the last adjustment
	DriftPerYear float64 // NaN where there are too few
	DriftLow     float64 // 95 %
	DriftHigh    float64
	Drifts       bool    // the interval leaves 0 out
	ErrorAtDue   float64 // expected
	BoundAtDue   float64 // on its size, 95 %
	Scatter      float64 // root of chi squared over its degrees of freedom: above 1 the certificates scatter more than they claim
	Warnings     []string
	line         line
	last         Calibration
	k            float64
}

// fewest is the least number of calibrations that make a trend: two give a line that nothing holds against.
const fewest = 3

// line is a weighted least-squares line about the weighted mean day.
type line struct {
	origin          time.Time
	centre          float64 // years from the origin
	height, slope   float64
	uHeight, uSlope float64
}

const yearDays = 365.25

func (l line) years(day time.Time) float64 { return day.Sub(l.origin).Hours() / 24 / yearDays }

// Ask answers. Each calibration weighs 1/u²; where they scatter about the line more than they claim, all doubts are raised by that ratio (R. T.
// Birge, Phys. Rev. 40, 1932) and Student's t takes the place of the normal factor. The bound on a day is the size of the expected error plus the
// factor times the root of the line's variance and the last u². Due is the last day on which it is below the limit.
func Ask(q Question) (*Answer, error) {
	if err := q.check(); err != nil {
		return nil, err
	}
	list := slices.Clone(q.Calibrations)
	slices.SortStableFunc(list, func(a, b Calibration) int { return a.Day.Compare(b.Day) })
	a := &Answer{Warnings: slices.Clone(q.Warnings), DriftPerYear: math.NaN(), DriftLow: math.NaN(), DriftHigh: math.NaN(), last: list[len(list)-1]}
	end := a.last.Day.AddDate(0, 0, q.Longest)
	for i := len(list) - 2; i >= 0; i-- {
		if list[i].Adjusted {
			list = list[i+1:]
			a.Warnings = append(a.Warnings, "the instrument was adjusted: only the calibrations after that count")
			break
		}
	}
	a.Used = len(list)
	if a.last.Adjusted {
		a.Used = 0
		a.Warnings = append(a.Warnings, "the instrument was adjusted after its last calibration: its error now is not in this list")
	}
	if a.Used < fewest {
		a.Due, a.Why, a.ErrorAtDue, a.BoundAtDue = end, TooFew, math.NaN(), math.NaN()
		if size := math.Abs(a.last.Error); !a.last.Adjusted && size+1.96*a.last.U >= q.Limit {
			a.Due, a.Why = a.last.Day, Beyond
		}
		a.Warnings = append(a.Warnings, fmt.Sprintf("%s since the last adjustment: a trend needs %d", trouble.Count(a.Used, "calibration", "calibrations"), fewest))
		return a, nil
	}
	a.fit(list)
	a.due(q, end)
	return a, nil
}

func (q Question) check() error {
	bad := func(what, next string) error { return trouble.Data("bad-history", "", what, next) }
	if len(q.Calibrations) == 0 {
		return bad("there is no calibration", "give one a line: day, error, u")
	}
	if !(q.Limit > 0) || q.Longest < 1 || q.Longest > 36500 {
		return bad("the limit and the longest interval must be more than 0", "write '# limit: 0.010 mm' and '# longest: 365 days'")
	}
	days := map[time.Time]bool{}
	for _, c := range q.Calibrations {
		if !(c.U > 0) || math.IsNaN(c.Error) || math.IsInf(c.U, 0) || math.IsInf(c.Error, 0) {
			return bad("the calibration of "+c.Day.Format(time.DateOnly)+" has no standard uncertainty above 0", "take it from the certificate: U divided by k")
		}
		if days[c.Day] {
			return bad("two calibrations on "+c.Day.Format(time.DateOnly), "keep the one that counts")
		}
		days[c.Day] = true
	}
	return nil
}

// fit makes the line, its scatter and the drift.
func (a *Answer) fit(list []Calibration) {
	l := line{origin: list[0].Day}
	var weights, sxx, sxy, chi float64
	for _, c := range list {
		w := 1 / (c.U * c.U)
		weights += w
		l.centre += w * l.years(c.Day)
		l.height += w * c.Error
	}
	l.centre, l.height = l.centre/weights, l.height/weights
	for _, c := range list {
		w, x := 1/(c.U*c.U), l.years(c.Day)-l.centre
		sxx, sxy = sxx+w*x*x, sxy+w*x*c.Error
	}
	l.slope = sxy / sxx
	l.uHeight, l.uSlope = math.Sqrt(1/weights), math.Sqrt(1/sxx)
	for _, c := range list {
		r := (c.Error - l.height - l.slope*(l.years(c.Day)-l.centre)) / c.U
		chi += r * r
	}
	dof := float64(len(list) - 2)
	a.Scatter, a.k = math.Sqrt(chi/dof), tables.StudentPoint(0.975, math.Inf(1))
	raise := 1.0
	if a.Scatter > 1 {
		raise, a.k = a.Scatter, tables.StudentPoint(0.975, dof)
		a.Warnings = append(a.Warnings, fmt.Sprintf("the certificates scatter about the line %.2f times as much as they claim: all doubts are raised by that", raise))
	}
	l.uHeight, l.uSlope, a.last.U = l.uHeight*raise, l.uSlope*raise, a.last.U*raise
	a.line = l
	a.DriftPerYear, a.DriftLow, a.DriftHigh = l.slope, l.slope-a.k*l.uSlope, l.slope+a.k*l.uSlope
	a.Drifts = a.DriftLow > 0 || a.DriftHigh < 0
}

// At returns the error that is expected on a day and the 95 % bound on its size; NaN where there is no trend.
func (a *Answer) At(day time.Time) (expected, bound float64) {
	if math.IsNaN(a.DriftPerYear) {
		return math.NaN(), math.NaN()
	}
	x := a.line.years(day) - a.line.centre
	expected = a.line.height + a.line.slope*x
	u := math.Sqrt(a.line.uHeight*a.line.uHeight + x*x*a.line.uSlope*a.line.uSlope + a.last.U*a.last.U)
	return expected, math.Abs(expected) + a.k*u
}

// due walks from the last calibration to the end of the longest interval.
func (a *Answer) due(q Question, end time.Time) {
	a.Due, a.Why = a.last.Day, Beyond
	for day := a.last.Day; ; day = day.AddDate(0, 0, 1) {
		if _, bound := a.At(day); bound >= q.Limit {
			break
		}
		if a.Due, a.Why = day, ByTrend; !day.Before(end) {
			a.Why = ByInterval
			break
		}
	}
	a.ErrorAtDue, a.BoundAtDue = a.At(a.Due)
	if a.Why == Beyond {
		a.Warnings = append(a.Warnings, "the error and its doubt may be beyond the limit already: do not use it for certificates, and look again at what it measured since the calibration before")
	}
}

// Read reads a history: '# limit:' (a length), '# longest: 365 days', and the columns day, error, u and adjusted.
func Read(s *sheet.Sheet) (q Question, err error) {
	var ok bool
	if q.Limit, ok, err = s.TakeLength("limit"); err != nil {
		return q, err
	}
	if !ok {
		return q, s.Bad(1, "no-limit", "the largest allowed error is not given", "write '# limit: 0.010 mm'")
	}
	h, ok, err := s.Take("longest")
	if err != nil {
		return q, err
	}
	if _, e := fmt.Sscanf(h.Value, "%d days", &q.Longest); !ok || e != nil || q.Longest < 1 || q.Longest > 36500 {
		return q, s.Bad(max(h.Line, 1), "no-interval", "the longest interval is not given in days", "write '# longest: 365 days'")
	}
	columns, err := s.Columns([]string{"day", "error", "u"}, "adjusted", "certificate")
	if err != nil {
		return q, err
	}
	for _, row := range s.Rows {
		var c Calibration
		if c.Day, err = time.Parse(time.DateOnly, row.Text(columns["day"])); err != nil {
			return q, s.Bad(row.Line, "bad-day", fmt.Sprintf("day = %q is not in the calendar", row.Text(columns["day"])), "write it as 2026-11-25")
		}
		if c.Error, err = s.Length(row, columns["error"]); err != nil {
			return q, err
		}
		if c.U, err = s.Length(row, columns["u"]); err != nil {
			return q, err
		}
		switch row.Text(columns["adjusted"]) {
		case "", "no":
		case "yes":
			c.Adjusted = true
		default:
			return q, s.Bad(row.Line, "bad-word", fmt.Sprintf("adjusted = %q says neither yes nor no", row.Text(columns["adjusted"])), "write yes or no")
		}
		q.Calibrations = append(q.Calibrations, c)
	}
	q.Warnings = s.Rest()
	return q, nil
}

// Package trend finds when something began: the day from which a row of dated values stands at another level, or grows.
//
// It compares three accounts of the values by their likelihoods (G. Schwarz, The Annals of Statistics 6, 1978): nothing changed, a step on some day, a growth from
// some day on; the values' own scatter is not known and taken from them, never below their standard uncertainties. It knows no cause, and tells no day
// that lies before the third value or after the last but two.
package trend

import (
	"math"
	"slices"
)

// Value is one value with its day and its standard uncertainty.
type Value struct{ Day, Value, U float64 }

// Kind is the account that is believed.
type Kind string

// The accounts.
const (
	Steady Kind = "steady"
	Step   Kind = "step"   // it began at once
	Growth Kind = "growth" // it grows from then on
	Unsure Kind = "cannot tell"
)

// Change is what the values say.
type Change struct {
	Kind          Kind
	Probability   float64 // that anything changed
	Day, From, To float64 // when: the likeliest day, and where it lies in nine cases of ten; NaN when nothing is told
	Before, After float64 // the level before; that after it, or at the last day for a growth
	Values        int
}

// Fewest is how many values on different days a trend needs.
const Fewest = 8

// Believed is the probability from which a change is told, Dismissed that below which the row is called steady.
const (
	Believed  = 0.95
	Dismissed = 0.3
)

// days is at how many days between the values a beginning is tried.
const days = 120

// Find looks for a change.
func Find(values []Value) Change {
	values = slices.Clone(values)
	slices.SortStableFunc(values, func(a, b Value) int {
		switch {
		case a.Day < b.Day:
			return -1
		case a.Day > b.Day:
			return 1
		}
		return 0
	})
	c := Change{Kind: Unsure, Day: math.NaN(), From: math.NaN(), To: math.NaN(), Values: len(values)}
	if different(values) < Fewest {
		return c
	}
	first, last := values[2].Day, values[len(values)-3].Day
	flat := fit(values, func(float64) float64 { return 0 }, 1)
	var steps, ramps []account
	for i := range days {
		day := first + (last-first)*(float64(i)+0.5)/days
		steps = append(steps, fit(values, func(d float64) float64 {
			if d > day {
				return 1
			}
			return 0
		}, 3).on(day))
		ramps = append(ramps, fit(values, func(d float64) float64 { return max(0, d-day) }, 3).on(day))
	}
	c.weigh(flat, steps, ramps, values)
	return c
}

func different(values []Value) int {
	n := 0
	for i, v := range values {
		if i == 0 || v.Day > values[i-1].Day {
			n++
		}
	}
	return n
}

// An account is one fit: its weight as a logarithm, and its two levels.
type account struct{ log, level, rise, day float64 }

func (a account) on(day float64) account { a.day = day; return a }

// fit is least squares of level + rise·f(day); terms is how many numbers were free.
func fit(values []Value, f func(day float64) float64, terms float64) account {
	var w, x, xx, y, xy, u2 float64
	for _, v := range values {
		g := f(v.Day)
		w, x, xx, y, xy = w+1, x+g, xx+g*g, y+v.Value, xy+g*v.Value
		u2 += v.U * v.U
	}
	a := account{level: y / w}
	if d := w*xx - x*x; d > 1e-12*w*xx && d > 0 {
		a.rise = (w*xy - x*y) / d
		a.level = (y - a.rise*x) / w
	}
	left := 0.0
	for _, v := range values {
		e := v.Value - a.level - a.rise*f(v.Day)
		left += e * e
	}
	a.log = -w/2*math.Log(max(left, u2*0.5)+1e-18) - terms/2*math.Log(w)
	return a
}

// weigh gives an even chance to nothing and to a change, and to a step and a growth among these, and each day.
func (c *Change) weigh(flat account, steps, ramps []account, values []Value) {
	end := values[len(values)-1].Day
	top := flat.log
	for _, a := range append(slices.Clone(steps), ramps...) {
		top = max(top, a.log)
	}
	none := math.Exp(flat.log - top)
	sum := func(list []account) (s float64) {
		for _, a := range list {
			s += math.Exp(a.log-top) / float64(len(list))
		}
		return s
	}
	step, ramp := sum(steps)/2, sum(ramps)/2
	c.Probability = (step + ramp) / (none + step + ramp)
	switch {
	case c.Probability < Dismissed:
		c.Kind, c.Before, c.After = Steady, flat.level, flat.level
		return
	case c.Probability < Believed:
		return
	}
	c.Kind = Step
	if ramp > step {
		c.Kind = Growth
	}
	c.when(top, steps, ramps, values, end)
}

// when tells the day and its interval: over both accounts, since it often cannot be told which it was.
func (c *Change) when(top float64, steps, ramps []account, values []Value, end float64) {
	all := append(slices.Clone(steps), ramps...)
	slices.SortStableFunc(all, func(a, b account) int {
		switch {
		case a.day < b.day:
			return -1
		case a.day > b.day:
			return 1
		}
		return 0
	})
	total, run := 0.0, 0.0
	for _, a := range all {
		total += math.Exp(a.log - top)
	}
	best := math.Inf(-1)
	c.From, c.To = all[0].day, all[len(all)-1].day
	told := false
	for _, a := range all {
		run += math.Exp(a.log-top) / total
		if run < 0.05 {
			c.From = a.day
		}
		if run > 0.95 && !told {
			c.To, told = a.day, true
		}
		if mine := slices.ContainsFunc(kindOf(c.Kind, steps, ramps), func(b account) bool { return b == a }); mine && a.log > best {
			best = a.log
			c.Day, c.Before, c.After = a.day, a.level, a.level+a.rise
			if c.Kind == Step {
				c.Day = between(values, a.day)
			}
			if c.Kind == Growth {
				c.After = a.level + a.rise*(end-a.day)
			}
		}
	}
	c.From, c.To = min(c.From, c.Day), max(c.To, c.Day)
}

// between is the middle of the days of the two values about a day: a step shows no more.
func between(values []Value, day float64) float64 {
	for i := 1; i < len(values); i++ {
		if values[i].Day > day {
			return (values[i-1].Day + values[i].Day) / 2
		}
	}
	return day
}

// kindOf are the accounts of one kind.
func kindOf(k Kind, steps, ramps []account) []account {
	if k == Step {
		return steps
	}
	return ramps
}

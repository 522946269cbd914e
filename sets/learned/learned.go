// Package learned says how well sets were foretold: from pairs of a foretold and a read figure, one a set, what the forecast's error is, and how much
// room the next proposal should leave within its limits.
//
// It takes errors of sets as independent draws from one normal distribution, says when they drift, and names a set that does not belong to the others;
// nothing is left out by itself. Steps and zones are asked apart: [From] takes one kind of figure. The package does not know how a figure came about, and
// it changes no forecast.
package learned

import (
	"math"
	"strconv"

	"slatewright/gauge/tables"
	"slatewright/trouble"
)

// Pair is one set's figure, foretold before it was laid and read after, both mm; NaN: not known.
type Pair struct {
	Set            string
	Foretold, Read float64
	Day            float64 // when it was read, in days from any day; the same for all sets: no trend is asked
}

// Few is the number of sets below which nothing is learned for the next proposal: common practice, no source.
const Few = 5

const (
	sides  = 0.95 // of an interval: 5 % lie above and 5 % below
	beyond = 0.95 // of next sets that the room holds
	doubt  = 0.05 // of naming a trend, or any set at all, by mere chance
)

// Interval holds a value with 90 % confidence.
type Interval struct{ Low, High float64 }

// Answer is what pairs say of read less foretold, mm. What cannot be told is NaN, and an interval without end has infinite ends.
type Answer struct {
	N      int  // pairs with both figures
	Enough bool // there are at least Few; otherwise Room is 0, and no trend and no outlier is looked for
	// Bias is the mean: above 0, beds come out worse than foretold. SD is the standard deviation from set to set.
	Bias       float64
	BiasWithin Interval
	SD         float64
	SDWithin   Interval
	// Room is what to keep from the limit, so that the next set, foretold within what is left, is read within the limit with 95 %; never below 0. Where the
	// error drifts, it is that of the last day.
	Room float64
	// Trend is the change in a day; Drifts says that it is not by chance (at 5 %).
	Trend       float64
	TrendWithin Interval
	Drifts      bool
	// Outliers are the indices of pairs that do not belong to the others, the farthest first. They are counted in.
	Outliers []int
	Warnings []string
}

// From learns from pairs of one kind of figure, in any order.
//
// Bias by Student's t, SD by chi squared. Room is the one-sided prediction limit of one more value, bias + t·SD·√(1 + 1/n), by the textbooks of
// statistics.
func From(pairs []Pair) Answer {
	errs, days, at := known(pairs)
	n := float64(len(errs))
	open := Interval{math.Inf(-1), math.Inf(1)}
	a := Answer{N: len(errs), Enough: len(errs) >= Few, Bias: math.NaN(), BiasWithin: open, SD: math.NaN(), SDWithin: Interval{0, math.Inf(1)},
		Trend: math.NaN(), TrendWithin: open}
	if a.N > 0 {
		a.Bias = mean(errs)
	}
	if a.N > 1 {
		a.SD = deviation(errs, a.Bias)
		half := tables.StudentPoint(sides, n-1) * a.SD / math.Sqrt(n)
		a.BiasWithin = Interval{a.Bias - half, a.Bias + half}
		a.SDWithin = Interval{a.SD * math.Sqrt((n-1)/tables.ChiSquaredPoint(sides, n-1)), a.SD * math.Sqrt((n-1)/tables.ChiSquaredPoint(1-sides, n-1))}
	}
	if !a.Enough {
		a.warn(few(a.N))
		return a
	}
	a.Room = max(0, a.Bias+tables.StudentPoint(beyond, n-1)*a.SD*math.Sqrt(1+1/n))
	a.drift(errs, days)
	for _, i := range outliers(errs) {
		p := pairs[at[i]]
		a.Outliers = append(a.Outliers, at[i])
		a.warn("set " + p.Set + " does not belong to the others: look at how it was laid and read; it is counted in")
	}
	return a
}

func (a *Answer) warn(text string) { a.Warnings = append(a.Warnings, text) }

func few(n int) string {
	if n == 0 {
		return "no set was foretold and read: nothing is learned yet"
	}
	return trouble.Count(n, "set was", "sets were") + " foretold and read: nothing is learned from fewer than " + strconv.Itoa(Few)
}

// known keeps pairs with both figures, and where they stood.
func known(pairs []Pair) (errs, days []float64, at []int) {
	for i, p := range pairs {
		if e := p.Read - p.Foretold; !math.IsNaN(e) && !math.IsInf(e, 0) {
			errs, days, at = append(errs, e), append(days, p.Day), append(at, i)
		}
	}
	return errs, days, at
}

func mean(x []float64) (m float64) {
	for _, v := range x {
		m += v
	}
	m /= float64(len(x))
	rest := 0.0 // what rounding left
	for _, v := range x {
		rest += v - m
	}
	return m + rest/float64(len(x))
}

func deviation(x []float64, mean float64) float64 {
	squares := 0.0
	for _, v := range x {
		squares += (v - mean) * (v - mean)
	}
	return math.Sqrt(squares / float64(len(x)-1))
}

// drift lays a straight line over the days.
func (a *Answer) drift(errs, days []float64) {
	n := float64(len(errs))
	middle, across, along, last := mean(days), 0.0, 0.0, days[0]
	for i, day := range days {
		along += (day - middle) * (day - middle)
		across += (day - middle) * (errs[i] - a.Bias)
		last = max(last, day)
	}
	if !(along > 0) || math.IsInf(along, 1) {
		return
	}
	a.Trend = across / along
	squares := 0.0
	for i, day := range days {
		rest := errs[i] - a.Bias - a.Trend*(day-middle)
		squares += rest * rest
	}
	sd := math.Sqrt(squares / (n - 2))
	u := sd / math.Sqrt(along)
	half := tables.StudentPoint(sides, n-2) * u
	a.TrendWithin = Interval{a.Trend - half, a.Trend + half}
	if math.Abs(a.Trend) <= tables.StudentPoint(1-doubt/2, n-2)*u {
		return
	}
	a.Drifts = true
	out := (last - middle) * (last - middle) / along
	a.Room = max(0, a.Bias+a.Trend*(last-middle)+tables.StudentPoint(beyond, n-2)*sd*math.Sqrt(1+1/n+out))
	a.warn("the error drifts with time: the room is that of the last day; look for what changed, a bench, a gauge or the support of the pieces")
}

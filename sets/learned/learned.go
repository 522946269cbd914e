// Package learned says how well sets were foretold: from pairs of a foretold and a read figure, one a set, what the forecast's error is, and how much
// room the next proposal should leave.
//
// Steps and zones are asked apart: [From] takes one kind of figure. The package does not know how a figure came about, and changes no forecast.
package learned

// Pair is one set's figure, foretold before it was laid and read after, both mm.
type Pair struct {
	Set            string
	Foretold, Read float64
	Day            float64 // when it was read, in days from any day; the same for all: no trend is asked
}

// Few is the number of sets below which nothing is learned for the next proposal.
const Few = 5

// Interval holds a value with 90 % confidence.
type Interval struct{ Low, High float64 }

// Answer is what pairs say. All are mm but N and the days.
type Answer struct {
	N int // pairs with both figures
	// Enough: at least Few pairs; otherwise the figures stand as they are, and Room is 0.
	Enough bool
	// Bias is the mean of read less foretold: above 0, beds come out worse than foretold. Within is its 90 % interval; with one pair it is without end.
	Bias   float64
	Within Interval
	// SD is the standard deviation of read less foretold, of single sets, with its 90 % interval; with one pair NaN.
	SD       float64
	SDWithin Interval
	// Room is what to keep from the limits so that the next set's figure, foretold within what is left, is read within the limit with 95 %; never below 0.
	Room float64
	// Trend is the change of read less foretold in a day, with its 90 % interval; Drifts says that 0 lies outside of its 95 % interval.
	Trend       float64
	TrendWithin Interval
	Drifts      bool
	// Outliers are indices of pairs that do not belong to the others.
	Outliers []int
	Warnings []string
}

// From learns from pairs of one kind of figure, in any order.
func From(pairs []Pair) Answer { return Answer{} }

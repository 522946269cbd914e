// Package late says what it is worth to match pieces late: to make pieces, keep those that pass, and only then say which three are a set.
//
// A set that is settled early, three pieces from the saw on, is lost with any of its pieces: of n sets n·p³ come. Pieces that wait to be matched are
// lost one by one: n·p sets come, less what is left over. The package counts both exactly, says how many pieces to begin, with spares of each place,
// so that an order comes with the probability that is asked for, and how far thicknesses lie apart in sets that were sorted and in sets taken as they
// come. Spares that may still take any place stand in for each other, so fewer of them do the same: a reason to cut pockets late.
//
// It does not propose sets (package sets does), and it does not know why pieces fail: it takes it that they fail one by one, each by its own chance.
// Where a layer fails as a whole all ways are worse than it says.
package late

import (
	"fmt"
	"math"

	"slatewright/trouble"
)

// Question is what is asked. Lengths are mm, money is in the mill's own. What is 0 is not asked, unless it says otherwise.
type Question struct {
	// Wanted is how many sets are to come, 1 to 2000; 0: only Stock is asked.
	Wanted int
	// Pass is the share of pieces begun that pass, by place (head, centre, foot), 0.1 to 1.
	Pass [3]float64
	// PassAny is the share that passes of pieces that may still take any place; 0: the mean of Pass.
	PassAny float64
	// Sure is the probability with which the sets are to come, above 0, at most 0.999999; 0: 0.95.
	Sure float64
	// Cost is what a piece costs until it is known whether it passes, by place: all above 0, or all 0. One that may take any place costs their mean.
	Cost [3]float64
	// Sigma is the standard deviation of the pieces' thickness, mm.
	Sigma float64
	// Draws is how many stocks are drawn for the spread after sorting, 2 to 100,000; 0: enough to know it within about 1 %. Seed makes them.
	Draws int
	Seed  uint64
	// Stock are the pieces that there are, at most 1500.
	Stock []Piece
}

// Piece is a piece of the stock: its thickness of stone and lining, mm (NaN: unknown), and the places that it may take: head, centre, foot.
type Piece struct {
	Thickness float64
	Places    [3]bool
}

// Answer is what late matching is worth. Early settles sets at the saw; Fixed matches late, each piece for the place that it was made for; Any matches
// late, any piece in any place.
type Answer struct {
	Asked             bool // by Wanted; otherwise the ways are empty
	Sure              float64
	Early, Fixed, Any Way
	Expected          Expected // by Sigma
	Stock             Sorted   // by Stock
	Warnings          []string
}

// Way is one way to come to sets.
type Way struct {
	// Share is how many sets come of each three pieces begun, in the long run and begun in the best proportion of places.
	Share float64
	// Begin are the pieces to begin, by place, so that the wanted sets come with the probability asked for: those that cost least, or the fewest where no
	// money is asked. Spares are those of them beyond the wanted sets. Pieces that may take any place have no place: both are 0.
	Begin, Spares [3]int
	// Pieces are all to begin, Spare those of them beyond three for every wanted set.
	Pieces, Spare int
	// Probability is that of the wanted sets from these pieces, at least what was asked.
	Probability float64
	// OfTheSame is the mean number of sets of as many pieces as Early must begin, a third in each place.
	OfTheSame float64
	// Money is what the pieces cost, Saved how much less than Early's.
	Money, Saved float64
}

const (
	mostWanted = 2000
	mostStock  = 1500
	mostDraws  = 100000
	leastPass  = 0.1
	mostSure   = 0.999999
	usualSure  = 0.95
	drawn      = 120000 // pieces, where no number of draws is asked for
)

// Worth answers what late matching is worth. The same question gives the same answer. Errors are Data troubles: a figure out of its range.
func Worth(q Question) (Answer, error) {
	q, err := q.complete()
	if err != nil {
		return Answer{}, err
	}
	a := Answer{Asked: q.Wanted > 0, Sure: q.Sure}
	if a.Asked {
		a.Early, a.Fixed, a.Any = q.ways()
		if min(q.Pass[0], q.Pass[1], q.Pass[2], q.PassAny) < 1 {
			a.Warnings = append(a.Warnings, "pieces are taken to fail one by one: where a layer fails as a whole, begin more, and of another layer")
		}
		if q.Sigma > 0 {
			a.Expected = q.expected()
		}
	}
	if len(q.Stock) > 0 {
		a.Stock = sorted(q.Stock)
		a.Warnings = append(a.Warnings, a.Stock.warnings()...)
	}
	return a, nil
}

// complete fills in what is usual and refuses what cannot be.
func (q Question) complete() (Question, error) {
	if q.Sure == 0 {
		q.Sure = usualSure
	}
	if q.Wanted == 0 {
		return q, q.wrongStock()
	}
	if q.Draws == 0 {
		q.Draws = max(50, min(4000, drawn/max(3*q.Wanted, 1)))
	}
	if q.PassAny == 0 {
		q.PassAny = (q.Pass[0] + q.Pass[1] + q.Pass[2]) / 3
	}
	switch {
	case q.Wanted < 0 || q.Wanted > mostWanted:
		return q, wrong("sets wanted", fmt.Sprintf("%d is no number of sets to want", q.Wanted), fmt.Sprintf("give a whole number from 1 to %d", mostWanted))
	case !(q.Sure > 0 && q.Sure <= mostSure):
		return q, wrong("probability", fmt.Sprintf("%v is no probability that sets come with", q.Sure), fmt.Sprintf("give a number above 0 and at most %v", mostSure))
	case !(q.Sigma >= 0) || math.IsInf(q.Sigma, 1):
		return q, wrong("thickness scatter", fmt.Sprintf("%v mm is no standard deviation of thickness", q.Sigma), "give 0 or more")
	case q.Draws < 2 || q.Draws > mostDraws:
		return q, wrong("draws", fmt.Sprintf("%d is no number of stocks to draw", q.Draws), fmt.Sprintf("give a whole number from 2 to %d", mostDraws))
	}
	for _, p := range append(q.Pass[:], q.PassAny) {
		if !(p >= leastPass && p <= 1) {
			return q, wrong("pass rate", fmt.Sprintf("%v is no share of pieces that pass", p), fmt.Sprintf("give a number from %v to 1", leastPass))
		}
	}
	for _, cost := range q.Cost {
		if !(cost >= 0) || math.IsInf(cost, 1) || (cost == 0) != (q.Cost == [3]float64{}) {
			return q, wrong("piece cost", fmt.Sprintf("%v is no cost of a piece", cost), "give a number above 0 for every place, or none at all")
		}
	}
	return q, q.wrongStock()
}

func (q Question) wrongStock() error {
	if len(q.Stock) > mostStock {
		return wrong("stock", trouble.Count(len(q.Stock), "piece is", "pieces are")+" too large a stock to sort", fmt.Sprintf("give at most %d", mostStock))
	}
	for i, p := range q.Stock {
		if math.IsInf(p.Thickness, 0) {
			return wrong("stock", fmt.Sprintf("the thickness of piece %d of the stock is without end", i+1), "give a length, or none")
		}
	}
	return nil
}

func wrong(where, what, next string) error { return trouble.Data("late-figure", where, what, next) }

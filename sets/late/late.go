// Package late says what it is worth to match pieces late: to make pieces, keep those that pass, and only then say which three are a set.
//
// A set that is settled early, three pieces from the saw on, is lost with any of its pieces: of n sets n·p³ come. Pieces that wait to be matched are
// lost one by one: n·p sets come, less what is left over. The package counts both exactly, says how many pieces to begin and to keep so that an order
// comes with the probability that is asked for, and how far thicknesses lie apart in sets that were sorted and in sets taken as they come.
//
// It does not know which pieces there are to match (package sets), nor why pieces fail: they fail one by one, independently. Where whole layers
// fail together it promises too much, and says so.
package late

import "slatewright/trouble"

// Question is what is asked. Lengths are mm, money is in the mill's own.
type Question struct {
	// Wanted is how many sets are to come, 1 to 2000.
	Wanted int
	// Pass is the share of pieces begun that pass, by place (head, centre, foot), above 0 and at most 1.
	Pass [3]float64
	// Sure is the probability with which they are to come, above 0 and below 1; 0: 0.95.
	Sure float64
	// Cost is what a piece costs until it is known whether it passes, by place; all 0: money is not asked.
	Cost [3]float64
	// Sigma is the standard deviation of thickness from piece to piece, mm; 0: thickness is not asked, unless there is a stock.
	Sigma float64
	// Stock are the pieces that there are, may be nil.
	Stock []Piece
	// Draws is how many stocks are drawn for the spread after sorting, 2 to 100,000; 0: 400.
	Draws int
	// Seed makes the draws.
	Seed uint64
}

// Piece is a piece of the stock: its thickness of stone and lining, mm, and the places that it may take.
type Piece struct {
	Thickness float64
	Places    [3]bool // head, centre, foot
}

// Answer is what late matching is worth.
type Answer struct {
	// Early settles sets at the saw; Fixed matches late, each piece for the place it was made for; Any matches late, any piece at any place.
	Early, Fixed, Any Way
	// Spread is how far thicknesses lie apart.
	Spread   Spread
	Warnings []string
}

// Way is one way to come to sets.
type Way struct {
	// Share is how many sets come of each three pieces begun, in the long run.
	Share float64
	// Begin are the fewest pieces to begin, by place, so that Wanted sets come with the probability asked for; Spares are those beyond three a set. Any
	// place: spread over the places as evenly as can be.
	Begin, Spares [3]int
	// Pieces is the sum of Begin.
	Pieces int
	// Probability that the sets come of Begin; at least what was asked.
	Probability float64
	// OfTheSame: had as many pieces been begun as Early needs, so many sets would come, on the average.
	OfTheSame float64
	// Money is what Begin costs, and Saved what that is less than Early's; both 0 where no money is asked.
	Money, Saved float64
}

// Spread is the mean over sets of the largest less the smallest thickness of a set's three pieces, mm.
type Spread struct {
	Asked bool
}

// Worth answers what late matching is worth.
func Worth(q Question) (Answer, error) {
	return Answer{}, trouble.Own("late-not-yet", "", "what late matching is worth is not counted yet", "")
}

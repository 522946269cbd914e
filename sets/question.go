package sets

import (
	"slatewright/bed"
	"slatewright/face"
	"slatewright/sets/beds"
)

// Piece is one piece of the stock.
type Piece struct {
	ID        string
	Ways      beds.Ways   // how it may lie
	Face      *face.Face  // playing face; nil: none is known, and its sets' beds are not foretold
	Thickness float64     // stone and lining together at the screws, mm; NaN where it is not known
	Least     float64     // the least that Thickness may become when it is ground again, mm; 0: not known
	Layer     string      // of the quarry; "": not known, which differs from every layer that is
	Batch     string      // of the lining board; "": not known, which differs from every batch that is
	Size      string      // pieces of different size never mix; "" is a size like any other
	Lab       *[3]float64 // colour, CIELAB; nil where it is not known: then it differs from nothing
	AgeDays   float64     // days that it has lain ready, 0 or more
	NotReady  string      // why it may not be judged; "": it may. A piece that may not is in no set
}

// Class is a name with what a bed of it must keep. The limits of the classes need not be nested: where a class with tighter steps has another limit that is
// wider, three pieces may lie one way for the one class and another way for the other. Each set is then laid for the class that it is for; the search reckons
// with the lower of both costs, so that the numbers of sets and the bound stay proven, and a gap may be left that no more time closes.
type Class struct {
	Name   string
	Limits bed.Limits
	// Room is how much of each limit the doubt of the results is expected to take, mm: a bed nearer to a limit than that would most likely end in
	// cannot tell.
	Room float64
}

// Order wants sets of one size and class.
type Order struct {
	ID    string
	Size  string // as of the pieces
	Class string // name of a class; "": the last
	Sets  int    // wanted, 1 or more
	Due   string // YYYY-MM-DD; "": none, which is later than any
}

// Weights say what is dear in a set. The cost of a set is
//
//	Step·(larger step)/(limit of the step) + Zone·zone/(limit of the zone) + Spread·(thickest − thinnest piece)/0.25 mm
//	+ over the two joints: Layer for a change of layer + Batch for a change of batch + Colour·ΔE00
//	+ Age·(months of 30 days by which the pieces are younger than the oldest of the stock, mean of the three),
//
// with the limits of the specification. The first two terms fall away where a piece has no face, and the spread is that of the pieces whose
// thickness is known.
type Weights struct {
	Step, Zone, Spread, Layer, Batch, Colour, Age float64
	// Change is what a set costs more that was not in the plan before. It decides, and stands in no cost that is reported.
	Change float64
}

// DefaultWeights are those of a mill that has set none: a change of layer costs as much as a fifth of the limit of a step or zone.
func DefaultWeights() Weights {
	return Weights{Step: 1, Zone: 1, Spread: 1, Layer: 0.2, Change: 0.05}
}

// Question asks which pieces of a stock make sets.
type Question struct {
	Pieces  []Piece
	Spec    bed.Spec // edge band, joints' rules; its limits are the measure of costs, not what must be kept
	Classes []Class  // 1 to 32; ascending by step less Room. A set for stock conforms to any of them
	Orders  []Order  // none: sets for stock, as many as can be
	Weights Weights
	// Together are groups of two or three pieces that are in the same set or in none. That a group is in a set is worth [Kept].
	Together [][]int
	Apart    [][2]int // pairs never in one set
	Before   [][3]int // the plan that stood before, as far as its pieces are still there: a set that was not in it costs Weights.Change more
	Start    [][3]int // threes to begin the search with; they cost nothing less than others
	Gap      float64  // good enough: the search ends at this relative gap; 0: at the end
	// Stop is asked often, and ends the search once a first plan stands; nil: never. It may be asked on several cores at once.
	Stop func() bool
	Tell func(Progress) // told how far the search is, often; nil: nobody
}

// Kept is what it is worth in the search that pieces that are to be kept together are in a set: far more than a good set costs, but never a set. It
// stands in no cost that is reported.
const Kept = 10

// Progress is how far a search is.
type Progress struct {
	Size        string // of the pieces that are looked at
	Sets        int    // of the best plan so far, all sizes
	Cost, Bound float64
	Priced      int // threes truly priced so far
}

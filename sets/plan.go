package sets

// Set is three pieces that belong together as they lie: foretold, not laid up, not judged.
type Set struct {
	Pieces [3]int // indices of the question's pieces: head, centre, foot
	Turned [3]bool
	Order  int  // index of the question's orders; -1: for stock
	Class  int  // index of the tightest class that it is expected to conform to
	Seated bool // false where a piece has no face: then the five figures after it are NaN
	// Of the bed at its best seating, mm: larger step, zone, lengthwise and across, and the larger step of each joint.
	Step, Zone, Lengthwise, Across float64
	Steps                          [2]float64
	Spread                         float64 // thickest less thinnest piece, of those whose thickness is known, mm
	LayerChanges                   int     // over the two joints
	Cost                           float64
	Kept                           bool // it was in the plan before
}

// Left is a piece in no set.
type Left struct {
	Index int
	Why   string
}

// Spared counts threes that were not priced, and says why they could not win.
type Spared struct {
	Why    string
	Threes int
}

// Plan is a choice of sets.
type Plan struct {
	Sets   []Set  // for orders in the order of importance, then for stock; each in the order of its first piece
	Unused []Left // ascending by index
	Short  []Short
	// Cost is the sum of the sets' costs, and Bound at most what any plan costs that has the same numbers of sets for every order and for stock and
	// keeps as many groups together. Gap is (Cost − Bound)/Cost, 0 where both are equal.
	Cost, Bound, Gap float64
	SetsProven       bool // no plan serves an order better without serving a more important one worse, and none has more sets for stock then
	SetsBound        int  // at most so many sets can be made of the stock; the number of sets where that is proven
	How              string
	Triples          int // threes of pieces of one size that there are
	Possible, Priced int // those that no bound rules out at once, and those truly priced
	Why              []Spared
	Warnings         []string
	Stopped          bool // the search was stopped: with more time the plan, or its bound, might be better
}

// Short is an order that gets fewer sets than it wants.
type Short struct {
	Order, Wanted, Given int
	Proven               bool // no plan gives it more without taking from a more important one
}

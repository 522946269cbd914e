package sets

// Set is three pieces that belong together as they lie: foretold, not laid up, not judged.
type Set struct {
	Pieces [3]int // indices of the question's pieces: head, centre, foot
	Turned [3]bool
	Order  int  // index of the question's orders; -1: for stock
	Class  int  // index of the tightest class that it is expected to conform to
	Seated bool // false where a piece has no face: then the five figures after it are NaN
	// Of the bed at its best seating, mm: larger step, zone, lengthwise and across, and the larger step of each joint. Lengthwise may be NaN where the
	// zone keeps its limit and no more can be told.
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

// Reason says why a three needed no true price.
type Reason string

// The reasons.
const (
	NoSet     Reason = "no-set"     // no way of laying the three can conform to any class, or what was decided by hand forbids it
	TooCostly Reason = "too-costly" // what it costs at least exceeds what it could save: no plan as good as this one has it
	NotNeeded Reason = "not-needed" // it could only stand in plans that the bound still allows and that were not looked at
	Splits    Reason = "splits"     // costs split over the two joints: every three was weighed at once, by pairs
)

// Spared counts threes that were not truly priced.
type Spared struct {
	Why    Reason
	Threes int
}

// How says how a plan was found.
type How string

// The ways. Pieces of several sizes may have gone both ways: then the plan says search.
const (
	ByAssignment How = "assignment" // exactly: the cost splits over the two joints
	BySearch     How = "search"     // by bounds and search
)

// Plan is a choice of sets.
type Plan struct {
	Sets   []Set  // for orders in the order of importance, then for stock, size by size
	Unused []Left // ascending by index
	Short  []Short
	// Cost is the sum of the sets' costs, and Bound at most what any plan costs that has the same numbers of sets for every order and for stock and
	// keeps as many groups together. Gap is (Cost − Bound)/Cost, 0 where both are equal.
	Cost, Bound, Gap float64
	SetsProven       bool // no plan serves an order better without serving a more important one worse, and none has more sets for stock then
	// SetsBound is at most how many sets a plan has, for orders and for stock, that gives every order as many as this one does; the number of sets where
	// that is proven. Serving an order less may free more sets for stock.
	SetsBound        int
	How              How
	Triples          int      // threes of pieces of one size that there are
	Possible, Priced int      // those that no bound rules out at once, and those truly priced
	Why              []Spared // of the others, in the order of the reasons
	Warnings         []string
	Stopped          bool // the search was stopped: with more time the plan, or its bound, might be better
}

// Short is an order that gets fewer sets than it wants.
type Short struct {
	Order, Wanted, Given int
	Proven               bool // no plan gives it more without taking from a more important one
}

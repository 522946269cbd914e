// Package threes chooses disjoint threes of n things: first as many as can be had, demand by demand, then at the least sum
// of costs, with a bound that proves how far from the least it can be.
//
// The costs of threes are not asked for all at once: a cheap floor is asked for every three, the true cost only of those
// that could matter. The choice is a set packing: linear programs over the threes asked for so far, cutting planes on groups
// of things, exchanges between chosen threes, and branching, until the gap closes or the caller has no more time.
//
// Its rooms: known keeps what is known of every three and passes over all of them by prices, growlp solves the linear programs, cuts finds the
// cutting planes. Here is the search: plans, stages, the tree, and what each proves.
//
// The package knows nothing of stone, seating or orders, and it judges nothing: what a three costs and which demands it can
// serve are the caller's words.
package threes

import (
	"fmt"
	"math"

	"slatewright/sets/threes/known"
	"slatewright/trouble"
)

// MostThings is the largest number of things that Choose takes; it keeps eight bytes for every three of them.
const MostThings = 600

// MostDemands is the largest number of demands.
const MostDemands = 32

// Triples says what threes cost: floors, and true costs with the demands that they can serve.
type Triples = known.Triples

// Ask is the question.
//
// Costs are meant to be of the order of 0.01 to 1000. Sums are told apart by 1e-9 of the least (at least 1e-9), and where costs and
// floors are far apart by 1e-9 of how far.
type Ask struct {
	N       int // things, 0 to MostThings
	Triples Triples
	Wanted  []int       // how many sets each demand wants, most important first (at most MostDemands); the last may be −1: without end. nil: one without end
	Before  [][3]int    // a plan to begin with, may be nil; threes that cannot be are left out
	Gap     float64     // good enough: stop at this relative gap; 0: to the end
	Stop    func() bool // asked every few ms; true ends the search with what there is. nil: never
	Tell    func(State) // progress; nil: nobody
}

// State is how far a search has come.
type State struct {
	Numbers     []int   // sets per demand in the best plan so far
	Cost, Bound float64 // of that plan, and what is proven of such numbers so far
	Counted     bool    // the numbers are proven to be the best
	Priced      int
}

// Chosen is a three of the plan, its things ascending, with the demand it serves and its true cost.
type Chosen struct {
	Three  [3]int
	Demand int
	Cost   float64
}

// Spared counts threes that were never truly priced, with the reason why they could not win.
type Spared struct {
	Why   Reason
	Count int
}

// Reason says why a three needed no true price.
type Reason int

// The reasons.
const (
	NoSet     Reason = iota // its floor is infinite: it can be no set
	TooCostly               // at the last prices its floor exceeds what it could save, so no plan as good as this one has it
	NotNeeded               // it could only stand in plans that the bound allows and that were not looked at
)

// String returns the reason's short word for programs.
func (r Reason) String() string { return [...]string{"no-set", "too-costly", "not-needed"}[r] }

// Plan is the answer.
type Plan struct {
	Sets                  []Chosen // in order of demand, then of first thing
	Unused                []int    // ascending
	Numbers, NumbersBound []int    // sets per demand, and how many there can be at most once the earlier demands have theirs; equal where proven
	Cost, Bound           float64  // sum of costs, and what no plan of these numbers is below; the cost itself where they are told apart no more
	Triples, Possible     int      // all threes; those whose floor is finite
	Priced                int      // those truly priced
	Why                   []Spared // adds up to Triples − Priced
	Nodes                 int      // branches looked at
	Stopped               bool     // the caller had no more time
}

// Gap returns how far the cost may be from the least, as a share of the cost: 0 where proven or where nothing costs.
func (p Plan) Gap() float64 {
	if p.Cost <= p.Bound || p.Cost == 0 {
		return 0
	}
	return (p.Cost - p.Bound) / math.Abs(p.Cost)
}

// Choose answers the question. Errors are trouble: a question that is none (data), or costs that are no numbers (own).
func Choose(a Ask) (Plan, error) {
	if err := check(&a); err != nil {
		return Plan{}, err
	}
	s, err := newSearch(a)
	if err != nil {
		return Plan{}, err
	}
	if err := s.run(); err != nil {
		return Plan{}, err
	}
	return s.plan(), nil
}

// check refuses a question that cannot be asked and fills in what was left out.
func check(a *Ask) error {
	if a.N < 0 || a.N > MostThings {
		return trouble.Data("stock-size", "", fmt.Sprintf("threes of %d things cannot be chosen here", a.N),
			fmt.Sprintf("give at most %d at once", MostThings))
	}
	if a.Wanted == nil {
		a.Wanted = []int{-1}
	}
	if len(a.Wanted) == 0 || len(a.Wanted) > MostDemands {
		return trouble.Data("demands", "", fmt.Sprintf("%d demands cannot be met here", len(a.Wanted)), fmt.Sprintf("give 1 to %d", MostDemands))
	}
	for d, w := range a.Wanted {
		if w < 0 && (w != -1 || d != len(a.Wanted)-1) {
			return trouble.Data("demands", "", fmt.Sprintf("demand %d wants %d sets", d+1, w), "give 0 or more; only the last may be −1, without end")
		}
	}
	if a.Triples == nil {
		return trouble.Own("no-triples", "", "nobody says what threes cost", "give Triples")
	}
	if a.Stop == nil {
		a.Stop = func() bool { return false }
	}
	return nil
}

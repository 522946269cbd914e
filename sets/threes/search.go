package threes

import (
	"math"
	"math/bits"
	"slices"

	"slatewright/sets/threes/known"
)

// set is a three of a plan and the group of demands it serves.
type set struct {
	three three
	place int32
	group int32
}

// search is the state of one question: what is known of the threes, and the best plan so far.
type search struct {
	limits
	ask     Ask
	t       *known.Table
	mask    uint32 // all demands
	groups  []group
	groupOf []int // of each demand
	sets    []set
	used    []bool
	numbers []int
	most    []int // of each demand: proven upper bounds
	bound   float64
	boundOf []int // the numbers that the bound is of
	nodes   int
	fetched int     // threes that nodes took in from outside
	quiet   []int32 // places of the sets of the plan that exchanges left last
	stopped bool
	priced  *proof // the prices at the end of the last root
	wrong   error  // met where nothing could return it
}

// close is below what two sums of costs are counted as equal.
func (s *search) close() float64 {
	return 1e-9 * max(1, math.Abs(s.cost()))
}

func (s *search) stop() bool {
	if !s.stopped && s.ask.Stop() {
		s.stopped = true
	}
	return s.stopped
}

// tell passes on how far the search has come.
func (s *search) tell() {
	if s.ask.Tell != nil {
		s.ask.Tell(State{Numbers: slices.Clone(s.numbers), Cost: s.cost(), Bound: s.bound, Counted: s.counted(), Priced: s.t.Priced})
	}
}

// cost is the sum of the plan's costs, in the order of the things.
func (s *search) cost() float64 { return s.sum(s.sets) }

func (s *search) sum(sets []set) float64 {
	places := make([]int32, len(sets))
	for a, c := range sets {
		places[a] = c.place
	}
	slices.Sort(places)
	sum := 0.0
	for _, p := range places {
		sum += s.t.Low(p)
	}
	return sum
}

// good says that the gap is as small as was asked for.
func (s *search) good() bool {
	cost := s.cost()
	return cost-s.bound <= max(s.close(), s.ask.Gap*math.Abs(cost))
}

// newSet makes a set of three things in ascending order.
func (s *search) newSet(c three, group int32) set {
	return set{c, s.t.Place(c), group}
}

func ordered(a, b, c int32) three {
	if a > b {
		a, b = b, a
	}
	if b > c {
		b, c = c, b
		if a > b {
			a, b = b, a
		}
	}
	return three{a, b, c}
}

// can says that a priced three can serve the group.
func (s *search) can(place int32, g int32) bool {
	return s.t.Serves(place)&s.groups[g].mask != 0
}

// adopt makes sets the plan and gives them to the demands.
func (s *search) adopt(sets []set) {
	s.sets = sets
	s.used = make([]bool, s.t.N)
	left := make([]int, len(s.groups))
	for _, c := range sets {
		left[c.group]++
		for _, i := range c.three {
			s.used[i] = true
		}
	}
	s.numbers = make([]int, len(s.ask.Wanted))
	for d := range s.numbers {
		g := s.groupOf[d]
		s.numbers[d] = min(left[g], s.wanted(d))
		left[g] -= s.numbers[d]
	}
}

// wanted is how many sets a demand wants, at most as many as there can be at all.
func (s *search) wanted(d int) int {
	all := s.t.N / 3
	if w := s.ask.Wanted[d]; w >= 0 {
		return min(w, all)
	}
	return all
}

// regroup puts demands together that every three priced so far serves alike. It reports whether that changed anything.
func (s *search) regroup() bool {
	var groups []group
	groupOf := make([]int, len(s.ask.Wanted))
	for d := range s.ask.Wanted {
		at := -1
		for g := range groups {
			if s.alike(d, bits.TrailingZeros32(groups[g].mask)) {
				at = g
				break
			}
		}
		if at < 0 {
			at = len(groups)
			groups = append(groups, group{})
		}
		groups[at].mask |= 1 << d
		groupOf[d] = at
	}
	changed := len(groups) != len(s.groups)
	if changed {
		s.groups, s.groupOf = groups, groupOf
	}
	return changed
}

// alike says that no three seen so far serves one of two demands only.
func (s *search) alike(a, b int) bool {
	for _, p := range s.t.Patterns {
		if p>>a&1 != p>>b&1 {
			return false
		}
	}
	return true
}

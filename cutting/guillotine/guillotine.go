// Package guillotine cuts a plain rectangle into smaller ones by cuts that run from edge to edge, for the most value, and proves how far any plan
// could be better.
//
// Items are rectangles with a value each, laid one way or, where they may be turned, both; copies may be limited. Without limits a dynamic
// programme over the sizes that sums of items can reach is exact (P. C. Gilmore and R. E. Gomory, Multistage cutting stock problems of two and more
// dimensions, Operations Research 13, 1965, 94; J. C. Herz, Recursive computational procedure for two-dimensional stock cutting, IBM Journal of
// Research and Development 16, 1972, 462). With limits, builds are joined best first under the bound of that programme (K. V. Viswanathan and A.
// Bagchi, Best-first search methods for constrained two-dimensional cutting stock problems, Operations Research 41, 1993, 768), and under one by prices on copies.
//
// The package knows no flaws, no outline but a rectangle and no angle but the right one; package cutting/slab does. It looks at no clock: who calls
// it says when to stop, or after how much work, and the same work gives the same plan.
package guillotine

import (
	"fmt"
	"math"
	"slices"

	"slatewright/trouble"
)

// What a problem may hold at most. Sizes beyond mostStates are answered with a bound that is not tight.
const (
	mostItems  = 500
	mostSize   = 1_000_000
	mostValue  = int64(1) << 40
	mostStates = 16_000_000
	mostWork   = int64(1) << 62
	mostPieces = 100_000
)

// Item is a rectangle that is wanted. Lengths lie along the stock's length, in any unit that makes them whole.
type Item struct {
	Length, Width int
	Most          int   // copies at most; negative: no limit
	Value         int64 // of one copy; what is worth nothing is never cut
	Turn          bool  // it may lie with its length across
}

// Problem is a rectangle and what is wanted from it.
type Problem struct {
	Length, Width int
	Kerf          int // what every cut takes
	Items         []Item
}

// Limits say when to stop before the proof is done. The zero value stops never.
type Limits struct {
	Work int64                    // steps of the search at most, so that the answer is the same on every machine; 0: no limit
	Stop func() bool              // asked now and then; true ends the search with what is known
	Seen func(value, bound int64) // told of each better plan or bound; may be nil
}

// Piece is a copy of an item at its place: its corner nearest to the origin, and how it lies.
type Piece struct {
	Item, X, Y int
	Turned     bool // the item's length lies across the stock
}

// Cut is a saw's way from edge to edge of the part that it divides: [X1, X2] × [Y1, Y2], of which one pair is equal, or as far apart as the kerf.
// Cuts stand in an order in which they can be made.
type Cut struct {
	Along          bool // the saw runs along the stock's length
	X1, Y1, X2, Y2 int
}

// Plan is an answer: what it is worth, and what no plan can exceed.
type Plan struct {
	Value, Bound int64
	Proven       bool // no plan is worth more
	Pieces       []Piece
	Cuts         []Cut
	Work         int64 // steps done
}

// Gap is the share of the bound that a better plan might still gain: 0 when it is proven.
func (p Plan) Gap() float64 {
	if p.Bound <= p.Value {
		return 0
	}
	return float64(p.Bound-p.Value) / float64(p.Bound)
}

// Solve finds a plan of the most value, with a bound on every other. It gives *trouble.Trouble on what is no problem.
func Solve(p Problem, l Limits) (Plan, error) {
	if err := p.check(); err != nil {
		return Plan{}, err
	}
	s := newSearch(p, l)
	s.run()
	return s.plan(), nil
}

func (p Problem) check() error {
	fault := func(where, what, next string) error { return trouble.Data("no-cutting-problem", where, what, next) }
	switch {
	case !within(p.Length) || !within(p.Width):
		return fault("stock", fmt.Sprintf("a stock of %d x %d cannot be cut", p.Length, p.Width), fmt.Sprintf("give two whole sizes between 1 and %d", mostSize))
	case p.Kerf < 0 || p.Kerf > mostSize:
		return fault("kerf", fmt.Sprintf("a kerf of %d is none", p.Kerf), "give 0 or what the saw takes")
	case len(p.Items) == 0:
		return fault("items", "there is no item to cut", "list at least one item")
	case len(p.Items) > mostItems:
		return fault("items", fmt.Sprintf("%d items; at most %d are worked with", len(p.Items), mostItems), "leave out those that are not wanted from this stock")
	}
	for i, it := range p.Items {
		where := fmt.Sprintf("item %d", i+1)
		if !within(it.Length) || !within(it.Width) {
			return fault(where, fmt.Sprintf("a size of %d x %d", it.Length, it.Width), fmt.Sprintf("give two whole sizes between 1 and %d", mostSize))
		}
		if it.Value < 0 || it.Value > mostValue {
			return fault(where, "its value is negative or too large", "give what one copy is worth, 0 or more")
		}
		if fits := p.Length * p.Width / (it.Length * it.Width); fits > mostPieces && (it.Most < 0 || it.Most > mostPieces) {
			return fault(where, fmt.Sprintf("%d copies fit; at most %d are worked with", fits, mostPieces), "limit its copies, or leave it out")
		}
	}
	return nil
}

func within(size int) bool { return size >= 1 && size <= mostSize }

// lie is an item as it lies in the stock; sizes have the kerf in them, and so has the stock: a plan with a kerf is one without in a stock and of
// items that are larger by it.
type lie struct {
	item, w, h int
	turned     bool
	value      int64
}

// search is the state of one solving.
type search struct {
	Problem
	Limits
	length, width int // with the kerf
	lies          []lie
	most          []int // copies of each item at most: what fits by area, or the limit
	limited       bool  // some limit is less than what fits
	dense         []int // items by value for their area
	best          *build
	value, bound  int64
	work          int64
	steps         func(steps int) bool // in place of the limits
	stopped       bool
}

func newSearch(p Problem, l Limits) *search {
	s := &search{Problem: p, Limits: l, length: p.Length + p.Kerf, width: p.Width + p.Kerf, most: make([]int, len(p.Items))}
	if s.Work == 0 {
		s.Work = mostWork
	}
	for i, it := range p.Items {
		w, h := it.Length+p.Kerf, it.Width+p.Kerf
		fits := most(s.length, s.width, w, h)
		if it.Turn {
			fits = max(fits, s.length*s.width/(w*h))
		}
		s.most[i] = fits
		if it.Most >= 0 && it.Most < fits {
			s.most[i], s.limited = it.Most, true
		}
		if s.most[i] == 0 || it.Value == 0 {
			continue
		}
		add := func(w, h int, turned bool) {
			if w <= s.length && h <= s.width {
				s.lies = append(s.lies, lie{i, w, h, turned, it.Value})
			}
		}
		add(w, h, false)
		if it.Turn && w != h {
			add(h, w, true)
		}
	}
	slices.SortStableFunc(s.lies, func(a, b lie) int { return int(sign(b.value - a.value)) })
	return s
}

// most counts how often an item laid one way stands in a rectangle.
func most(length, width, w, h int) int { return (length / w) * (width / h) }

func sign(x int64) int64 {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}

// run chooses the way.
func (s *search) run() {
	s.begin()
	if s.bound <= s.value {
		return
	}
	if s.limited {
		s.constrained()
		return
	}
	s.unconstrained()
}

// begin gives a first plan, many copies of one item, and the bound by area.
func (s *search) begin() {
	s.bound = s.byArea(int64(s.length)*int64(s.width), nil)
	for _, l := range s.lies {
		if b := s.rows(l); s.best == nil || b.value > s.value {
			s.take(b)
		}
	}
	if len(s.lies) == 0 {
		s.bound = 0
	}
}

// rows is a grid of copies of one item.
func (s *search) rows(l lie) *build {
	nx, ny := s.length/l.w, s.width/l.h
	left := s.most[l.item]
	nx = min(nx, left)
	ny = min(ny, left/nx)
	one := leaf(l)
	row := one
	for range nx - 1 {
		row = beside(row, one)
	}
	all := row
	for range ny - 1 {
		all = above(all, row)
	}
	return all
}

// take keeps a better plan.
func (s *search) take(b *build) {
	s.best, s.value = b, b.value
	if s.Seen != nil {
		s.Seen(s.value, s.bound)
	}
}

// lower keeps a better bound.
func (s *search) lower(bound int64) {
	if bound < s.bound {
		s.bound = max(bound, s.value)
		if s.Seen != nil {
			s.Seen(s.value, s.bound)
		}
	}
}

// done counts steps, and tells whether to stop. After that nothing is counted: a search of as many steps stops at the same one.
func (s *search) done(steps int) bool {
	if s.steps != nil {
		return s.steps(steps)
	}
	if s.stopped {
		return true
	}
	before := s.work
	s.work += int64(steps)
	if s.work >= s.Work || s.Stop != nil && before>>14 != s.work>>14 && s.Stop() {
		s.stopped = true
	}
	return s.stopped
}

// byArea bounds the value of what fits on an area when some copies are used already: copies in the order of their value for their area, the last in
// part (G. B. Dantzig, Discrete-variable extremum problems, Operations Research 5, 1957, 266), rounded outward.
func (s *search) byArea(area int64, used []uint16) int64 {
	var sum float64
	for _, i := range s.byDensity() {
		it := s.Items[i]
		n := s.most[i]
		if used != nil {
			n -= int(used[i])
		}
		one := int64(it.Length+s.Kerf) * int64(it.Width+s.Kerf)
		if takes := one * int64(n); takes <= area {
			area -= takes
			sum += float64(it.Value) * float64(n)
			continue
		}
		sum += float64(it.Value) * float64(area) / float64(one)
		break
	}
	return int64(math.Floor(sum + 1e-9*sum + 1e-6))
}

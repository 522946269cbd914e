// Package search finds how a slab is cut into the pieces that are worth most, with a bound: what no plan of cuts from edge to edge on a grid of 1 mm, at the
// angles that the saw can set, can exceed. Places stand on that grid; sizes and the kerf are rounded up to it.
//
// The way: a dynamic programme over parts between lines gives a plan, and the same programme over parts that overlap by the space between two lines gives
// the bound; lines are added where the two differ until they meet or the caller stops. Limits on copies enter by prices (H. Everett, Generalized Lagrange
// multiplier method for solving problems of optimum allocation of resources, Operations Research 11, 1963, 399), and by counting where these leave a gap.
// A plain rectangle goes to package guillotine.
//
// The package looks at no clock, and does not judge its own plans: slab/check does, by other means.
package search

import (
	"cmp"
	"math"
	"slices"

	"slatewright/chance"
	"slatewright/cutting/slab"
	"slatewright/cutting/slab/ground"
	"slatewright/polygon"
)

// Limits say when to stop before the proof is done. The zero value stops only when nothing more can be done.
type Limits struct {
	Work int64                    // steps at most, so that the answer is the same on every machine; 0: no limit
	Stop func() bool              // asked now and then
	Seen func(value, bound int64) // told of each better plan or bound; may be nil
	Gap  float64                  // a gap that is good enough; 0: prove it
}

// search is the state of one solving.
type search struct {
	*slab.Slab
	Limits
	sites   []*site
	best    *laid
	on      *site // of the best plan
	value   int64
	told    int64
	top     int64 // bound by area
	work    int64
	stopped bool
	kept    int            // parts that a first pass keeps
	draw    *chance.Stream // of places for lines
	settled []float64      // prices that were good in some frame; nil: none yet
}

// site is a frame in which the slab is cut, with what is known of it.
type site struct {
	*ground.Ground
	degrees  float64
	kinds    [][]*ground.Stance
	kerf     int
	least    [2]int // narrowest piece along x and y
	level    *level
	room     []int32 // what the rest gives beside each part of the level at most; nil: not known at these prices
	bound    int64
	prices   prices
	opened   bool
	closed   bool   // nothing more can be learned
	base     *level // where a pass begins anew with more parts kept; nil: nothing was dropped
	baseRoom []int32
	keep     int   // parts kept
	passed   int64 // what was dropped leads to no more than this
	full     bool  // there is no room for more lines, unless there is a better plan
	wide     bool  // lines lie too far apart for a bound
	settling bool  // the prices are those of the best bound, and stay
	rounds   int
	parts    int // stretches of a wide site
	sound    *sound
	priced   []int64 // worth at which sound was made
	spotless *ground.Stance
}

// Solve finds a plan and a bound. It gives *trouble.Trouble on what is no slab; a plan without pieces where nothing fits.
func Solve(s *slab.Slab, l Limits) (*slab.Plan, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	if p, ok := newPlain(s); ok {
		return p.solve(l)
	}
	return newSearch(s, l, firstKept).run(), nil
}

// newSearch begins a search whose passes keep so many parts at first.
func newSearch(s *slab.Slab, l Limits, keep int) *search {
	c := &search{Slab: s, Limits: l, kept: keep}
	if c.Work == 0 {
		c.Work = math.MaxInt64
	}
	c.top = byArea(s, math.Abs(polygon.Area(s.Outline)))
	for _, a := range distinctAngles(s) {
		c.sites = append(c.sites, &site{degrees: a, bound: c.top, kerf: int(math.Ceil(s.Kerf - slab.Touch))})
	}
	c.told, c.draw = math.MaxInt64, chance.NewStream(8)
	return c
}

// run works on one frame after the other.
func (c *search) run() *slab.Plan {
	for !c.stopped {
		at := c.next()
		if at == nil || c.good() {
			break
		}
		c.step(at)
		c.tell()
	}
	return c.plan()
}

// distinctAngles leaves out what is listed twice.
func distinctAngles(s *slab.Slab) (list []float64) {
	for _, a := range s.Angles {
		if !slices.Contains(list, a) {
			list = append(list, a)
		}
	}
	return list
}

// good tells whether the gap is small enough.
func (c *search) good() bool { return c.near(c.bound()) }

// near tells whether a bound is near enough to the best plan.
func (c *search) near(bound int64) bool {
	return bound <= c.value || float64(bound-c.value) < c.Gap*float64(bound)
}

// goal is a bound that is near enough.
func (c *search) goal() int64 {
	if g := int64(float64(c.value) / (1 - c.Gap)); c.near(g) {
		return g
	}
	return c.value
}

// bound is the highest of the frames.
func (c *search) bound() (b int64) {
	b = c.value
	for _, s := range c.sites {
		b = max(b, s.bound)
	}
	return b
}

// next is the frame to work on: first each once, then the one of the highest bound that can still be improved.
func (c *search) next() (at *site) {
	for _, s := range c.sites {
		if s.closed || s.full || s.bound <= c.value {
			continue
		}
		if at == nil || at.opened && (!s.opened || s.bound > at.bound || s.bound == at.bound && s.rounds < at.rounds) {
			at = s
		}
	}
	return at
}

func (c *search) tell() {
	if b := c.bound(); c.Seen != nil && b < c.told {
		c.told = b
		c.Seen(c.value, b)
	}
}

// done counts steps, and tells whether to stop. After that nothing is counted: a search of as many steps stops at the same one.
func (c *search) done(steps int) bool {
	if c.stopped {
		return true
	}
	before := c.work
	c.work += int64(steps)
	if c.work >= c.Work || c.Stop != nil && before>>18 != c.work>>18 && c.Stop() {
		c.stopped = true
	}
	return c.stopped
}

// keep takes a plan when it is the best.
func (c *search) keep(s *site, l *laid) {
	l, v := c.assigned(s, l)
	if v > c.value {
		c.best, c.on, c.value = l, s, v
		for _, other := range c.sites {
			other.full = false
		}
		if c.Seen != nil {
			c.Seen(v, c.bound())
		}
	}
}

// byArea bounds the value of an area: types in the order of their value for their size, the last in part.
func byArea(s *slab.Slab, free float64) int64 {
	return int64(math.Floor(packed(s, free, func(t slab.Type) float64 { return float64(t.Value) }) * (1 + 1e-12)))
}

func packed(s *slab.Slab, free float64, worth func(slab.Type) float64) (sum float64) {
	type share struct{ dense, area, most, worth float64 }
	var list []share
	for _, t := range s.Types {
		l, w := t.Rough()
		a := float64(l) * float64(w)
		m := math.Inf(1)
		if t.Most >= 0 {
			m = float64(t.Most)
		}
		list = append(list, share{worth(t) / a, a, m, worth(t)})
	}
	slices.SortStableFunc(list, func(a, b share) int { return cmp.Compare(b.dense, a.dense) })
	for _, t := range list {
		n := math.Min(t.most, free/t.area)
		sum += n * t.worth
		free -= n * t.area
		if free <= 0 {
			break
		}
	}
	return sum
}

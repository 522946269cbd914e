package sets

import (
	"math"
	"slices"
	"sync/atomic"

	"slatewright/sets/threes"
)

// answer is what a search of one group came to.
type answer struct {
	chosen         []threes.Chosen // as things, with the costs of the search
	numbers, bound []int           // by want
	cost, atLeast  float64         // as reported: what it costs, and a bound on it
	proven         float64         // the bound as the search proved it, which may be below 0
	kept           int             // companies in sets
	how            How
	triples        int
	possible       int
	priced         int
	why            map[Reason]int
	stopped        bool
}

// Match plans.
func (r *Racks) Match() (Plan, error) {
	answers := make([]*answer, len(r.groups))
	rough := r.q.Stop != nil && len(r.groups) > 1 // every size has a plan before any has a better one
	for round := range 2 {
		if round == 0 && !rough {
			continue
		}
		for n, g := range r.groups {
			a, err := r.search(g, answers, n, round == 0)
			if err != nil {
				return Plan{}, err
			}
			answers[n] = a
		}
	}
	return r.plan(answers), nil
}

// search plans for one group. A rough search ends with its first plan.
func (r *Racks) search(g *group, others []*answer, n int, rough bool) (*answer, error) {
	if g.splits() {
		return g.byJoints()
	}
	s := &searching{r: r, g: g, rough: rough, start: g.start}
	if old := others[n]; old != nil {
		s.start = old.threes()
	}
	for m, o := range others {
		if m != n && o != nil {
			s.sets, s.cost, s.bound, s.priced = s.sets+len(o.chosen), s.cost+o.cost, s.bound+o.atLeast, s.priced+o.priced
		}
	}
	return s.run()
}

// searching is one search of a group.
type searching struct {
	r            *Racks
	g            *group
	rough        bool
	start        [][3]int
	sets, priced int // of the other groups
	cost, bound  float64
	enough       atomic.Bool // a plan stands that is good enough, of numbers that are proven
	stood        atomic.Bool // a plan stands
}

// run searches with what was decided by hand and with the plan that stood before. Where the latter keeps the bound low, a second search without it bounds
// the cost as it is reported.
func (s *searching) run() (*answer, error) {
	first, err := s.choose(true)
	if err != nil || s.rough || first.stopped || !s.g.changes() || first.gap() <= s.r.q.Gap {
		return first, err
	}
	start := s.start
	s.start = first.threes()
	plain, err := s.choose(false)
	if err != nil {
		return nil, err
	}
	switch slices.Compare(plain.numbers, first.numbers) {
	case 0:
		first.atLeast = max(first.atLeast, min(first.cost, plain.proven+Kept*float64(first.kept-plain.kept)))
		first.stopped = plain.stopped
		return first, nil
	case 1: // the first search was not at its end
		s.start = append(plain.threes(), start...)
		return s.choose(true)
	}
	return first, nil
}

// changes tells whether sets that are new cost more.
func (g *group) changes() bool { return len(g.before) > 0 && g.weights.Change > 0 }

// choose is one search; new sets cost more if changes count.
func (s *searching) choose(changes bool) (*answer, error) {
	g := s.g
	c := costs{group: g, changes: changes && g.changes()}
	ask := threes.Ask{N: len(g.pieces), Triples: c, Wanted: g.wanted(), Before: s.start, Tell: func(now threes.State) { s.tell(c, now) }}
	if len(g.hand.company) == 0 {
		ask.Gap = s.r.q.Gap // else costs of the search may be below 0, and tell looks at the gap
	}
	s.enough.Store(false)
	ask.Stop = func() bool {
		return s.enough.Load() || s.stood.Load() && (s.rough || s.r.q.Stop != nil && s.r.q.Stop())
	}
	plan, err := threes.Choose(ask)
	if err != nil {
		return nil, err
	}
	a := c.answer(plan)
	a.stopped = plan.Stopped && !s.enough.Load()
	return a, nil
}

// tell passes on how far the search is, and sees whether it is far enough.
func (s *searching) tell(c costs, now threes.State) {
	sets := 0
	for _, n := range now.Numbers {
		sets += n
	}
	kept := Kept * float64(len(c.hand.company))
	change := 0.0
	if c.changes {
		change = c.weights.Change * float64(sets)
	}
	cost, bound := now.Cost+kept, now.Bound+kept-change
	if sets > 0 {
		s.stood.Store(true)
	}
	if gap := s.r.q.Gap; gap > 0 && sets > 0 && now.Counted && now.Cost-now.Bound <= gap*(leastKept(now.Cost)-change) {
		s.enough.Store(true)
	}
	if s.r.q.Tell != nil {
		s.r.q.Tell(Progress{Size: s.g.size, Sets: s.sets + sets, Cost: s.cost + cost, Bound: s.bound + min(max(bound, 0), cost), Priced: s.priced + now.Priced})
	}
}

// leastKept is the least that a plan can cost as it is reported whose search says so much: with as few companies kept as leave it no less than 0.
func leastKept(cost float64) float64 { return cost + Kept*math.Ceil(max(0, -cost/Kept)) }

// answer takes the wishes out of a plan's cost and bound.
func (c costs) answer(p threes.Plan) *answer {
	a := &answer{chosen: p.Sets, numbers: p.Numbers, bound: p.NumbersBound, how: BySearch, triples: p.Triples, possible: p.Possible, priced: p.Priced,
		why: map[Reason]int{}, proven: p.Bound}
	for _, x := range p.Sets {
		a.cost += c.bed(x.Three, c.wants[x.Demand].class).Cost + c.own(x.Three)
		if c.hand.keeps(x.Three) {
			a.kept++
		}
	}
	a.proven += Kept * float64(a.kept)
	if c.changes {
		a.proven -= c.weights.Change * float64(len(p.Sets))
	}
	a.atLeast = min(max(a.proven, 0), a.cost) // nothing costs less than nothing
	for _, w := range p.Why {
		a.why[reasons[w.Why]] += w.Count
	}
	return a
}

func (a *answer) gap() float64 { return Gap(a.cost, a.atLeast) }

// Gap is (cost − bound)/cost; 0 where they are equal but for rounding.
func Gap(cost, bound float64) float64 {
	if cost-bound <= 1e-12*math.Abs(cost) {
		return 0
	}
	return (cost - bound) / math.Abs(cost)
}

func (a *answer) threes() [][3]int {
	list := make([][3]int, len(a.chosen))
	for i, c := range a.chosen {
		list[i] = c.Three
	}
	return list
}

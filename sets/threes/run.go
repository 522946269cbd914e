package threes

import (
	"math"
	"slices"

	"slatewright/chance"
)

func newSearch(a Ask) (*search, error) {
	t, err := newTable(a.N, a.Triples)
	if err != nil {
		return nil, err
	}
	s := &search{ask: a, t: t, mask: everything >> (32 - len(a.Wanted)), bound: math.Inf(-1)}
	s.regroup()
	return s, nil
}

// run searches: a plan first, then the numbers, then the costs.
func (s *search) run() error {
	if err := s.begin(); err != nil {
		return err
	}
	left := s.t.n / 3
	for d := range s.ask.Wanted {
		s.most = append(s.most, min(left, s.wanted(d)))
		left -= s.numbers[d]
	}
	s.tell()
	if s.t.possible == 0 {
		s.bound = 0
		return nil
	}
	for {
		again, err := s.costs()
		if err != nil || !again {
			return err
		}
	}
}

// costs looks for the least cost at the numbers of the plan. Again: demands are no longer alike, all is to be begun anew.
func (s *search) costs() (again bool, err error) {
	st := s.newStage(s.goal(), 1, s.close())
	defer func() {
		if st.again {
			s.regroup()
			again = true
		}
	}()
	done, err := st.root(40)
	if err != nil || !done || st.over() {
		return false, err
	}
	proven := st.p.proven(0)
	found := st.reserve()
	if len(found) > mostOpen {
		if err := st.mendParts(found, chance.NewStream(uint64(s.t.n))); err != nil || st.again || st.halt() || st.over() {
			return false, err
		}
		found = within(found, st.high-st.step-proven)
	}
	st.gather(found)
	_, err = (&tree{stage: st}).search()
	return false, err
}

// mostOpen is how many threes are branched on at once without mending the plan first.
const mostOpen = 20_000

// begin makes a first plan: the best of the one given and a greedy one, mended by exchanges.
func (s *search) begin() error {
	var given []set
	used := make([]bool, s.t.n)
	for _, b := range s.ask.Before {
		if c, ok := s.proper(b, used); ok {
			if err := s.learn([]three{c}); err != nil {
				return err
			}
			if place := s.t.newSet(c, 0).place; !math.IsInf(s.t.low[place], 1) {
				for _, i := range c {
					used[i] = true
				}
				given = append(given, s.t.newSet(c, 0))
			}
		}
	}
	sets, err := s.greedy(given)
	if err != nil {
		return err
	}
	s.adopt(sets)
	return s.exchange(s.sets)
}

// proper puts a three that was given in order; false if it is none of three different free things.
func (s *search) proper(b [3]int, used []bool) (three, bool) {
	slices.Sort(b[:])
	if b[0] < 0 || b[2] >= s.t.n || b[0] == b[1] || b[1] == b[2] {
		return three{}, false
	}
	c := three{int32(b[0]), int32(b[1]), int32(b[2])}
	return c, !used[b[0]] && !used[b[1]] && !used[b[2]]
}

// goal is the groups with the numbers of the present plan, a missing set costing more than any plan saves by it.
func (s *search) goal() []group {
	groups := slices.Clone(s.groups)
	for g := range groups {
		groups[g].wanted = 0
		groups[g].missing = 1 + s.cost() - float64(len(s.sets))*s.t.least
	}
	for d, n := range s.numbers {
		groups[s.groupOf[d]].wanted += n
	}
	return groups
}

// seed puts threes into a program to begin with: the plan's.
func (s *search) seed(p *program) {
	for _, c := range s.sets {
		p.take(c.three, c.group)
	}
}

// plan is the answer as it stands.
func (s *search) plan() Plan {
	p := Plan{Numbers: s.numbers, NumbersBound: s.most, Cost: s.cost(), Bound: s.bound, Triples: len(s.t.low), Possible: s.t.possible,
		Priced: s.t.priced, Nodes: s.nodes, Stopped: s.stopped}
	left := slices.Clone(s.numbers)
	for _, c := range s.sets {
		d := 0
		for s.groupOf[d] != int(c.group) || left[d] == 0 {
			d++
		}
		left[d]--
		p.Sets = append(p.Sets, Chosen{[3]int{int(c.three[0]), int(c.three[1]), int(c.three[2])}, d, s.t.low[c.place]})
	}
	slices.SortFunc(p.Sets, func(a, b Chosen) int {
		if a.Demand != b.Demand {
			return a.Demand - b.Demand
		}
		return a.Three[0] - b.Three[0]
	})
	for _, i := range s.free(s.sets) {
		p.Unused = append(p.Unused, int(i))
	}
	if p.Bound > p.Cost-s.close() {
		p.Bound = p.Cost
	}
	p.Why = []Spared{{NoSet, p.Triples - p.Possible}, {TooCostly, p.Possible - p.Priced}}
	return p
}

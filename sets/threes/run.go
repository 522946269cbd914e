package threes

import (
	"math"
	"slices"

	"slatewright/chance"
	"slatewright/sets/threes/known"
)

func newSearch(a Ask) (*search, error) {
	t, err := known.New(a.N, a.Triples)
	if err != nil {
		return nil, err
	}
	s := &search{ask: a, t: t, limits: usual, mask: known.Everything >> (32 - len(a.Wanted)), bound: math.Inf(-1)}
	s.regroup()
	return s, nil
}

// run searches: a plan first, then the numbers, then the costs; all over again if demands turn out not to be alike.
func (s *search) run() error {
	if err := s.given(); err != nil {
		return err
	}
	for again := true; again; {
		if err := s.begin(); err != nil {
			return err
		}
		if again = s.regroup(); again {
			continue
		}
		var err error
		if again, err = s.both(false); err == nil && !again && !s.counted() && !s.stop() {
			again, err = s.both(true)
		}
		if err != nil {
			return err
		}
		again = again || s.regroup() // exchanges learn too which demands differ
	}
	return nil
}

// both bounds the cost, counts and then looks for the least cost. All: numbers are counted to the end; costs follow only if that found more.
func (s *search) both(all bool) (again bool, err error) {
	var first *stage
	if !all { // most numbers turn out to be the best, and a bound is wanted early
		if first, err = s.relaxed(); err != nil || first.again {
			return err == nil, err
		}
	}
	before := slices.Clone(s.numbers)
	again, err = s.count(all)
	same := slices.Equal(before, s.numbers)
	if err != nil || again || all && same {
		return again, err
	}
	s.floor()
	switch {
	case first == nil:
		first = s.newStage(s.goal(), wholeCost, s.close())
	case !same:
		first = first.renewed()
	}
	return s.costs(first)
}

// relaxed is the relaxation of the least cost at the numbers of the plan, solved without cuts.
func (s *search) relaxed() (*stage, error) {
	s.floor()
	st := s.newStage(s.goal(), wholeCost, s.close())
	if s.good() {
		return st, nil
	}
	_, err := st.root(0)
	return st, err
}

// costs looks for the least cost at the numbers of the plan, which are those of the stage. Again: demands are no longer alike, all is to be begun anew.
func (s *search) costs(st *stage) (again bool, err error) {
	s.priced = st.last
	s.tell()
	if s.good() {
		return false, nil
	}
	st.high = st.valueOf(s.sets)
	defer func() { again = st.again }()
	done, err := st.root(40)
	if err != nil || !done {
		return false, err
	}
	root := st.last
	s.priced = root
	if st.over() {
		return false, nil
	}
	found := st.reserve()
	draw := chance.NewStream(uint64(s.t.N))
	for size := 6; len(found) > s.open && size <= 12; size += 3 {
		if err := st.mendParts(found, size, draw); err != nil || st.halt() || st.over() {
			return false, err
		}
		st.gather(root.p, s.pickFew(found))
		if _, err := (&tree{stage: st, some: true, most: 120}).search(); err != nil || st.halt() || st.over() {
			return false, err
		}
		found = within(found, st.high-st.step-root.bound)
	}
	if len(found) > s.ever {
		return false, nil
	}
	tr := &tree{stage: st}
	if len(found) > s.open {
		slices.SortFunc(found, known.ByReduced)
		tr.rest, found = newRest(found[s.few:]), found[:s.few]
	}
	st.gather(root.p, found)
	_, err = tr.search()
	return false, err
}

// limits say how many threes are branched on at once, how many of them in a first look and when more are kept outside, and how many
// are branched on at all.
type limits struct{ open, few, ever int }

// usual are the limits but for tests.
var usual = limits{open: 20_000, few: 3_000, ever: 1_000_000}

// pickFew are the candidates of least reduced cost.
func (s *search) pickFew(found []known.Candidate) []known.Candidate {
	slices.SortFunc(found, known.ByReduced)
	return found[:min(s.few, len(found))]
}

// floor makes the bound one for the numbers of the plan: what was proven of the same numbers before, or what the floors alone prove.
func (s *search) floor() {
	if !slices.Equal(s.numbers, s.boundOf) {
		s.bound, s.boundOf = s.plainBound(), slices.Clone(s.numbers)
	}
}

// plainBound is what the floors prove without any program: a set costs at least the mean of what its things cost at least.
func (s *search) plainBound() float64 {
	n := s.t.N
	low := make([]float64, n)
	for i := range low {
		low[i] = math.Inf(1)
	}
	for i := range n {
		for j := i + 1; j < n; j++ {
			least := s.t.RowLow(i, j)
			if least >= max(low[i], low[j]) && math.IsInf(least, 1) {
				continue
			}
			low[i], low[j] = min(low[i], least), min(low[j], least)
			for r, f := range s.t.Row(i, j) {
				low[j+1+r] = min(low[j+1+r], f)
			}
		}
	}
	slices.Sort(low)
	sum := 0.0
	for _, f := range low[:3*len(s.sets)] {
		sum += f
	}
	return sum/3 - 1e-14*math.Abs(sum)
}

// given begins with the plan that was given, as far as it can be.
func (s *search) given() error {
	used := make([]bool, s.t.N)
	for _, b := range s.ask.Before {
		c, ok := s.proper(b, used)
		if !ok || math.IsInf(s.lowOf(c), 1) {
			continue
		}
		if err := s.learn([]three{c}); err != nil {
			return err
		}
		if made := s.newSet(c, 0); !math.IsInf(s.t.Low(made.place), 1) {
			for _, i := range c {
				used[i] = true
			}
			s.sets = append(s.sets, made)
		}
	}
	return nil
}

// begin fills the plan up greedily and mends it by exchanges.
func (s *search) begin() error {
	s.regroup()
	order, wanted := make([]int32, len(s.groupOf)), make([]int, len(s.groupOf))
	for d, g := range s.groupOf {
		order[d], wanted[d] = int32(g), s.wanted(d)
	}
	sets, err := s.greedy(s.give(s.sets, order, wanted))
	if err != nil {
		return err
	}
	s.adopt(sets)
	s.floor()
	s.tell() // a first plan stands
	return s.exchange(s.sets)
}

// proper puts a three that was given in order; false if it is none of three different free things.
func (s *search) proper(b [3]int, used []bool) (three, bool) {
	slices.Sort(b[:])
	if b[0] < 0 || b[2] >= s.t.N || b[0] == b[1] || b[1] == b[2] {
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
		groups[g].missing = 1 + s.cost() - float64(len(s.sets))*s.t.Least
	}
	for d, n := range s.numbers {
		groups[s.groupOf[d]].wanted += n
	}
	return groups
}

// plan is the answer as it stands.
func (s *search) plan() Plan {
	p := Plan{Numbers: s.numbers, NumbersBound: s.most, Cost: s.cost(), Bound: s.bound, Triples: s.t.Size(), Possible: s.t.Possible,
		Priced: s.t.Priced, Nodes: s.nodes, Stopped: s.stopped}
	left := slices.Clone(s.numbers)
	for _, c := range s.sets {
		d := 0
		for s.groupOf[d] != int(c.group) || left[d] == 0 {
			d++
		}
		left[d]--
		p.Sets = append(p.Sets, Chosen{[3]int{int(c.three[0]), int(c.three[1]), int(c.three[2])}, d, s.t.Low(c.place)})
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
	costly := 0
	if s.priced != nil {
		costly = s.priced.costly(s.t, s.cost()-s.close())
	}
	p.Why = []Spared{{NoSet, p.Triples - p.Possible}, {TooCostly, costly}, {NotNeeded, p.Possible - p.Priced - costly}}
	return p
}

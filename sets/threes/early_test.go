package threes

import (
	"math"
	"testing"

	"slatewright/chance"
)

// leastFrom is the least cost of so many disjoint threes of things from i on, by trying all.
func (l loose) leastFrom(i, sets int, used []bool) float64 {
	for i < l.n && used[i] {
		i++
	}
	if sets == 0 {
		return 0
	}
	if i == l.n {
		return math.Inf(1)
	}
	used[i] = true
	best := l.leastFrom(i+1, sets, used)
	for j := i + 1; j < l.n; j++ {
		for k := j + 1; k < l.n && !used[j]; k++ {
			if !used[k] {
				cost, _ := l.Price(i, j, k)
				used[j], used[k] = true, true
				best = min(best, cost+l.leastFrom(i+1, sets-1, used))
				used[j], used[k] = false, false
			}
		}
	}
	used[i] = false
	return best
}

// TestBoundOfOtherNumbers: what the prices of a relaxation prove of plans with more sets, solved or not, no plan is below; and it is more than floors prove.
func TestBoundOfOtherNumbers(t *testing.T) {
	draw := chance.NewStream(41)
	better, rounds := 0, 40
	for round := range rounds {
		l := drawnLoose(10, draw)
		ask := Ask{N: l.n, Triples: l, Wanted: []int{2}}
		if err := check(&ask); err != nil {
			t.Fatal(err)
		}
		s, err := newSearch(ask)
		if err != nil {
			t.Fatal(err)
		}
		if err := s.begin(); err != nil {
			t.Fatal(err)
		}
		s.floor()
		st := s.newStage(s.goal(), wholeCost, s.close())
		s.bound, st.low = math.Inf(-1), math.Inf(-1) // else it may be over before it begins
		st.budget = round % 4 * 4
		if _, err := st.generate(); err != nil {
			t.Fatal(err)
		}
		s.ask.Wanted[0] = 3
		more := []three{{0, 1, 2}, {3, 4, 5}, {6, 7, 8}}
		if err := s.learn(more); err != nil {
			t.Fatal(err)
		}
		var sets []set
		for _, c := range more {
			sets = append(sets, s.newSet(c, 0))
		}
		s.adopt(sets)
		s.floor()
		plain := s.bound
		fresh := st.renewed()
		best := l.leastFrom(0, 3, make([]bool, l.n))
		if s.bound > best+1e-9 || fresh.low > fresh.high || fresh.p.total != 3 {
			t.Errorf("round %d: proven %v of three sets, and %v can be", round, s.bound, best)
		}
		if s.bound > plain {
			better++
		}
		if done, err := fresh.root(0); err != nil || !done || s.bound > best+1e-9 || s.cost() < best-1e-9 {
			t.Errorf("round %d: done %v, %v; proven %v, cost %v, and %v can be", round, done, err, s.bound, s.cost(), best)
		}
	}
	if better < rounds/4 {
		t.Errorf("only %d of %d bounds were better than the floors'", better, rounds)
	}
}

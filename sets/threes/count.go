package threes

import (
	"math"
	"slices"

	"slatewright/chance"
	"slatewright/sets/threes/known"
)

// little is what costs add at most where numbers are counted: there they only decide between plans of the same numbers.
const little = 0.02

// Where there are more things than whole, numbers are first counted with a budget of pivots and nodes, so that time is left for costs.
const (
	whole        = 60
	budgetPivots = 50 // for each thing
	mostCounted  = 200_000
)

// count makes the number of each demand as large as can be, one demand after another, as far as time and budget allow. Again: demands
// are no longer alike, all is to be begun anew.
func (s *search) count(all bool) (again bool, err error) {
	s.most = s.most[:0]
	left := s.t.N / 3
	for d := range s.ask.Wanted {
		s.most = append(s.most, min(left, s.wanted(d)))
		if s.numbers[d] < s.most[d] && !s.stop() {
			if again, err := s.countOne(d, all || s.t.N <= whole); err != nil || again {
				return again, err
			}
		}
		left -= s.numbers[d]
	}
	return false, nil
}

// counted says that every number is proven.
func (s *search) counted() bool { return slices.Equal(s.numbers, s.most) }

// countOne makes the number of one demand as large as can be while those before it keep theirs.
func (s *search) countOne(d int, all bool) (again bool, err error) {
	groups := make([]group, len(s.groups))
	total := 0
	for g := range groups {
		groups[g] = group{mask: s.groups[g].mask, missing: 1000}
	}
	for e := range d {
		groups[s.groupOf[e]].wanted += s.numbers[e]
		total += s.numbers[e]
	}
	own := &groups[s.groupOf[d]]
	own.wanted += s.most[d]
	own.missing = 1
	total += s.most[d]
	top := 1.0
	if s.t.Most > s.t.Least {
		top = s.t.Most - s.t.Least
	}
	st := s.newStage(groups, known.Scale{By: little / (top * float64(total)), Top: top}, 1-1.5*little)
	defer func() {
		if again = st.again; !again {
			s.most[d] = s.most[d] - max(0, int(math.Ceil(st.low-little-1e-6)))
		}
	}()
	if s.t.N > whole {
		if err := st.another(d, chance.NewStream(uint64(d))); err != nil || st.halt() || st.over() {
			return false, err
		}
	}
	if !all {
		st.budget = budgetPivots * s.t.N
	}
	done, err := st.root(40)
	if err != nil || !done || st.over() {
		return false, err
	}
	found := st.reserve()
	if len(found) > mostCounted || !all && len(found) > s.open {
		return false, nil
	}
	st.gather(st.p, found)
	_, err = (&tree{stage: st}).search()
	return false, err
}

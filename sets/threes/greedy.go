package threes

import (
	"math"
	"slices"

	"slatewright/sets/threes/known"
)

// greedy fills the demands in order, each time with the cheapest three of free things, and returns the sets.
func (s *search) greedy(begin []set) ([]set, error) {
	free := make([]bool, s.t.N)
	for i := range free {
		free[i] = true
	}
	have := make([]int, len(s.groups))
	for _, c := range begin {
		have[c.group]++
		for _, i := range c.three {
			free[i] = false
		}
	}
	sets := begin
	for d := range s.ask.Wanted {
		g := int32(s.groupOf[d])
		need := s.wanted(d)
		given := min(need, have[g])
		have[g] -= given
		var err error
		if sets, err = s.fill(sets, free, g, need-given); err != nil {
			return nil, err
		}
	}
	return sets, nil
}

// batch is how many threes the greedy way prices at once; it gives up after patience batches without a set.
const (
	batch    = 64
	patience = 16
)

// fill adds up to need sets of free things that serve the group, the cheapest first.
func (s *search) fill(sets []set, free []bool, g int32, need int) ([]set, error) {
	vain := 0
	for need > 0 && vain < patience && !s.stop() {
		list := s.cheapest(free, g)
		if len(list) == 0 {
			break
		}
		end := list[len(list)-1].D
		if len(list) < batch {
			end = math.Inf(1)
		}
		plain := make([]three, len(list))
		for a, c := range list {
			plain[a] = c.Three
		}
		if err := s.learn(plain); err != nil {
			return nil, err
		}
		for a := range list {
			list[a].D = s.lowOf(list[a].Three)
		}
		slices.SortFunc(list, known.ByReduced)
		vain++
		for _, f := range list {
			c := f.Three
			made := s.newSet(c, g)
			if f.D > end || need == 0 || math.IsInf(f.D, 1) || !s.can(made.place, g) || !free[c[0]] || !free[c[1]] || !free[c[2]] {
				continue
			}
			sets, vain = append(sets, made), 0
			need--
			for _, i := range c {
				free[i] = false
			}
		}
	}
	return sets, nil
}

// cheapest lists the threes of free things that may serve the group, by what is known of their costs, a batch of them at most.
func (s *search) cheapest(free []bool, g int32) []known.Candidate {
	var list []known.Candidate // unordered, but cut down to the best when twice as long
	most := math.Inf(1)
	for i := range free {
		for j := i + 1; j < len(free); j++ {
			if !free[i] || !free[j] || s.t.RowLow(i, j) >= most {
				continue
			}
			for r, low := range s.t.Row(i, j) {
				k := j + 1 + r
				if low >= most || !free[k] || !s.can(s.t.At(i, j, k), g) {
					continue
				}
				list = append(list, known.Candidate{Three: three{int32(i), int32(j), int32(k)}, D: low})
				if len(list) == 2*batch {
					list = keepBest(list, batch)
					most = list[batch-1].D
				}
			}
		}
	}
	slices.SortFunc(list, known.ByReduced)
	return list[:min(batch, len(list))]
}

// keepBest leaves at most keep, those of least reduced cost.
func keepBest(found []known.Candidate, keep int) []known.Candidate {
	if len(found) <= keep {
		return found
	}
	slices.SortFunc(found, known.ByReduced)
	return found[:keep]
}

// complete fills the groups of a program up to their numbers.
func (st *stage) complete(sets []set) ([]set, error) {
	free := make([]bool, st.t.N)
	for i := range free {
		free[i] = true
	}
	have := make([]int, len(st.p.groups))
	for _, c := range sets {
		have[c.group]++
		for _, i := range c.three {
			free[i] = false
		}
	}
	for g := range have {
		var err error
		if sets, err = st.fill(sets, free, int32(g), st.p.groups[g].wanted-have[g]); err != nil {
			return nil, err
		}
	}
	return sets, nil
}

// learn prices threes truly.
func (s *search) learn(list []three) error {
	return s.t.Price(list, s.mask)
}

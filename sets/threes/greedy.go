package threes

import "math"

// greedy fills the demands in order, each time with the cheapest three of free things, and returns the sets.
func (s *search) greedy(begin []set) ([]set, error) {
	free := make([]bool, s.t.n)
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

// fill adds up to need sets of free things that serve the group, the cheapest first.
func (s *search) fill(sets []set, free []bool, g int32, need int) ([]set, error) {
	for ; need > 0 && len(sets) < s.t.n/3; need-- {
		c, found, err := s.cheapest(free, g)
		if err != nil || !found {
			return sets, err
		}
		sets = append(sets, c)
		for _, i := range c.three {
			free[i] = false
		}
	}
	return sets, nil
}

// complete fills the groups of a program up to their numbers.
func (st *stage) complete(sets []set) ([]set, error) {
	free := make([]bool, st.t.n)
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

// cheapest finds the cheapest three of free things that serves the group, truly priced.
func (s *search) cheapest(free []bool, g int32) (set, bool, error) {
	for {
		best, c := math.Inf(1), three{}
		for i := range free {
			if !free[i] {
				continue
			}
			for j := i + 1; j < len(free); j++ {
				if !free[j] || s.t.rowLow[i*s.t.n+j] >= best {
					continue
				}
				for r, low := range s.t.row(i, j) {
					if k := j + 1 + r; low < best && free[k] && s.can(s.t.at(i, j, k), g) {
						best, c = low, three{int32(i), int32(j), int32(k)}
					}
				}
			}
		}
		if math.IsInf(best, 1) {
			return set{}, false, nil
		}
		made := s.t.newSet(c, g)
		if s.t.isKnown(made.place) {
			return made, true, nil
		}
		if err := s.learn([]three{c}); err != nil {
			return set{}, false, err
		}
	}
}

// learn prices threes truly.
func (s *search) learn(list []three) error {
	plain := make([][3]int32, len(list))
	for a, c := range list {
		plain[a] = c
	}
	return s.t.price(plain, s.mask)
}

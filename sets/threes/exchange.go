package threes

import (
	"math"
	"slices"
)

// split is how six places part into two threes: the first holds place 0.
var splits = makeSplits()

func makeSplits() (list [10][2][3]int) {
	at := 0
	for b := 1; b < 6; b++ {
		for c := b + 1; c < 6; c++ {
			list[at][0] = [3]int{0, b, c}
			fill := 0
			for i := 1; i < 6; i++ {
				if i != b && i != c {
					list[at][1][fill] = i
					fill++
				}
			}
			at++
		}
	}
	return list
}

// exchange mends the plan until no exchange between two sets, and none of a set with a free thing, makes it cheaper. It changes
// sets in place; demands keep their numbers.
func (s *search) exchange(sets []set) error {
	free := s.free(sets)
	quiet := make([]bool, len(sets)) // no exchange between two of them is cheaper
	for a, c := range sets {
		quiet[a] = slices.Contains(s.quiet, c.place)
	}
	for again := true; again && !s.stop(); {
		again = false
		for a := range sets {
			for u := range free {
				better, err := s.swap(sets, a, free, u)
				if err != nil {
					return err
				}
				if better {
					again = true
					quiet[a] = false
				}
			}
			for b := range a {
				if quiet[a] && quiet[b] {
					continue
				}
				better, err := s.trade(sets, b, a)
				if err != nil {
					return err
				}
				if better {
					again = true
					quiet[a], quiet[b] = false, false
				}
			}
		}
		if !again {
			s.quiet = s.quiet[:0]
			for _, c := range sets {
				s.quiet = append(s.quiet, c.place)
			}
		}
	}
	return nil
}

// free lists the things in no set, ascending.
func (s *search) free(sets []set) []int32 {
	used := make([]bool, s.t.N)
	for _, c := range sets {
		for _, i := range c.three {
			used[i] = true
		}
	}
	var free []int32
	for i, u := range used {
		if !u {
			free = append(free, int32(i))
		}
	}
	return free
}

// swap gives set a the free thing u for one of its own if that is cheaper.
func (s *search) swap(sets []set, a int, free []int32, u int) (bool, error) {
	better := false
	for out := range 3 {
		c := sets[a].three
		gone := c[out]
		c[out] = free[u]
		c = ordered(c[0], c[1], c[2])
		ok, err := s.cheaper([]three{c}, s.t.Low(sets[a].place), [][]int32{{sets[a].group}})
		if err != nil {
			return false, err
		}
		if ok != nil {
			sets[a] = s.newSet(c, sets[a].group)
			free[u] = gone
			better = true
		}
	}
	return better, nil
}

// trade parts the six things of two sets anew if that is cheaper.
func (s *search) trade(sets []set, a, b int) (bool, error) {
	var six [6]int32
	copy(six[:3], sets[a].three[:])
	copy(six[3:], sets[b].three[:])
	slices.Sort(six[:])
	now := s.t.Low(sets[a].place) + s.t.Low(sets[b].place)
	ga, gb := sets[a].group, sets[b].group
	better := false
	end := now - s.slight(now)
	for m := range &splits {
		p, q := &splits[m][0], &splits[m][1]
		x, y := three{six[p[0]], six[p[1]], six[p[2]]}, three{six[q[0]], six[q[1]], six[q[2]]}
		if s.lowOf(x)+s.lowOf(y) >= end {
			continue
		}
		groups, err := s.cheaper([]three{x, y}, now, [][]int32{{ga, gb}, {gb, ga}})
		if err != nil {
			return false, err
		}
		if groups != nil {
			sets[a], sets[b] = s.newSet(x, groups[0]), s.newSet(y, groups[1])
			now = s.lowOf(x) + s.lowOf(y)
			end = now - s.slight(now)
			better = true
		}
	}
	return better, nil
}

func (s *search) lowOf(c three) float64 { return s.t.Low(s.t.Place(c)) }

// slight is what a saving must exceed to be one.
func (s *search) slight(cost float64) float64 { return 1e-12 * (1 + math.Abs(cost)) }

// cheaper prices the threes as far as their sum stays below now, and returns which of the ways of giving them to groups is
// possible, nil if none or if they are not cheaper.
func (s *search) cheaper(list []three, now float64, ways [][]int32) ([]int32, error) {
	for a := range list {
		sum := 0.0
		for _, c := range list {
			sum += s.lowOf(c)
		}
		if sum >= now-s.slight(now) {
			return nil, nil
		}
		if err := s.learn(list[a : a+1]); err != nil {
			return nil, err
		}
	}
	sum := 0.0
	for _, c := range list {
		sum += s.lowOf(c)
	}
	if sum >= now-s.slight(now) {
		return nil, nil
	}
	for _, way := range ways {
		can := true
		for a, c := range list {
			can = can && s.can(s.t.Place(c), way[a])
		}
		if can {
			return way, nil
		}
	}
	return nil, nil
}

package disc

import (
	"cmp"
	"math"
	"slices"
)

// state is a set of exchanges beside each other, and the unbalance that they leave.
type state struct {
	u    Vector
	size float64
	used []move
}

func (st state) touches(m move) bool {
	return slices.ContainsFunc(st.used, func(o move) bool { return !m.apart(o) })
}

// Width of the beam: states that are kept at each depth, the exchanges that each is tried with, and the cells that are looked at in all.
const (
	beamWidth  = 24
	beamChoice = 24
	beamWork   = 6_000_000
)

// beam adds one exchange after the other to the states that leave least, and at each depth looks whether one or two more reach the limit.
func (r *Ring) beam(a Arrangement, ok room, limit float64) Arrangement {
	s := r.search(a, ok, len(r.Places))
	states := []state{{u: s.u, size: s.u.Size()}}
	for depth := 1; len(states) > 0 && depth <= len(r.Places)/2 && s.g.lookedAt < beamWork; depth++ {
		states = s.deeper(states)
		for _, st := range states {
			if st.size > 2*s.g.longest+limit {
				continue
			}
			if tail := s.tail(st, limit); tail != nil {
				return exchanged(a, append(slices.Clone(st.used), tail...)...)
			}
		}
	}
	return nil
}

// deeper are the best states with one exchange more.
func (s *search) deeper(states []state) []state {
	type step struct {
		size float64
		of   int // state
		move int
	}
	bySize := func(a, b step) int { return cmp.Compare(a.size, b.size) }
	var next []step
	for k, st := range states {
		var choice []step
		s.g.lookedAt += len(s.g.moves) / 4
		for i, m := range s.g.moves {
			size := st.u.plus(m.v).Size()
			if len(choice) == beamChoice && size >= choice[beamChoice-1].size || st.touches(m) {
				continue
			}
			at, _ := slices.BinarySearchFunc(choice, step{size: size}, bySize)
			choice = slices.Insert(choice[:min(len(choice), beamChoice-1)], min(at, beamChoice-1), step{size, k, i})
		}
		next = append(next, choice...)
	}
	slices.SortStableFunc(next, bySize)
	next = slices.CompactFunc(next, func(a, b step) bool { return b.size-a.size < touch }) // the same exchanges in another order
	var list []state
	for _, n := range next[:min(len(next), beamWidth)] {
		m, st := s.g.moves[n.move], states[n.of]
		list = append(list, state{st.u.plus(m.v), n.size, append(slices.Clone(st.used), m)})
	}
	return list
}

// tail is one or two exchanges more that reach the limit.
func (s *search) tail(st state, limit float64) []move {
	best := limit * (1 - 1e-9)
	if i, d := s.g.nearest(Vector{-st.u.X, -st.u.Y}, best, st.used...); i >= 0 && d < best {
		return []move{s.g.moves[i]}
	}
	var found []move
	taken := append(slices.Clone(st.used), move{})
	for _, m := range s.g.moves {
		rest := st.u.plus(m.v)
		if math.Max(math.Abs(rest.X), math.Abs(rest.Y)) > s.g.longest+best || st.touches(m) {
			continue
		}
		taken[len(taken)-1] = m
		if i, d := s.g.nearest(Vector{-rest.X, -rest.Y}, best, taken...); i >= 0 && d < best {
			found, best = []move{m, s.g.moves[i]}, d
		}
	}
	return found
}

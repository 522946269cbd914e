package disc

import (
	"math"
	"slices"
)

// Plan is how a disc is brought back.
type Plan struct {
	After   Arrangement
	Swaps   [][2]int // places whose bits change, one exchange after the other; a spare's place among them means that it is put in
	Left    Vector   // the unbalance afterwards
	Reached bool     // it lies within what was asked
	AtLeast int      // fewer exchanges are proven not to reach it; −1: it is proven that none do
	Proven  bool     // no fewer do it; or, where it was not reached, none does
}

// search looks for exchanges from one arrangement.
type search struct {
	r    *Ring
	a    Arrangement
	ok   room
	n    int // places that take part
	u    Vector
	g    *grid
	work int // cells that may be looked at
}

// patience is how many cells one search looks at before it gives up a proof: about a second.
const patience = 40_000_000

func (r *Ring) search(a Arrangement, ok room, n int) *search {
	return &search{r: r, a: a, ok: ok, n: n, u: r.Unbalance(a), g: newGrid(r.moves(a, ok, n)), work: patience}
}

// one is the exchange that leaves least, if less than best.
func (s *search) one(best float64) (Arrangement, float64) {
	i, d := s.g.nearest(Vector{-s.u.X, -s.u.Y}, best)
	if i < 0 || d >= best {
		return nil, best
	}
	return exchanged(s.a, s.g.moves[i]), d
}

// pair is the two exchanges beside each other that leave least, if less than best. The first is taken to be the longer.
func (s *search) pair(best float64) (found Arrangement, size float64) {
	from := s.u.Size()
	for _, m := range s.g.moves {
		if from > 2*m.size+best {
			break
		}
		u := s.u.plus(m.v)
		if u.Size() > m.size+best {
			continue
		}
		i, d := s.g.nearest(Vector{-u.X, -u.Y}, best, m)
		if i >= 0 && d < best {
			found, best = exchanged(s.a, m, s.g.moves[i]), d
		}
	}
	return found, best
}

// triple is three exchanges beside each other that leave less than best: the least, if the search was whole. They are taken the longest first.
func (s *search) triple(best float64) (found Arrangement, size float64, whole bool) {
	from := s.u.Size()
	for i, m := range s.g.moves {
		if from > 3*m.size+best {
			break
		}
		u := s.u.plus(m.v)
		left := u.Size()
		for _, o := range s.g.moves[i+1:] {
			if left > 2*o.size+best {
				break
			}
			w := u.plus(o.v)
			if !m.apart(o) || w.Size() > o.size+best {
				continue
			}
			k, d := s.g.nearest(Vector{-w.X, -w.Y}, best, m, o)
			if k >= 0 && d < best {
				found, best = exchanged(s.a, m, o, s.g.moves[k]), d
			}
			if s.g.lookedAt >= s.work {
				return found, best, false
			}
		}
	}
	return found, best, true
}

// by finds what exactly k exchanges reach below limit, the least that they leave where k is 1 or 2; whole tells that all were looked at.
func (s *search) by(k int, limit float64) (found Arrangement, whole bool) {
	limit *= 1 - 1e-9 // what is found here stays within the limit when it is summed again
	switch k {
	case 1:
		found, _ = s.one(limit)
		return found, true
	case 2:
		found, size := s.pair(limit)
		if round, _ := s.bestThree(size); round != nil {
			found = round
		}
		return found, true
	}
	found, _, whole = s.triple(limit)
	if found != nil || !whole {
		return found, whole
	}
	if found, _, whole = s.bestThreeAndTwo(limit); found != nil || !whole {
		return found, whole
	}
	found, _, whole = s.bestFour(limit)
	return found, whole
}

// Exact is the number of exchanges up to which all are looked at.
const Exact = 3

// Fewest finds the fewest exchanges that bring the unbalance down to limit, g·mm, under the rule of the height band; of as many, those without spares
// first, and of one or two exchanges those that leave least. Up to Exact exchanges all are looked at, cycles of three and four bits too; beyond, a beam
// search goes on and the count is not proven. Where nothing reaches the limit, the plan has what leaves least of all that was tried.
func (r *Ring) Fewest(limit float64, h Heights) Plan { return r.fewest(limit, r.within(h)) }

// FewestDressed is Fewest for the day on which all bits have been dressed to one height.
func (r *Ring) FewestDressed(limit float64) Plan { return r.fewest(limit, r.level()) }

func (r *Ring) fewest(limit float64, ok room) Plan {
	a := r.AsListed()
	u := r.Unbalance(a)
	if u.Size() <= limit {
		return r.plan(a, limit, Plan{Proven: true})
	}
	sizes := []int{r.on()}
	if n := len(r.Places); n > sizes[0] {
		sizes = append(sizes, n)
	}
	if r.Bound() > limit { // no arrangement does, whatever the heights
		return r.plan(r.settle(a, ok, limit*stillness), limit, Plan{AtLeast: -1, Proven: true})
	}
	known := r.reach(u, limit)
	for k := known; k <= Exact; k++ {
		all := true
		for _, n := range sizes {
			s := r.search(a, ok, n)
			found, whole := s.by(k, limit)
			if found != nil {
				return r.plan(found, limit, Plan{AtLeast: known, Proven: known == k})
			}
			all = all && whole
		}
		if all && known == k {
			known = k + 1
		}
	}
	best := r.smallest(ok)
	if best != nil && r.Unbalance(best).Size() > limit {
		return r.plan(best, limit, Plan{AtLeast: -1, Proven: true})
	}
	if found := r.beam(a, ok, limit); found != nil {
		return r.plan(found, limit, Plan{AtLeast: known, Proven: len(steps(a, found)) == known})
	}
	return r.plan(r.least(a, ok, limit), limit, Plan{AtLeast: known})
}

// reach is a number of exchanges, at least 1, fewer than which cannot bring u below limit, whatever the heights. k exchanges move at most 2k bits. Along u, with
// masses and places' parts reckoned from the middle of their ranges, moving them takes off at most what the products of the largest masses and parts
// can add on the other side, and what the largest products on this side add now.
func (r *Ring) reach(u Vector, limit float64) int {
	size := u.Size()
	part, mass := make([]float64, len(r.at)), make([]float64, len(r.at))
	for i, at := range r.at {
		part[i], mass[i] = (at.X*u.X+at.Y*u.Y)/size, r.Bits[i].Mass
	}
	middle := func(list []float64) {
		m := (slices.Min(list) + slices.Max(list)) / 2
		for i := range list {
			list[i] -= m
		}
	}
	middle(part)
	middle(mass)
	adds := make([]float64, len(part))
	for i := range adds {
		adds[i] = math.Max(part[i]*mass[i], 0)
		part[i], mass[i] = math.Abs(part[i]), math.Abs(mass[i])
	}
	for _, list := range [][]float64{part, mass, adds} {
		slices.Sort(list)
		slices.Reverse(list)
	}
	gain := 0.0
	for i := 0; i < len(adds); i++ {
		if gain += part[i]*mass[i] + adds[i]; i%2 == 1 && size-gain*(1+1e-9) <= limit {
			return (i + 1) / 2
		}
	}
	return max(len(adds)/2, 1)
}

// least is the best arrangement under the rule: the best of all where the disc is small.
func (r *Ring) least(a Arrangement, ok room, limit float64) Arrangement {
	if best := r.smallest(ok); best != nil {
		return best
	}
	return r.settle(a, ok, math.Max(limit, 0)*stillness)
}

func (r *Ring) plan(after Arrangement, limit float64, p Plan) Plan {
	p.After, p.Swaps, p.Left = after, steps(r.AsListed(), after), r.Unbalance(after)
	p.Reached = p.Left.Size() <= limit
	return p
}

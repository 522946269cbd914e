package disc

import "math"

// A cycle moves the bits of three or four places round: place c[0] takes the bit of c[1], that of c[2] goes to c[1], and so on, the last place takes
// that of c[0]. It costs one exchange fewer than it has places.
type cycle []int

func (r *Ring) round(a Arrangement, c cycle) Arrangement {
	b := append(Arrangement(nil), a...)
	for i, p := range c {
		b[p] = a[c[(i+1)%len(c)]]
	}
	return b
}

// takes is what the unbalance gains when place p takes the bit of place q.
func (r *Ring) takes(a Arrangement, p, q int) Vector {
	d := r.Bits[a[q]].Mass - r.Bits[a[p]].Mass
	return Vector{d * r.at[p].X, d * r.at[p].Y}
}

// threes calls with each cycle of three that the rule allows, until it returns false.
func (r *Ring) threes(a Arrangement, ok room, n int, with func(c cycle, v Vector) bool) {
	for p := range n {
		for q := range n {
			if q <= p || !ok.may(p, a[q]) {
				continue
			}
			v := r.takes(a, p, q)
			for s := p + 1; s < n; s++ {
				if s == q || !ok.may(q, a[s]) || !ok.may(s, a[p]) {
					continue
				}
				if !with(cycle{p, q, s}, v.plus(r.takes(a, q, s)).plus(r.takes(a, s, p))) {
					return
				}
			}
		}
	}
}

// bestThree is the cycle of three that leaves least, if less than best.
func (s *search) bestThree(best float64) (Arrangement, float64) {
	var found cycle
	s.r.threes(s.a, s.ok, s.n, func(c cycle, v Vector) bool {
		if d := s.u.plus(v).Size(); d < best {
			found, best = append(cycle(nil), c...), d
		}
		return true
	})
	if found == nil {
		return nil, best
	}
	return s.r.round(s.a, found), best
}

// bestThreeAndTwo is the cycle of three beside an exchange that leaves least, if less than best.
func (s *search) bestThreeAndTwo(best float64) (found Arrangement, size float64, whole bool) {
	whole = true
	s.r.threes(s.a, s.ok, s.n, func(c cycle, v Vector) bool {
		want := s.u.plus(v)
		i, d := s.g.nearest(Vector{-want.X, -want.Y}, best, move{p: c[0], q: c[1]}, move{p: c[2], q: c[2]})
		if i >= 0 && d < best {
			found, best = exchanged(s.r.round(s.a, c), s.g.moves[i]), d
		}
		whole = s.g.lookedAt < s.work
		return whole
	})
	return found, best, whole
}

// bestFour is the cycle of four that leaves least, if less than best.
func (s *search) bestFour(best float64) (found Arrangement, size float64, whole bool) {
	r, a, ok, n := s.r, s.a, s.ok, s.n
	var c cycle
	for p := range n {
		for q := p + 1; q < n; q++ {
			if !ok.may(p, a[q]) {
				continue
			}
			one := s.u.plus(r.takes(a, p, q))
			for t := p + 1; t < n; t++ {
				if t == q || !ok.may(q, a[t]) {
					continue
				}
				two := one.plus(r.takes(a, q, t))
				if s.g.lookedAt += n / 8; s.g.lookedAt >= s.work { // four sums weigh about as much as a cell
					return found, best, false
				}
				for w := p + 1; w < n; w++ {
					if w == q || w == t || !ok.may(t, a[w]) || !ok.may(w, a[p]) {
						continue
					}
					x := r.Bits[a[w]].Mass - r.Bits[a[t]].Mass
					y := r.Bits[a[p]].Mass - r.Bits[a[w]].Mass
					dx := two.X + x*r.at[t].X + y*r.at[w].X
					dy := two.Y + x*r.at[t].Y + y*r.at[w].Y
					if dx*dx+dy*dy < best*best {
						c, best = cycle{p, q, t, w}, math.Hypot(dx, dy)
					}
				}
			}
		}
	}
	if c != nil {
		found = r.round(a, c)
	}
	return found, best, true
}

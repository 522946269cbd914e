package growlp

import "math"

// Primal pivots until no reduced cost is negative, or until it is stopped. The values must be in their ranges at the start.
func (s *Program) Primal() {
	for round := 0; ; round++ {
		if s.halted(round) {
			return
		}
		enters, least := int32(none), -tiny
		for j, d := range s.d {
			if d < least && s.place[j] < 0 && !s.zero[j] {
				enters, least = int32(j), d
			}
		}
		for r, p := range s.slack {
			if p < 0 && !s.tight[r] && s.y[r] > -least {
				enters, least = int32(-1-r), -s.y[r]
			}
		}
		if enters == none {
			return
		}
		if enters >= 0 && s.Welcome != nil && !s.Welcome(int(enters)) {
			continue
		}
		s.column(enters)
		leaves := s.block()
		if leaves < 0 { // cannot be: every column is in a row that bounds it
			return
		}
		theta := least / s.scratch[leaves]
		s.alongRow(leaves)
		s.pivot(leaves, enters, theta)
	}
}

// block finds the basic place that first comes to its end when the variable of s.scratch grows.
func (s *Program) block() int {
	leaves, best, size := -1, math.Inf(1), 0.0
	for p, a := range s.scratch {
		if a <= pivotal {
			if a >= -pivotal || !s.held(s.basis[p]) {
				continue
			}
			a = -a
		}
		q := max(s.x[p], 0) / a
		if q < best-1e-11 || (q <= best+1e-11 && a > size) {
			leaves, best, size = p, min(q, best), a
		}
	}
	return leaves
}

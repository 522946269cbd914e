package growlp

import "math"

// Refresh makes the inverse, the values and the prices anew from the basis, so that rounding does not gather.
//
// Slacks in the basis are unit columns and take no work; the rest is eliminated by Gauss and Jordan with the largest pivot.
func (s *Program) Refresh() {
	m := len(s.b)
	s.pivots = 0
	for r := range m {
		row := s.inv[r]
		for c := range row {
			row[c] = 0
		}
		row[r] = 1
	}
	taken := make([]bool, m) // rows that have their basic variable
	basis := make([]int32, m)
	var open []int32
	for _, v := range s.basis {
		if v < 0 {
			taken[-1-v] = true
			basis[-1-v] = v
		} else {
			open = append(open, v)
		}
	}
	for _, v := range open {
		s.column(v)
		best, size := -1, 1e-10
		for r, a := range s.scratch {
			if !taken[r] && math.Abs(a) > size {
				best, size = r, math.Abs(a)
			}
		}
		if best < 0 { // depends on the others: a slack stands in for it below
			s.place[v] = -1
			continue
		}
		taken[best] = true
		basis[best] = v
		s.eliminate(best)
	}
	for r := range m {
		if !taken[r] {
			basis[r] = int32(-1 - r)
		}
	}
	copy(s.basis, basis)
	s.settle()
}

// eliminate makes s.scratch the unit column of row p.
func (s *Program) eliminate(p int) {
	rho := s.inv[p]
	scale := 1 / s.scratch[p]
	s.filled = s.filled[:0]
	for c, w := range rho {
		if w != 0 {
			rho[c] = w * scale
			s.filled = append(s.filled, int32(c))
		}
	}
	for r, f := range s.scratch {
		if r == p || f == 0 {
			continue
		}
		row := s.inv[r]
		for _, c := range s.filled {
			row[c] -= f * rho[c]
		}
	}
}

// settle works out places, values, prices, reduced costs and norms from basis and inverse.
func (s *Program) settle() {
	for r := range s.slack {
		s.slack[r] = -1
	}
	for j := range s.place {
		s.place[j] = -1
	}
	for r := range s.y {
		s.y[r] = 0
	}
	for p, v := range s.basis {
		x, norm := 0.0, 0.0
		for c, w := range s.inv[p] {
			x += w * s.b[c]
			norm += w * w
		}
		s.x[p], s.weight[p] = x, norm
		if v < 0 {
			s.slack[-1-v] = int32(p)
			continue
		}
		s.place[v] = int32(p)
		if c := s.cols[v].cost; c != 0 {
			for r, w := range s.inv[p] {
				s.y[r] += c * w
			}
		}
	}
	for j := range s.cols {
		s.d[j] = 0
		if s.place[j] < 0 {
			s.d[j] = s.cols[j].cost - priceOf(s.cols[j].rows, s.y)
		}
	}
}

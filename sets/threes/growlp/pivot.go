package growlp

// pivot brings a variable into the basis at a place; theta is how much the reduced costs move along s.along.
func (s *Program) pivot(leaves int, enters int32, theta float64) {
	rho := s.inv[leaves]
	for j, alpha := range s.along {
		s.d[j] -= theta * alpha
	}
	for r, w := range rho {
		s.y[r] += theta * w
	}
	out := s.basis[leaves]
	if out >= 0 {
		s.d[out] = -theta
		s.place[out] = -1
	} else {
		s.slack[-1-out] = -1
	}
	s.exchange(leaves, enters)
}

// exchange replaces a basic variable and mends the inverse and the values.
func (s *Program) exchange(leaves int, enters int32) {
	s.column(enters)
	col := s.scratch
	rho := s.inv[leaves]
	scale := 1 / col[leaves]
	norm := 0.0
	s.filled = s.filled[:0]
	for r, w := range rho {
		if w != 0 {
			w *= scale
			rho[r] = w
			norm += w * w
			s.filled = append(s.filled, int32(r))
		}
	}
	s.x[leaves] *= scale
	for p, f := range col {
		if p == leaves || f == 0 {
			continue
		}
		s.x[p] -= f * s.x[leaves]
		if 3*len(s.filled) < len(rho) {
			s.weight[p] = max(1e-12, s.weight[p]-f*(2*s.lessFew(s.inv[p], rho, f)-f*norm))
		} else {
			s.weight[p] = less(s.inv[p], rho, f)
		}
	}
	s.weight[leaves] = norm
	s.basis[leaves] = enters
	if enters >= 0 {
		s.place[enters] = int32(leaves)
		s.d[enters] = 0
	} else {
		s.slack[-1-enters] = int32(leaves)
		s.y[-1-enters] = 0
	}
	s.pivots++
	s.total++
	if s.pivots >= 150 {
		s.Refresh()
	}
}

// less takes f times rho off a row and returns its squared norm.
func less(row, rho []float64, f float64) float64 {
	row = row[:len(rho)]
	sum := 0.0
	for r, w := range rho {
		v := row[r] - f*w
		row[r] = v
		sum += v * v
	}
	return sum
}

// lessFew does the same where rho has few numbers that are not 0, and returns the product of the row as it was with rho.
func (s *Program) lessFew(row, rho []float64, f float64) float64 {
	sum := 0.0
	for _, r := range s.filled {
		w, v := rho[r], row[r]
		sum += v * w
		row[r] = v - f*w
	}
	return sum
}

// column leaves the variable's column in terms of the basis in s.scratch.
func (s *Program) column(v int32) {
	m := len(s.b)
	if cap(s.scratch) < m {
		s.scratch = make([]float64, m, 2*m)
	}
	s.scratch = s.scratch[:m]
	if v < 0 {
		for p := range m {
			s.scratch[p] = s.inv[p][-1-v]
		}
		return
	}
	rows := s.cols[v].rows
	for p := range m {
		sum := 0.0
		row := s.inv[p]
		for _, e := range rows {
			sum += e.With * row[e.At]
		}
		s.scratch[p] = sum
	}
}

// alongRow leaves the row of a basic place over all columns in s.along.
func (s *Program) alongRow(p int) {
	rho := s.inv[p]
	s.along = s.along[:0]
	for j := range s.cols {
		alpha := 0.0
		if s.place[j] < 0 {
			for _, e := range s.cols[j].rows {
				alpha += e.With * rho[e.At]
			}
		}
		s.along = append(s.along, alpha)
	}
}

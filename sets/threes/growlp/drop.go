package growlp

import "slices"

// Drop takes rows out whose slacks are in the basis, so that prices and values stay as they are. Rows after them count from less.
func (s *Program) Drop(drop func(row int) bool) {
	now := make([]int32, len(s.b)) // new number of each row
	var rows []int
	for r := range s.b {
		now[r] = -1
		if s.slack[r] >= 0 && drop(r) {
			continue
		}
		now[r] = int32(len(rows))
		rows = append(rows, r)
	}
	s.torn = -1
	s.keep(rows, now)
	for j := range s.cols {
		s.cols[j].rows = slices.DeleteFunc(s.cols[j].rows, func(e Term) bool { return now[e.At] < 0 })
		for a := range s.cols[j].rows {
			e := &s.cols[j].rows[a]
			e.At = now[e.At]
		}
	}
}

// keep drops the other rows.
func (s *Program) keep(rows []int, now []int32) {
	var places []int
	for p, v := range s.basis {
		if v >= 0 || now[-1-v] >= 0 {
			places = append(places, p)
		}
	}
	for a, p := range places {
		row := s.inv[p]
		for c, r := range rows {
			row[c] = row[r]
		}
		s.inv[a] = row[:len(rows)]
		s.basis[a], s.x[a], s.weight[a] = s.basis[p], s.x[p], s.weight[p]
		if v := s.basis[a]; v < 0 {
			s.basis[a] = -1 - now[-1-v]
		} else {
			s.place[v] = int32(a)
		}
	}
	n := len(rows)
	for c, r := range rows {
		s.b[c], s.tight[c], s.y[c] = s.b[r], s.tight[r], s.y[r]
	}
	s.inv, s.basis, s.x, s.weight = s.inv[:n], s.basis[:n], s.x[:n], s.weight[:n]
	s.b, s.tight, s.y, s.slack = s.b[:n], s.tight[:n], s.y[:n], s.slack[:n]
	for r := range s.slack {
		s.slack[r] = -1
	}
	for p, v := range s.basis {
		if v < 0 {
			s.slack[-1-v] = int32(p)
		}
	}
}

package threes

import "slices"

// purge drops the cuts that the present solution keeps with room to spare: their slack is in the basis, so prices and values stay
// as they are. It does nothing while they are few.
func (p *program) purge() {
	base := p.t.n + len(p.groups)
	idle := 0
	for r := base; r < len(p.b); r++ {
		if p.idle(r) {
			idle++
		}
	}
	if idle < 10 || 10*idle < len(p.cuts) {
		return
	}
	now := make([]int32, len(p.b)) // new number of each row
	var rows []int
	cuts := p.cuts[:0:0]
	for r := range p.b {
		now[r] = -1
		if r >= base && p.idle(r) {
			continue
		}
		now[r] = int32(len(rows))
		rows = append(rows, r)
		if r >= base {
			cuts = append(cuts, p.cuts[r-base])
		}
	}
	p.cuts = cuts
	p.keepRows(rows, now)
	for j := range p.cols {
		p.cols[j].rows = slices.DeleteFunc(p.cols[j].rows, func(e entry) bool { return now[e.row] < 0 })
		for a := range p.cols[j].rows {
			e := &p.cols[j].rows[a]
			e.row = now[e.row]
		}
	}
}

// idle says that the row's slack is in the basis and not 0.
func (p *program) idle(r int) bool { return p.slack[r] >= 0 && p.x[p.slack[r]] > 1e-6 }

// keepRows drops the other rows, whose slacks are in the basis.
func (s *simplex) keepRows(rows []int, now []int32) {
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

package guillotine

import "slices"

// table is the dynamic programme: the most value of each size of rectangle when copies are not limited.
type table struct {
	x, y  *axis
	value []int64 // x-major
	item  []int64 // most valuable single copy
}

func (t *table) of(i, j int) int64 { return t.value[i*len(t.y.sizes)+j] }

// axes makes the sizes for both directions; false when there are more than are worked with.
func (s *search) axes(reachable bool) (x, y *axis, ok bool) {
	var ws, hs, many []int
	for _, l := range s.lies {
		ws, hs = append(ws, l.w), append(hs, l.h)
		many = append(many, s.most[l.item])
	}
	x, y = newAxis(s.length, ws, many, reachable), newAxis(s.width, hs, many, reachable)
	return x, y, len(x.sizes)*len(y.sizes) <= mostStates
}

// single fills what one copy alone is worth.
func (s *search) single(t *table) {
	ny := len(t.y.sizes)
	t.item = make([]int64, len(t.x.sizes)*ny)
	for _, l := range s.lies { // the most valuable first
		i0, _ := slices.BinarySearch(t.x.sizes, l.w)
		j0, _ := slices.BinarySearch(t.y.sizes, l.h)
		for i := i0; i < len(t.x.sizes); i++ {
			for j := j0; j < ny && t.item[i*ny+j] == 0; j++ {
				t.item[i*ny+j] = l.value
			}
		}
	}
}

// fill runs the programme; cap bounds a state by its area, or is nil. It gives false when it was stopped.
func (s *search) fill(t *table, limit func(w, h int) int64) bool {
	nx, ny := len(t.x.sizes), len(t.y.sizes)
	s.single(t)
	t.value = make([]int64, nx*ny)
	for i := range nx {
		steps := 0
		row := t.value[i*ny : (i+1)*ny]
		copy(row, t.item[i*ny:(i+1)*ny])
		for _, p := range t.x.pairs[i] {
			a, b := t.value[p.a*ny:(p.a+1)*ny], t.value[p.b*ny:(p.b+1)*ny]
			for j := range row {
				row[j] = max(row[j], a[j]+b[j])
			}
		}
		for j := range row {
			for _, p := range t.y.pairs[j] {
				row[j] = max(row[j], row[p.a]+row[p.b])
			}
			if limit != nil {
				row[j] = min(row[j], limit(t.x.sizes[i], t.y.sizes[j]))
			}
			steps += len(t.y.pairs[j])
		}
		if s.done(steps + ny*(1+len(t.x.pairs[i]))) {
			return false
		}
	}
	return true
}

// unconstrained solves without limits on copies.
func (s *search) unconstrained() {
	x, y, ok := s.axes(true)
	if !ok {
		return
	}
	t := &table{x: x, y: y}
	if !s.fill(t, nil) {
		return
	}
	b := s.trace(t, len(x.sizes)-1, len(y.sizes)-1)
	s.take(b)
	s.lower(b.value)
}

// trace finds a plan for a state of the programme: nil for one without value.
func (s *search) trace(t *table, i, j int) *build {
	v := t.of(i, j)
	if v == 0 {
		return nil
	}
	if t.item[i*len(t.y.sizes)+j] == v {
		for _, l := range s.lies {
			if l.value == v && l.w <= t.x.sizes[i] && l.h <= t.y.sizes[j] {
				return leaf(l)
			}
		}
	}
	for _, p := range t.x.pairs[i] {
		if t.of(p.a, j)+t.of(p.b, j) == v {
			return beside(s.trace(t, p.a, j), s.trace(t, p.b, j))
		}
	}
	for _, p := range t.y.pairs[j] {
		if t.of(i, p.a)+t.of(i, p.b) == v {
			return above(s.trace(t, i, p.a), s.trace(t, i, p.b))
		}
	}
	panic("own fault: a state of the programme without a plan")
}

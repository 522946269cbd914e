package study

import "math"

// cell is what one person read on one part.
type cell struct {
	part, person int
	n, mean      float64
}

// layout is the cells that hold readings.
type layout struct {
	cells         []cell
	parts, people int
	groups        []int // of each person: the first of those whom common parts tie to them
	count         int   // of groups
}

// layout lists the cells, their means counted from the first reading, so that large values with small differences lose nothing.
func (s *Study) layout() *layout {
	l := &layout{parts: len(s.Parts), people: len(s.People), groups: make([]int, len(s.People))}
	first := s.values[0][0] // of the first reading's part and person: they stand first
	for i := range s.Parts {
		for j := range s.People {
			if v := s.of(i, j); len(v) > 0 {
				l.cells = append(l.cells, cell{i, j, float64(len(v)), meanOf(len(v), func(k int) float64 { return v[k] - first[0] })})
			}
		}
	}
	l.group()
	return l
}

// group finds which people hang together by parts that they read in common.
func (l *layout) group() {
	for j := range l.groups {
		l.groups[j] = j
	}
	reader := make([]int, l.parts) // one of the people who read the part
	for i := range reader {
		reader[i] = -1
	}
	for _, c := range l.cells {
		if reader[c.part] < 0 {
			reader[c.part] = c.person
		}
		if a, b := l.groups[c.person], l.groups[reader[c.part]]; a != b {
			for j, g := range l.groups {
				if g == max(a, b) {
					l.groups[j] = min(a, b)
				}
			}
		}
	}
	l.count = 0
	for j, g := range l.groups {
		if j == g {
			l.count++
		}
	}
}

// additive is the least-squares fit part + person to the means of the cells.
type additive struct {
	fitted   []float64
	leverage []float64 // of each mean on its own fitted value
}

// fit finds it with weights w. The larger of the two factors is eliminated row by row, which leaves as many unknowns as the smaller has.
func (l *layout) fit(w []float64) additive {
	row, column := func(c cell) int { return c.part }, func(c cell) int { return c.person }
	m, k := l.parts, l.people
	if k > m {
		m, k, row, column = k, m, column, row
	}
	rows := make([][]int, m) // cells of each
	for c := range l.cells {
		rows[row(l.cells[c])] = append(rows[row(l.cells[c])], c)
	}
	normal, right := square2(k), make([]float64, k)
	sums, means := make([]float64, m), make([]float64, m)
	for i, cells := range rows {
		for _, c := range cells {
			sums[i] += w[c]
			means[i] += w[c] * l.cells[c].mean
		}
		means[i] /= sums[i]
		for _, c := range cells {
			j := column(l.cells[c])
			normal[j][j] += w[c]
			right[j] += w[c] * (l.cells[c].mean - means[i])
			for _, d := range cells {
				normal[j][column(l.cells[d])] -= w[c] * w[d] / sums[i]
			}
		}
	}
	inverse := invert(normal)
	a := additive{make([]float64, len(l.cells)), make([]float64, len(l.cells))}
	effect := times(inverse, right)
	for i, cells := range rows {
		share := make([]float64, k)
		for _, c := range cells {
			share[column(l.cells[c])] = w[c] / sums[i]
		}
		spread := times(inverse, share)
		height, both := means[i]-dot(share, effect), dot(share, spread)
		for _, c := range cells {
			j := column(l.cells[c])
			a.fitted[c] = height + effect[j]
			a.leverage[c] = w[c] * (1/sums[i] + inverse[j][j] - 2*spread[j] + both)
		}
	}
	return a
}

func square2(n int) [][]float64 {
	m := make([][]float64, n)
	for i := range m {
		m[i] = make([]float64, n)
	}
	return m
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

func times(m [][]float64, v []float64) []float64 {
	out := make([]float64, len(v))
	for i := range m {
		out[i] = dot(m[i], v)
	}
	return out
}

// invert returns a symmetric generalised inverse of normal equations, whose rank is short by one for each group: an unknown that those before
// it leave nothing of is kept at 0.
func invert(normal [][]float64) [][]float64 {
	n := len(normal)
	a := square2(n)
	scale := 0.0
	for i := range normal {
		copy(a[i], normal[i])
		scale = math.Max(scale, normal[i][i])
	}
	for k := range n { // the sweep operator
		pivot := a[k][k]
		if pivot <= 1e-9*scale {
			for i := range n {
				a[i][k], a[k][i] = 0, 0
			}
			continue
		}
		for i := range n {
			if i == k {
				continue
			}
			f := a[i][k] / pivot
			for j := range n {
				if j != k {
					a[i][j] -= f * a[k][j]
				}
			}
		}
		for i := range n {
			if i != k {
				a[i][k], a[k][i] = a[i][k]/pivot, a[k][i]/pivot
			}
		}
		a[k][k] = -1 / pivot
	}
	for i := range n {
		for j := range n {
			a[i][j] = -a[i][j]
		}
	}
	return a
}

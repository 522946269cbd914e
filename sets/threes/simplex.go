package threes

import "math"

const (
	tiny    = 1e-9 // of a value of a variable
	pivotal = 1e-7 // no pivot is smaller
)

// entry is a coefficient of a column.
type entry struct {
	row  int32
	with float64
}

// column is a variable x ≥ 0 of the linear program.
type column struct {
	cost float64
	rows []entry
}

// simplex is min Σ cost·x, Σ a·x + s = b with s ≥ 0 (s = 0 in tight rows), kept with the inverse of its basis.
//
// A row is added with its slack in the basis and a column outside it, so that a solved program is never begun anew: rows leave it
// dual feasible (dual mends it), columns primal feasible (primal does). A dead column must be 0.
type simplex struct {
	b     []float64
	tight []bool
	cols  []column
	dead  []bool
	basis []int32 // variable of each basic place: a column, or −1−row for a slack
	place []int32 // of each column in the basis; −1: outside
	slack []int32 // the same of each row's slack

	inv     [][]float64
	x       []float64 // of the basic places
	y       []float64 // prices of the rows
	d       []float64 // reduced costs of the columns
	pivots  int       // since the inverse was made anew
	total   int       // of all pivots
	along   []float64
	scratch []float64
	filled  []int32   // where a row of the inverse is not 0
	weight  []float64 // squared norms of the inverse's rows
	stop    func() bool
	torn    int              // the place that could not be mended when dual gave up; −1: the value was above its ceiling
	stuck   bool             // too many pivots without an end: rounding, or a circle
	welcome func(j int) bool // asked before a column enters; false: its cost has just changed, choose again. nil: all may
}

func (s *simplex) addRow(b float64, tight bool) int {
	r := len(s.b)
	s.b, s.tight = append(s.b, b), append(s.tight, tight)
	for p := range s.inv {
		s.inv[p] = append(s.inv[p], 0)
	}
	row := make([]float64, r+1, 2*r+16)
	value, norm := b, 1.0
	for p, v := range s.basis {
		if v < 0 {
			continue
		}
		for _, e := range s.cols[v].rows {
			if int(e.row) == r {
				value -= e.with * s.x[p]
				for c, w := range s.inv[p] {
					row[c] -= e.with * w
				}
			}
		}
	}
	row[r] = 1
	for c := range r {
		norm += row[c] * row[c]
	}
	s.inv = append(s.inv, row)
	s.slack = append(s.slack, int32(len(s.basis)))
	s.basis = append(s.basis, int32(-1-r))
	s.x, s.y, s.weight = append(s.x, value), append(s.y, 0), append(s.weight, norm)
	return r
}

// addColumn adds a variable outside the basis.
func (s *simplex) addColumn(cost float64, rows []entry) int {
	s.cols = append(s.cols, column{cost: cost, rows: rows})
	s.dead, s.place = append(s.dead, false), append(s.place, -1)
	s.d = append(s.d, cost-priceOf(rows, s.y))
	return len(s.cols) - 1
}

// priceOf is what a column is worth by prices y.
func priceOf(rows []entry, y []float64) float64 {
	sum := 0.0
	for _, e := range rows {
		sum += e.with * y[e.row]
	}
	return sum
}

// setCost changes the cost of a column outside the basis.
func (s *simplex) setCost(j int, cost float64) {
	s.d[j] += cost - s.cols[j].cost
	s.cols[j].cost = cost
}

// held says that the variable must be 0.
func (s *simplex) held(v int32) bool {
	if v < 0 {
		return s.tight[-1-v]
	}
	return s.dead[v]
}

// dual pivots until no basic variable is out of its range. It returns false if that cannot be: the rows contradict each other,
// or if the value came above ceiling.
func (s *simplex) dual(ceiling float64) bool {
	for round := 0; ; round++ {
		if s.halted(round) {
			return true
		}
		leaves, worst := -1, 0.0
		for p, x := range s.x {
			out := -x
			if x > 0 {
				if !s.held(s.basis[p]) {
					continue
				}
				out = x
			}
			if out > tiny && out*out > worst*s.weight[p] {
				worst = out * out / s.weight[p]
				leaves = p
			}
		}
		if leaves < 0 {
			return true
		}
		sign := 1.0 // the leaving value must rise
		if s.x[leaves] > 0 {
			sign = -1
		}
		enters, ratio := s.ratio(leaves, sign)
		if s.torn = leaves; enters == none {
			return false
		}
		s.pivot(leaves, enters, ratio)
		if !math.IsInf(ceiling, 1) && round%8 == 7 && s.bound() > ceiling {
			s.torn = -1
			return false
		}
	}
}

// halted says that pivoting is to end before its time.
func (s *simplex) halted(round int) bool {
	s.stuck = s.stuck || round > 10_000+50*len(s.b)
	return s.stuck || round%64 == 63 && s.stop()
}

const none = math.MinInt32

// ratio finds the variable that may enter for the leaving place without any reduced cost changing its sign. It leaves the row of
// the place in s.along.
func (s *simplex) ratio(leaves int, sign float64) (int32, float64) {
	s.alongRow(leaves)
	for {
		enters, theta := s.choose(leaves, sign)
		if enters < 0 || s.welcome == nil || s.welcome(int(enters)) {
			return enters, theta
		}
	}
}

func (s *simplex) choose(leaves int, sign float64) (int32, float64) {
	rho := s.inv[leaves]
	best, enters, size := math.Inf(1), int32(none), 0.0
	try := func(v int32, alpha, d float64) {
		a := -sign * alpha
		if a <= pivotal {
			return
		}
		q := max(d, 0) / a
		if q < best-1e-12 || (q <= best+1e-12 && a > size) {
			best, enters, size = min(q, best), v, a
		}
	}
	for j, alpha := range s.along {
		if alpha != 0 && s.place[j] < 0 && !s.dead[j] {
			try(int32(j), alpha, s.d[j])
		}
	}
	for r, p := range s.slack {
		if p < 0 && !s.tight[r] {
			try(int32(-1-r), rho[r], -s.y[r])
		}
	}
	if enters == none {
		return none, 0
	}
	alpha, d := 0.0, 0.0
	if enters >= 0 {
		alpha, d = s.along[enters], s.d[enters]
	} else {
		alpha, d = rho[-1-enters], -s.y[-1-enters]
	}
	return enters, d / alpha
}

// pivot brings a variable into the basis at a place; theta is how much the reduced costs move along s.along.
func (s *simplex) pivot(leaves int, enters int32, theta float64) {
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
func (s *simplex) exchange(leaves int, enters int32) {
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
		s.refresh()
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
func (s *simplex) lessFew(row, rho []float64, f float64) float64 {
	sum := 0.0
	for _, r := range s.filled {
		w, v := rho[r], row[r]
		sum += v * w
		row[r] = v - f*w
	}
	return sum
}

// column leaves the variable's column in terms of the basis in s.scratch.
func (s *simplex) column(v int32) {
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
			sum += e.with * row[e.row]
		}
		s.scratch[p] = sum
	}
}

// primal pivots until no reduced cost is negative. The values must be in their ranges at the start.
func (s *simplex) primal() {
	for round := 0; ; round++ {
		if s.halted(round) {
			return
		}
		enters, least := int32(none), -tiny
		for j, d := range s.d {
			if d < least && s.place[j] < 0 && !s.dead[j] {
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
		if enters >= 0 && s.welcome != nil && !s.welcome(int(enters)) {
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
func (s *simplex) block() int {
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

// alongRow leaves the row of a basic place over all columns in s.along.
func (s *simplex) alongRow(p int) {
	rho := s.inv[p]
	s.along = s.along[:0]
	for j := range s.cols {
		alpha := 0.0
		if s.place[j] < 0 {
			for _, e := range s.cols[j].rows {
				alpha += e.with * rho[e.row]
			}
		}
		s.along = append(s.along, alpha)
	}
}

// bound is Σ b·y, what the rows prove as long as no reduced cost is negative.
func (s *simplex) bound() float64 {
	sum := 0.0
	for r, y := range s.y {
		sum += s.b[r] * y
	}
	return sum
}

package growlp

import "math"

// Dual pivots until no basic variable is out of its range, from a basis whose reduced costs have the right signs ([Program.DualFeasible]). False: it
// gave up, since no column can mend a row (see [Program.Contradiction]) or since the value came above ceiling; either is a word of floats. It
// chooses rows by the norms of the inverse (J. J. Forrest, D. Goldfarb, Steepest-edge simplex algorithms for linear programming, Mathematical
// Programming 57, 1992, 341). True too where it was stopped.
func (s *Program) Dual(ceiling float64) bool {
	s.torn = -1
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
		if enters == none {
			s.torn = leaves
			return false
		}
		s.pivot(leaves, enters, ratio)
		if !math.IsInf(ceiling, 1) && round%8 == 7 && s.value() > ceiling {
			return false
		}
	}
}

// halted says that pivoting is to end before its time.
func (s *Program) halted(round int) bool {
	s.stuck = s.stuck || round > 10_000+50*len(s.b)
	return s.stuck || round%64 == 63 && s.stop()
}

const none = math.MinInt32

// ratio finds the variable that may enter for the leaving place without any reduced cost changing its sign. It leaves the row of
// the place in s.along.
func (s *Program) ratio(leaves int, sign float64) (int32, float64) {
	s.alongRow(leaves)
	for {
		enters, theta := s.choose(leaves, sign)
		if enters < 0 || s.Welcome == nil || s.Welcome(int(enters)) {
			return enters, theta
		}
	}
}

func (s *Program) choose(leaves int, sign float64) (int32, float64) {
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
		if alpha != 0 && s.place[j] < 0 && !s.zero[j] {
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

// value is Σ b·y: what the program is worth at the basis, feasible or not.
func (s *Program) value() float64 {
	sum := 0.0
	for r, y := range s.y {
		sum += s.b[r] * y
	}
	return sum
}

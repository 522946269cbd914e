// Package lowlp solves linear programs with few unknowns and very many rows:
//
//	minimise c·v subject to aᵢ·v ≤ bᵢ for every i, v in ℝᵈ, d ≤ 40, up to 10⁷ rows.
//
// The rows are never stored as a matrix. The caller gives two scans (see [Rows]): the worst violated row of each block for a
// point, and the same with right sides 0 for a ray. A working set of rows, which only grows, is solved by the dual simplex
// method in floats; when floats do not settle a basis, in exact rationals. So every solve ends, degenerate input included.
//
// A solution is optimal when two things have been shown: [Prove] solves the at most d active rows in exact rationals, so
// that nothing can be better than [Solution.Bound]; and one pass over all rows gives the largest violation. That an optimum
// does not exist is shown too: by Farkas rows (infeasible), or by a feasible point and a ray (unbounded).
//
// [Nearest] finds the point of such a polyhedron that is nearest in a given quadratic sense.
//
// The package does not do integer programs, sparse matrices or many unknowns, and it knows nothing of slate. It lies on the
// sealing path: + − × ÷ √ and comparison only, products never fused.
package lowlp

import "slatewright/trouble"

// BlockRows is the largest number of rows for which a scan may report a single worst row.
const BlockRows = 4096

// MaxDim is the largest number of unknowns.
const MaxDim = 40

// Rows is a system aᵢ·v ≤ bᵢ, numbered from 0, in d unknowns.
type Rows interface {
	// Dim returns d, 1 to MaxDim.
	Dim() int
	// Row writes the d coefficients of row i into a and returns bᵢ. All must be finite.
	Row(i int, a []float64) (b float64)
	// Worst calls yield, in rising order of blocks, for each block of at most BlockRows rows in which some row has
	// a·v > b: with that block's row of the largest excess a·v − b. With ray, b counts as 0.
	Worst(v []float64, ray bool, yield func(i int, excess float64))
}

// Problem is a linear program: minimise Cost·v subject to Rows.
type Problem struct {
	Cost  []float64 // length d
	Rows  Rows
	Start []float64 // a guess that coordinates are centred on; nil means 0
	Warm  []int     // rows likely to matter, to begin with; they save the scan at Start
	// Stop is asked before each step; once it says true, Solve and Prove end soon with the trouble that has the code Stopped. It must not
	// change the answer in any other way. nil never stops.
	Stop func() bool
}

// Status is the kind of answer.
type Status int

// The three possible answers.
const (
	Optimal Status = iota
	Infeasible
	Unbounded
)

// String returns the status in words.
func (s Status) String() string { return [...]string{"optimal", "infeasible", "unbounded"}[s] }

// Solution is an answer and what shows it.
//
//   - Optimal: V is the optimum and Value = Cost·V. The combination of Active rows with Multipliers (all > 0) shows that
//     nothing is better. After Prove, Bound ≤ the true optimum, rounded down from an exact value, and Violation is the
//     largest excess of any row at V.
//   - Infeasible: the Farkas rows, with positive Multipliers y, give Σ y·a = 0 and Σ y·b < 0. Value is the least t for which
//     a·v ≤ b + t can be met.
//   - Unbounded: V is feasible, and Ray has a·Ray ≤ 0 for every row and Cost·Ray < 0.
type Solution struct {
	Status      Status
	V           []float64
	Value       float64
	Bound       float64 // set by Prove
	Violation   float64 // set by Prove
	Active      []int
	Multipliers []float64
	Farkas      []int
	Ray         []float64
	Working     []int // rows of the working set, in the order they came in
	Scans       int   // passes over all rows
	Pivots      int
	Exact       bool // whether exact rationals had to settle the basis

	// Within is nil when the bound holds for every v. Else it holds for |vⱼ − startⱼ| ≤ Within[j]: the rows at hand are,
	// but for rounding, too few to hold v (points on a line, for example). Set by Prove.
	Within []float64

	core  *core     // of an optimum
	inner *Solution // the least relaxation, of a refusal
}

// Solve answers the problem in floats, climbing to exact rationals only when floats do not settle it. The error is a
// *trouble.Trouble for a malformed problem. The answer is not proven yet: see Prove.
func Solve(p Problem) (Solution, error) {
	if err := p.check(); err != nil {
		return Solution{}, err
	}
	c := newCore(p.Rows, p.Cost, p.Start, false)
	c.stop = p.Stop
	if c.stopped() {
		return Solution{}, stopped()
	}
	c.take(p.Warm)
	return c.solve(p)
}

// Stopped is the code of the trouble of a problem that was stopped before its end.
const Stopped = "stopped"

func stopped() error {
	return trouble.Data(Stopped, "lowlp", "it was stopped before its end", "give it more time, or ask for less")
}

func (p Problem) check() error {
	d := p.Rows.Dim()
	switch {
	case d < 1 || d > MaxDim:
		return trouble.Own("lowlp-dim", "lowlp", "a linear program needs 1 to 40 unknowns", "report this")
	case len(p.Cost) != d || (p.Start != nil && len(p.Start) != d):
		return trouble.Own("lowlp-length", "lowlp", "cost or start does not have one entry for each unknown", "report this")
	}
	for _, x := range append(append([]float64{}, p.Cost...), p.Start...) {
		if x-x != 0 {
			return trouble.Own("lowlp-finite", "lowlp", "cost or start is not finite", "report this")
		}
	}
	return nil
}

// Prove shows what Solve found, in exact rationals, and makes one pass over all rows. An optimum's multipliers are solved
// exactly; one that turns out negative is pivoted on exactly. It sets V, Value, Bound, Violation, Active, Multipliers and Within anew.
// Infeasible: the Farkas combination is exact. Unbounded: the feasible point and the ray each get a pass, and the larger
// excess is Violation.
func Prove(p Problem, s *Solution) error {
	switch s.Status {
	case Infeasible:
		q := relax(p, nil)
		if err := Prove(q, s.inner); err != nil {
			return err
		}
		s.Value, s.Bound, s.Exact = s.inner.Bound, s.inner.Bound, true
		s.fromRelaxed()
		if !(s.Bound > 0) || s.inner.Within != nil {
			return lost("the contradiction between the rows is not exact")
		}
		return nil
	case Unbounded:
		s.Violation = Check(p.Rows, s.V)
		p.Rows.Worst(s.Ray, true, func(_ int, excess float64) { s.Violation = max(s.Violation, excess) })
		return nil
	}
	return s.proveOptimal(p)
}

func (s *Solution) proveOptimal(p Problem) error {
	c := s.core
	basis := c.exactBasis()
	if basis == nil || !allNonNegative(basis.lambda) {
		switch v, err := c.climb(); {
		case err != nil:
			return err
		case v != settled:
			return lost("exact rows contradict each other, by less than floats can tell")
		}
		basis = c.exactBasis()
	}
	c.adopt(basis)
	value, leans := c.bound(basis)
	*s = c.solution(p)
	s.Bound = floor(value)
	if leans {
		s.Within = c.box()
	}
	s.Violation = Check(p.Rows, s.V)
	return nil
}

// Check makes one pass over all rows and returns the largest excess a·v − b at v, or 0 if every row holds.
func Check(rows Rows, v []float64) float64 {
	worst := 0.0
	rows.Worst(v, false, func(_ int, excess float64) { worst = max(worst, excess) })
	return worst
}

// Dense is a system kept as a plain matrix, for small problems: row i is A[i·D : (i+1)·D] with right side B[i].
type Dense struct {
	D int
	A []float64
	B []float64
}

// Add appends the row a·v ≤ b.
func (m *Dense) Add(b float64, a ...float64) {
	m.A = append(m.A, a...)
	m.B = append(m.B, b)
}

// Dim returns the number of unknowns.
func (m *Dense) Dim() int { return m.D }

// Row writes row i into a.
func (m *Dense) Row(i int, a []float64) float64 {
	copy(a, m.A[i*m.D:(i+1)*m.D])
	return m.B[i]
}

// denseBlock is small, so that a scan of a small matrix brings in several rows at once.
const denseBlock = 32

// Worst reports the worst row of each block of 32.
func (m *Dense) Worst(v []float64, ray bool, yield func(int, float64)) {
	for lo := 0; lo < len(m.B); lo += denseBlock {
		row, worst := -1, 0.0
		for i := lo; i < min(lo+denseBlock, len(m.B)); i++ {
			excess := dot(m.A[i*m.D:(i+1)*m.D], v)
			if !ray {
				excess -= m.B[i]
			}
			if excess > worst {
				row, worst = i, excess
			}
		}
		if row >= 0 {
			yield(row, worst)
		}
	}
}

// dot is the inner product, summed from the front.
func dot(a, v []float64) float64 {
	s := 0.0
	for j, x := range a {
		s += float64(x * v[j])
	}
	return s
}

// Package growlp solves linear programs that grow while they are solved:
//
//	minimise Σ cost·x subject to Σ a·x ≤ b in loose rows, Σ a·x = b in tight rows, x ≥ 0.
//
// A few hundred rows and some thousand columns with few coefficients each are meant. A program keeps the inverse of its basis. A row is
// added with its slack in the basis and a column outside it, so that a solved program is never begun anew: new rows leave it dual feasible
// ([Program.Dual] mends it), new columns primal feasible ([Program.Primal] does). Columns can be held at 0, rows made tight, costs raised when a column
// is about to enter, and a basis can be gone back to: what column generation, cutting planes and branching want.
//
// Pivots are made in floats; what they say is not believed. What a program proves is worked out from prices alone ([Program.Sound],
// [Program.Proven], [Program.Contradiction]) and holds whatever rounding did to the pivots.
//
// The package knows nothing of what its columns stand for. Package lowlp is for the other shape: few unknowns, very many rows, and exact proofs.
package growlp

import "slices"

const (
	tiny    = 1e-9 // of a value of a variable
	pivotal = 1e-7 // no pivot is smaller
)

// Term is a coefficient: of a column in row At, or of a row in column At.
type Term struct {
	At   int32
	With float64
}

// column is a variable x ≥ 0.
type column struct {
	cost float64
	rows []Term
}

// Program is a linear program with its present basis. Every column must stand in a row that bounds it. The zero value does not work; see [New].
type Program struct {
	// Welcome is asked before a column enters the basis. False: its cost was just raised by SetCost, or it was held at 0; choose again. nil: all may.
	Welcome func(col int) bool

	b     []float64
	tight []bool
	cols  []column
	zero  []bool  // of each column: it must be 0
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
	torn    int  // the place that could not be mended when Dual gave up for want of a column; −1: it did not
	stuck   bool // too many pivots without an end: rounding, or a circle
}

// New returns a program without rows and columns. Stop is asked now and then while pivoting; true ends it early. nil: never.
func New(stop func() bool) *Program {
	if stop == nil {
		stop = func() bool { return false }
	}
	return &Program{stop: stop, torn: -1}
}

// AddRow adds Σ With·x ≤ b over the columns of terms (= b if tight), its slack in the basis, and returns its number. Rows count from 0.
func (s *Program) AddRow(b float64, tight bool, terms ...Term) int {
	r := len(s.b)
	for _, e := range terms {
		c := &s.cols[e.At]
		c.rows = append(c.rows, Term{int32(r), e.With})
	}
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
			if int(e.At) == r {
				value -= e.With * s.x[p]
				for c, w := range s.inv[p] {
					row[c] -= e.With * w
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

// AddColumn adds a variable x ≥ 0 with its coefficients in the rows there are, outside the basis, and returns its number. Columns count from 0. The
// program keeps terms.
func (s *Program) AddColumn(cost float64, terms []Term) int {
	s.cols = append(s.cols, column{cost: cost, rows: terms})
	s.zero, s.place = append(s.zero, false), append(s.place, -1)
	s.d = append(s.d, cost-priceOf(terms, s.y))
	return len(s.cols) - 1
}

// priceOf is what a column is worth by prices y.
func priceOf(rows []Term, y []float64) float64 {
	sum := 0.0
	for _, e := range rows {
		sum += e.With * y[e.At]
	}
	return sum
}

// SetCost changes the cost of a column outside the basis.
func (s *Program) SetCost(col int, cost float64) {
	s.d[col] += cost - s.cols[col].cost
	s.cols[col].cost = cost
}

// Hold says whether a column must be 0. Where it is in the basis with another value, Dual mends it.
func (s *Program) Hold(col int, held bool) { s.zero[col] = held }

// Tighten says whether a row must be met with equality. Where its slack is in the basis with another value than 0, Dual mends it.
func (s *Program) Tighten(row int, tight bool) { s.tight[row] = tight }

// held says that the variable must be 0.
func (s *Program) held(v int32) bool {
	if v < 0 {
		return s.tight[-1-v]
	}
	return s.zero[v]
}

// Rows is how many rows there are.
func (s *Program) Rows() int { return len(s.b) }

// Columns is how many columns there are.
func (s *Program) Columns() int { return len(s.cols) }

// Pivots is how many pivots have been made.
func (s *Program) Pivots() int { return s.total }

// Stuck says that pivoting was given up because it found no end.
func (s *Program) Stuck() bool { return s.stuck }

// Cost is the cost of a column as it stands.
func (s *Program) Cost(col int) float64 { return s.cols[col].cost }

// Price is the price of a row as the basis has it: not above 0 in a loose row but for rounding.
func (s *Program) Price(row int) float64 { return s.y[row] }

// Basic calls yield for the columns in the basis, each with its value; all others are 0.
func (s *Program) Basic(yield func(col int, x float64) bool) {
	for p, v := range s.basis {
		if v >= 0 && !yield(int(v), s.x[p]) {
			return
		}
	}
}

// Spare is how much a row leaves: the value of its slack.
func (s *Program) Spare(row int) float64 {
	if p := s.slack[row]; p >= 0 {
		return s.x[p]
	}
	return 0
}

// Basis is the present basis, for Restore.
func (s *Program) Basis() []int32 { return slices.Clone(s.basis) }

// Restore goes back to an earlier basis of this program, from which no rows were dropped since; rows added since have their slack in it. nil: all slacks.
func (s *Program) Restore(basis []int32) {
	in := 0
	if basis != nil {
		in = copy(s.basis, basis)
	}
	for r := in; r < len(s.basis); r++ {
		s.basis[r] = int32(-1 - r)
	}
	s.Refresh()
}

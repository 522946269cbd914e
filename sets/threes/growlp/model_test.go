package growlp_test

import (
	"math"
	"testing"

	"slatewright/chance"
	"slatewright/sets/threes/growlp"
)

// model is a small program as a table, to be solved by trying every vertex. Its row 0 is Σ x ≤ most.
type model struct {
	most  float64
	b     []float64
	tight []bool
	cost  []float64
	a     [][]float64 // by row, then by column
	held  []bool
}

// best is the least value over all vertices; +Inf where nothing keeps all rows.
func (m *model) best() float64 {
	var columns [][]float64 // of what may be in a basis, slacks of loose rows after the columns
	var cost []float64
	for j := range m.cost {
		if !m.held[j] {
			col := make([]float64, len(m.b))
			for r := range col {
				col[r] = m.a[r][j]
			}
			columns, cost = append(columns, col), append(cost, m.cost[j])
		}
	}
	for r := range m.b {
		if !m.tight[r] {
			col := make([]float64, len(m.b))
			col[r] = 1
			columns, cost = append(columns, col), append(cost, 0)
		}
	}
	least := math.Inf(1)
	basis := make([]int, 0, len(m.b))
	var choose func(from int)
	choose = func(from int) {
		if x, ok := m.vertex(columns, basis); ok {
			value := 0.0
			for a, j := range basis {
				value += cost[j] * x[a]
			}
			least = min(least, value)
		}
		for j := from; j < len(columns) && len(basis) < len(m.b); j++ {
			basis = append(basis, j)
			choose(j + 1)
			basis = basis[:len(basis)-1]
		}
	}
	choose(0)
	return least
}

// vertex solves for some columns, all others 0, by elimination with the largest pivot: fewer columns than rows must still keep every row.
func (m *model) vertex(columns [][]float64, basis []int) (x []float64, ok bool) {
	rows := make([][]float64, len(m.b))
	for r := range rows {
		for _, j := range basis {
			rows[r] = append(rows[r], columns[j][r])
		}
		rows[r] = append(rows[r], m.b[r])
	}
	k := len(basis)
	for c := range k {
		at := c
		for r := c; r < len(rows); r++ {
			if math.Abs(rows[r][c]) > math.Abs(rows[at][c]) {
				at = r
			}
		}
		if math.Abs(rows[at][c]) < 1e-9 {
			return nil, false
		}
		rows[c], rows[at] = rows[at], rows[c]
		for r := range rows {
			if f := rows[r][c] / rows[c][c]; r != c && f != 0 {
				for e := range rows[r] {
					rows[r][e] -= f * rows[c][e]
				}
			}
		}
	}
	for c := range rows {
		if c >= k && math.Abs(rows[c][k]) > 1e-8 {
			return nil, false
		}
		if c < k {
			if x = append(x, rows[c][k]/rows[c][c]); x[c] < -1e-8 {
				return nil, false
			}
		}
	}
	return x, true
}

// grown is a model with the program that grew as it did.
type grown struct {
	model
	p    *growlp.Program
	draw *chance.Stream
}

func newGrown(draw *chance.Stream) *grown {
	g := &grown{p: growlp.New(nil), draw: draw}
	g.most = float64(1 + draw.IntN(5))
	g.row(g.most, false)
	return g
}

// row adds a row with drawn coefficients; the first has 1 everywhere.
func (g *grown) row(b float64, tight bool) {
	coefficients := make([]float64, len(g.cost))
	var terms []growlp.Term
	for j := range coefficients {
		if coefficients[j] = g.coefficient(len(g.b)); coefficients[j] != 0 {
			terms = append(terms, growlp.Term{At: int32(j), With: coefficients[j]})
		}
	}
	g.b, g.tight, g.a = append(g.b, b), append(g.tight, tight), append(g.a, coefficients)
	g.p.AddRow(b, tight, terms...)
}

func (g *grown) coefficient(row int) float64 {
	if row == 0 {
		return 1
	}
	return float64(g.draw.IntN(6) - 2)
}

func (g *grown) column(cost float64) {
	var terms []growlp.Term
	for r := range g.a {
		w := g.coefficient(r)
		if g.a[r] = append(g.a[r], w); w != 0 {
			terms = append(terms, growlp.Term{At: int32(r), With: w})
		}
	}
	g.cost, g.held = append(g.cost, cost), append(g.held, false)
	g.p.AddColumn(cost, terms)
}

// worth is the value of the present solution, which must keep every row.
func (g *grown) worth(t *testing.T) float64 {
	t.Helper()
	x := make([]float64, len(g.cost))
	for j, v := range g.p.Basic {
		x[j] = v
	}
	value := 0.0
	for j, v := range x {
		if value += g.cost[j] * v; v < -1e-7 || g.held[j] && v > 1e-7 {
			t.Errorf("column %d is %v, held %v", j, v, g.held[j])
		}
	}
	for r := range g.b {
		left := g.b[r]
		for j, v := range x {
			left -= g.a[r][j] * v
		}
		if left < -1e-7 || g.tight[r] && left > 1e-7 || math.Abs(left-g.p.Spare(r)) > 1e-7 {
			t.Errorf("row %d, tight %v: %v is left, spare %v", r, g.tight[r], left, g.p.Spare(r))
		}
	}
	return value
}

// proves checks that no prices prove more than there is, and that nothing is called a contradiction that is none.
func (g *grown) proves(t *testing.T, best float64) {
	t.Helper()
	y := g.p.Sound()
	if low := g.p.Proven(y, g.most, g.p.Least(y, g.p.Columns())); low > best+1e-9 {
		t.Errorf("proven %v, but %v can be", low, best)
	}
	for r := range y {
		if y[r] = 3 * g.draw.Normal(); !g.tight[r] {
			y[r] = min(y[r], 0)
		}
	}
	if low := g.p.Proven(y, g.most, g.p.Least(y, g.p.Columns())); low > best+1e-9 {
		t.Errorf("drawn prices prove %v, but %v can be", low, best)
	}
	if !math.IsInf(best, 1) && g.p.Contradiction(g.most) {
		t.Errorf("called contradictory, but %v can be", best)
	}
}

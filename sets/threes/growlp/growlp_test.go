package growlp_test

import (
	"math"
	"testing"

	"slatewright/assignment"
	"slatewright/chance"
	"slatewright/sets/threes/growlp"
)

// solved checks a program that was just solved against all vertices, its value against what its own prices prove.
func (g *grown) solved(t *testing.T, what string, feasible bool) {
	t.Helper()
	best := g.best()
	g.proves(t, best)
	if feasible == math.IsInf(best, 1) {
		t.Fatalf("%s: called feasible %v; the best vertex is worth %v", what, feasible, best)
	}
	if !feasible {
		if !g.p.Contradiction(g.most) {
			t.Errorf("%s: a contradiction is not proven", what)
		}
		return
	}
	y := g.p.Sound()
	value, low := g.worth(t), g.p.Proven(y, g.most, g.p.Least(y, g.p.Columns()))
	if math.Abs(value-best) > 1e-7 || math.Abs(low-best) > 1e-6 || !g.p.DualFeasible() {
		t.Fatalf("%s: value %v, proven %v, dual feasible %v; the best vertex is worth %v", what, value, low, g.p.DualFeasible(), best)
	}
}

// TestAgainstEveryVertex lets programs grow by columns and rows, and holds and tightens what there is; after each change the solution is the best
// vertex, or there is none and that is proven.
func TestAgainstEveryVertex(t *testing.T) {
	contradicted, rows, columns := 0, 0, 0
	for round := range 400 {
		g := newGrown(chance.NewStream(uint64(round)).Split("vertices"))
		for range 2 + g.draw.IntN(3) {
			g.column(float64(g.draw.IntN(9) - 5))
		}
		g.p.Primal()
		g.solved(t, "first", true)
		feasible := true
		for step := 0; step < 6 && feasible; step++ {
			switch g.draw.IntN(4) {
			case 0:
				columns++
				g.column(float64(g.draw.IntN(9) - 5))
				g.p.Primal()
			case 1:
				rows++
				if len(g.b) < 5 {
					g.row(float64(g.draw.IntN(7)-2), g.draw.IntN(4) == 0)
				}
				feasible = g.p.Dual(math.Inf(1))
			case 2:
				j := g.draw.IntN(len(g.cost))
				g.held[j] = true
				g.p.Hold(j, true)
				feasible = g.p.Dual(math.Inf(1))
			case 3:
				r := g.draw.IntN(len(g.b))
				g.tight[r] = true
				g.p.Tighten(r, true)
				feasible = g.p.Dual(math.Inf(1))
			}
			g.solved(t, "grown", feasible)
		}
		if !feasible {
			contradicted++
		}
	}
	if contradicted == 0 || contradicted == 400 || rows == 0 || columns == 0 {
		t.Errorf("%d of 400 came to a contradiction, %d rows and %d columns were added", contradicted, rows, columns)
	}
}

// TestGoesBackAndForgets goes back to earlier bases, frees what was held, and drops rows with room to spare.
func TestGoesBackAndForgets(t *testing.T) {
	dropped := 0
	for round := range 200 {
		g := newGrown(chance.NewStream(uint64(round)).Split("back"))
		for range 4 {
			g.column(float64(g.draw.IntN(9) - 5))
		}
		g.p.Primal()
		before := g.p.Basis()
		g.row(float64(g.draw.IntN(5)), false) // 0 keeps every row
		g.held[0] = true
		g.p.Hold(0, true)
		g.solved(t, "held", g.p.Dual(math.Inf(1)))
		g.held[0] = false
		g.p.Hold(0, false)
		if g.p.Restore(before); !g.p.DualFeasible() {
			t.Fatal("the basis of a solved program, one row later, is not dual feasible")
		}
		g.solved(t, "gone back", g.p.Dual(math.Inf(1)))
		g.row(3, false)
		g.solved(t, "one more row", g.p.Dual(math.Inf(1)))
		spare := []bool{}
		for r := range g.b {
			spare = append(spare, r > 0 && g.p.Spare(r) > 1e-6)
		}
		was := g.worth(t)
		g.p.Drop(func(r int) bool { return spare[r] })
		m := model{most: g.most, cost: g.cost, held: g.held}
		for r := range g.b {
			if !spare[r] {
				m.b, m.tight, m.a = append(m.b, g.b[r]), append(m.tight, g.tight[r]), append(m.a, g.a[r])
			}
		}
		dropped += len(g.b) - len(m.b)
		if g.model = m; g.p.Rows() != len(m.b) || math.Abs(g.worth(t)-was) > 1e-9 {
			t.Fatalf("%d rows for %d, worth %v, was %v", g.p.Rows(), len(m.b), g.worth(t), was)
		}
		g.solved(t, "dropped", true)
		g.column(-6)
		g.p.Primal()
		g.solved(t, "a column after dropping", true)
		g.p.Restore(nil)
		g.p.Primal()
		g.solved(t, "from slacks", true)
	}
	if dropped == 0 {
		t.Error("nothing was dropped")
	}
}

// TestTrueCostsOnEntering tells true costs only when a column is about to enter; some turn out not to be there at all.
func TestTrueCostsOnEntering(t *testing.T) {
	raised := 0
	for round := range 200 {
		g := newGrown(chance.NewStream(uint64(round)).Split("costs"))
		for range 3 {
			g.row(float64(1+g.draw.IntN(4)), false)
		}
		var truth []float64
		for range 6 {
			low := float64(g.draw.IntN(9) - 6)
			g.column(low)
			truth = append(truth, low+float64(g.draw.IntN(4)))
		}
		g.p.Welcome = func(j int) bool {
			if truth[j]-g.cost[j] > 2 {
				g.held[j] = true
				g.p.Hold(j, true)
				raised++
				return false
			}
			if g.cost[j] < truth[j] {
				g.cost[j] = truth[j]
				g.p.SetCost(j, truth[j])
				raised++
				return false
			}
			return true
		}
		g.p.Primal()
		g.solved(t, "told", true) // costs that were not told are too low, and still nothing is better
		told := g.worth(t)
		copy(g.cost, truth)
		if best := g.best(); math.Abs(told-best) > 1e-7 {
			t.Errorf("as far as costs were told, %v; by true costs %v", told, best)
		}
	}
	if raised == 0 {
		t.Error("no cost was told")
	}
}

// TestOddCircle: of five things in a circle, neighbours may go together in pairs. The rows of the things alone allow 5/2 pairs, the row of the odd circle
// says that there are two (J. Edmonds, Paths, trees, and flowers, Canadian Journal of Mathematics 17, 1965, 449).
func TestOddCircle(t *testing.T) {
	for _, n := range []int{3, 5, 7, 51, 301} {
		p := growlp.New(nil)
		for range n {
			p.AddRow(1, false)
		}
		var all []growlp.Term
		for i := range n {
			p.AddColumn(-1, []growlp.Term{{At: int32(i), With: 1}, {At: int32((i + 1) % n), With: 1}})
			all = append(all, growlp.Term{At: int32(i), With: 1})
		}
		p.Primal()
		check := func(want float64) {
			t.Helper()
			y := p.Sound()
			if low := p.Proven(y, float64(n), p.Least(y, n)); math.Abs(low-want) > 1e-9 {
				t.Errorf("a circle of %d: %v, want %v", n, low, want)
			}
		}
		check(-float64(n) / 2)
		p.AddRow(float64(n/2), false, all...)
		if !p.Dual(math.Inf(1)) {
			t.Errorf("a circle of %d: %d pairs are called impossible", n, n/2)
		}
		check(-float64(n / 2))
	}
}

// TestAgainstAssignment solves assignments of 100 rows to 100 columns, whose programs have whole solutions (G. Birkhoff 1946), beside package assignment: many
// pivots, with the inverse made anew between them.
func TestAgainstAssignment(t *testing.T) {
	draw := chance.NewStream(3)
	const n = 100
	table := make([][]float64, n)
	p := growlp.New(nil)
	for range 2 * n {
		p.AddRow(1, true)
	}
	for i := range table {
		table[i] = make([]float64, n)
		for j := range table[i] {
			table[i][j] = draw.Float64()
			p.AddColumn(table[i][j], []growlp.Term{{At: int32(i), With: 1}, {At: int32(n + j), With: 1}})
		}
	}
	if !p.Dual(math.Inf(1)) {
		t.Fatal("called impossible")
	}
	_, want, _, _, err := assignment.Least(table)
	if err != nil {
		t.Fatal(err)
	}
	value := 0.0
	for j, x := range p.Basic {
		if value += x * table[j/n][j%n]; math.Abs(x-math.Round(x)) > 1e-9 {
			t.Errorf("column %d is %v", j, x)
		}
	}
	y := p.Sound()
	if low := p.Proven(y, n, p.Least(y, n*n)); math.Abs(value-want) > 1e-9 || math.Abs(low-want) > 1e-9 {
		t.Errorf("value %v, proven %v; the least assignment costs %v", value, low, want)
	}
	if p.Pivots() < 160 {
		t.Errorf("%d pivots: the inverse was never made anew", p.Pivots())
	}
}

// TestStopped: what is proven holds wherever a program was stopped, and a ceiling is believed by nobody.
func TestStopped(t *testing.T) {
	stopped := 0
	for after := range 12 {
		draw := chance.NewStream(9)
		asked := 0
		p := growlp.New(func() bool { asked++; return asked > after })
		const n = 40
		for range 2 * n {
			p.AddRow(1, true)
		}
		sum := 0.0
		for i := range n {
			for j := range n {
				cost := draw.Float64()
				if i == j {
					sum += cost
				}
				p.AddColumn(cost, []growlp.Term{{At: int32(i), With: 1}, {At: int32(n + j), With: 1}})
			}
		}
		if !p.Dual(math.Inf(1)) {
			t.Fatal("called impossible")
		}
		if asked > after {
			stopped++
		}
		y := p.Sound()
		if low := p.Proven(y, n, p.Least(y, n*n)); low > sum {
			t.Errorf("stopped at question %d: proven %v, but the diagonal costs %v", after, low, sum)
		}
	}
	if stopped == 0 || stopped == 12 {
		t.Errorf("%d of 12 were stopped", stopped)
	}
}

// TestCeiling gives up as soon as the value is above a ceiling, and what is proven then is above it too.
func TestCeiling(t *testing.T) {
	p := growlp.New(nil)
	draw := chance.NewStream(4)
	const n = 60
	for range n {
		p.AddRow(-1, false)
	}
	var costs []float64
	for i := range n {
		costs = append(costs, 1+draw.Float64())
		p.AddColumn(costs[i], []growlp.Term{{At: int32(i), With: -1}})
	}
	whole := 0.0 // every row wants its own column once
	for _, c := range costs {
		whole += c
	}
	if p.Dual(20) || p.Pivots() >= n || p.Contradiction(n) {
		t.Errorf("%d pivots to a ceiling of 20", p.Pivots())
	}
	y := p.Sound()
	if low := p.Proven(y, n, p.Least(y, n)); low <= 20 || low > whole {
		t.Errorf("proven %v above a ceiling of 20, of %v", low, whole)
	}
	if !p.Dual(math.Inf(1)) || p.Stuck() {
		t.Error("not solved")
	}
	y = p.Sound()
	if low := p.Proven(y, n, 0); math.Abs(low-whole) > 1e-9 {
		t.Errorf("proven %v, want %v", low, whole)
	}
}

// TestNotBelieved: pivots are too small to be made, so that Dual finds no way to keep a row that can be kept. That is no contradiction.
func TestNotBelieved(t *testing.T) {
	for _, b := range []float64{-1e-8, -3e-8} { // x ≥ 1, which can be, and x ≥ 3, which cannot
		p := growlp.New(nil)
		p.AddRow(2, false)
		p.AddRow(b, false)
		p.AddColumn(1, []growlp.Term{{At: 0, With: 1}, {At: 1, With: -1e-8}})
		if p.Dual(math.Inf(1)) {
			t.Fatal("a pivot of 1e-8 was made")
		}
		if can := b > -2e-8; p.Contradiction(2) == can {
			t.Errorf("x ≤ 2, 1e-8·x ≥ %v: called contradictory %v", -b, !can)
		}
	}
}

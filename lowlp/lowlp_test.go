package lowlp_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"

	"slatewright/lowlp"
	"slatewright/trouble"
)

func random(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 20261125)) }

// small makes a random problem with whole-number data, so that ties, duplicates and parallel rows are common.
func small(r *rand.Rand) (lowlp.Problem, *lowlp.Dense) {
	d := 1 + r.IntN(4)
	m := &lowlp.Dense{D: d}
	for range 1 + r.IntN(12) {
		a := make([]float64, d)
		for j := range a {
			a[j] = float64(r.IntN(7) - 3)
		}
		m.Add(float64(r.IntN(9)-3), a...)
	}
	cost := make([]float64, d)
	for j := range cost {
		cost[j] = float64(r.IntN(7) - 3)
	}
	return lowlp.Problem{Cost: cost, Rows: m}, m
}

// oracle solves the same problem with gonum's simplex: v = p − n, slack s ≥ 0.
func oracle(cost []float64, m *lowlp.Dense) (float64, error) {
	d, n := m.D, len(m.B)
	a := mat.NewDense(n, 2*d+n, nil)
	c := make([]float64, 2*d+n)
	for j, x := range cost {
		c[j], c[d+j] = x, -x
	}
	for i := range n {
		for j := range d {
			a.Set(i, j, m.A[i*d+j])
			a.Set(i, d+j, -m.A[i*d+j])
		}
		a.Set(i, 2*d+i, 1)
	}
	value, _, err := lp.Simplex(c, a, m.B, 1e-10, nil)
	return value, err
}

// solved solves, proves and checks everything an answer claims; it returns the answer.
func solved(t *testing.T, p lowlp.Problem) lowlp.Solution {
	t.Helper()
	s, err := lowlp.Solve(p)
	if err != nil {
		t.Fatalf("solve: %v", err)
	}
	if err := lowlp.Prove(p, &s); err != nil {
		t.Fatalf("prove %v: %v", s.Status, err)
	}
	return s
}

// holds checks an answer's own proof against the rows, without trusting how it was found.
func holds(t *testing.T, p lowlp.Problem, s lowlp.Solution) {
	t.Helper()
	d := p.Rows.Dim()
	a := make([]float64, d)
	sum, right := make([]float64, d), 0.0
	combine := func(ids []int) {
		if len(ids) != len(s.Multipliers) {
			t.Fatalf("%d rows but %d multipliers", len(ids), len(s.Multipliers))
		}
		for k, i := range ids {
			if !(s.Multipliers[k] > 0) {
				t.Errorf("multiplier %v is not positive", s.Multipliers[k])
			}
			right += s.Multipliers[k] * p.Rows.Row(i, a)
			for j, x := range a {
				sum[j] += s.Multipliers[k] * x
			}
		}
	}
	const near = 1e-9
	switch s.Status {
	case lowlp.Optimal:
		combine(s.Active)
		for j := range sum {
			if math.Abs(sum[j]+p.Cost[j]) > near {
				t.Errorf("multipliers do not balance the cost: %v against %v", sum, p.Cost)
			}
		}
		if s.Violation > near || s.Value-s.Bound > near || s.Bound > s.Value+near {
			t.Errorf("not proven: bound %v, value %v, violation %v", s.Bound, s.Value, s.Violation)
		}
	case lowlp.Infeasible:
		combine(s.Farkas)
		for j := range sum {
			if math.Abs(sum[j]) > near {
				t.Errorf("Farkas rows do not cancel: %v", sum)
			}
		}
		if right >= 0 {
			t.Errorf("Farkas right side %v is not negative", right)
		}
	case lowlp.Unbounded:
		gain := 0.0
		for j, x := range s.Ray {
			gain += p.Cost[j] * x
		}
		if s.Violation > near || gain >= 0 {
			t.Errorf("ray gains %v, violation %v", gain, s.Violation)
		}
	}
}

// share is the part of the random problems that are asked: all of them, or one in five under an emulator.
func share() uint64 {
	if testing.Short() {
		return 5
	}
	return 1
}

// TestAgainstSimplex compares thousands of random small problems with gonum's simplex (gonum v0.17, optimize/convex/lp).
func TestAgainstSimplex(t *testing.T) {
	counts := map[lowlp.Status]int{}
	compared := 0
	part := share()
	for seed := range 6000 / part {
		p, m := small(random(seed))
		s := solved(t, p)
		counts[s.Status]++
		holds(t, p, s)
		if t.Failed() {
			t.Fatalf("seed %d: %+v %+v -> %+v", seed, m, p.Cost, s)
		}
		want, err := oracle(p.Cost, m)
		switch {
		case err == nil:
			compared++
			if s.Status != lowlp.Optimal || math.Abs(s.Value-want) > 1e-8 {
				t.Fatalf("seed %d: got %v %v, simplex %v", seed, s.Status, s.Value, want)
			}
		case errors.Is(err, lp.ErrInfeasible) && s.Status != lowlp.Infeasible,
			errors.Is(err, lp.ErrUnbounded) && s.Status == lowlp.Optimal:
			// gonum says unbounded of an unused unknown before it looks whether the rows can be met at all, so Infeasible
			// may stand beside its ErrUnbounded; holds has then checked the Farkas rows.
			t.Fatalf("seed %d: got %v, simplex %v", seed, s.Status, err)
		}
	}
	if least := int(300 / part); compared < int(500/part) || counts[lowlp.Infeasible] < least || counts[lowlp.Unbounded] < least {
		t.Fatalf("too few of some kind: %d compared, %v", compared, counts)
	}
}

// enumerate finds the optimum as the best feasible crossing of d rows; ok is false when there is none.
func enumerate(cost []float64, m *lowlp.Dense) (best float64, ok bool) {
	d, n := m.D, len(m.B)
	pick := make([]int, d)
	var walk func(k, from int)
	walk = func(k, from int) {
		if k == d {
			a, b := mat.NewDense(d, d, nil), mat.NewVecDense(d, nil)
			for r, i := range pick {
				a.SetRow(r, m.A[i*d:(i+1)*d])
				b.SetVec(r, m.B[i])
			}
			var v mat.VecDense
			if v.SolveVec(a, b) != nil {
				return
			}
			for i := range n {
				e := -m.B[i]
				for j := range d {
					e += m.A[i*d+j] * v.AtVec(j)
				}
				if e > 1e-9 {
					return
				}
			}
			value := 0.0
			for j := range d {
				value += cost[j] * v.AtVec(j)
			}
			if !ok || value < best {
				best, ok = value, true
			}
			return
		}
		for i := from; i < n; i++ {
			pick[k] = i
			walk(k+1, i+1)
		}
	}
	walk(0, 0)
	return best, ok
}

// TestAgainstEnumeration compares bounded random problems with the best of all crossings of d rows.
func TestAgainstEnumeration(t *testing.T) {
	compared := 0
	part := share()
	for seed := range 1500 / part {
		r := random(seed + 1<<32)
		d := 2 + r.IntN(3)
		m := &lowlp.Dense{D: d}
		for j := range d { // a box keeps it bounded
			for _, sign := range []float64{1, -1} {
				a := make([]float64, d)
				a[j] = sign
				m.Add(5, a...)
			}
		}
		for range 3 + r.IntN(8) {
			a := make([]float64, d)
			for j := range a {
				a[j] = r.NormFloat64()
			}
			m.Add(r.NormFloat64()+0.5, a...)
		}
		cost := make([]float64, d)
		for j := range cost {
			cost[j] = r.NormFloat64()
		}
		p := lowlp.Problem{Cost: cost, Rows: m}
		s := solved(t, p)
		holds(t, p, s)
		want, ok := enumerate(cost, m)
		if ok != (s.Status == lowlp.Optimal) || (ok && math.Abs(want-s.Value) > 1e-9) {
			t.Fatalf("seed %d: got %v %v, enumeration %v %v", seed, s.Status, s.Value, want, ok)
		}
		if ok {
			compared++
		}
	}
	if compared < int(700/part) {
		t.Fatalf("only %d problems had an optimum", compared)
	}
}

// slab is the Chebyshev problem of a line of points or a plane: |z − p·x − q·y − c| ≤ h, least h; never stored as rows.
type slab struct{ x, y, z []float64 }

func (s slab) Dim() int { return 4 }

func (s slab) Row(i int, a []float64) float64 {
	k, sign := i/2, 1.0
	if i%2 == 1 {
		sign = -1
	}
	a[0], a[1], a[2], a[3] = -sign*s.x[k], -sign*s.y[k], -sign, -1
	return -sign * s.z[k]
}

func (s slab) Worst(v []float64, ray bool, yield func(int, float64)) {
	const block = lowlp.BlockRows / 2
	for lo := 0; lo < len(s.x); lo += block {
		up, down := lo, lo
		most, least := math.Inf(-1), math.Inf(1)
		for k := lo; k < min(lo+block, len(s.x)); k++ {
			z := s.z[k]
			if ray {
				z = 0
			}
			e := z - v[0]*s.x[k] - v[1]*s.y[k] - v[2]
			if e > most {
				up, most = k, e
			}
			if e < least {
				down, least = k, e
			}
		}
		if most > v[3] {
			yield(2*up, most-v[3])
		}
		if -least > v[3] {
			yield(2*down+1, -least-v[3])
		}
	}
}

// TestLarge solves a million rows and lets Prove's bound and pass say that nothing is better.
func TestLarge(t *testing.T) {
	r := random(7)
	s := slab{}
	for range 500_000 {
		x, y := 900*(r.Float64()-0.5), 1400*(r.Float64()-0.5)
		s.x, s.y = append(s.x, x), append(s.y, y)
		s.z = append(s.z, 0.1*x/450*x/450-0.2*y/700+0.01*r.NormFloat64())
	}
	p := lowlp.Problem{Cost: []float64{0, 0, 0, 1}, Rows: s}
	got := solved(t, p)
	holds(t, p, got)
	if width := got.Value + got.Violation - got.Bound; got.Status != lowlp.Optimal || width > 1e-12 {
		t.Errorf("%v with interval of width %v", got.Status, width)
	}
	if got.Scans > 5 {
		t.Errorf("%d scans of all rows", got.Scans)
	}
}

// TestDegenerate ends, and is right, on input that makes pivots tie: everything on one plane, duplicates, one line, one point.
func TestDegenerate(t *testing.T) {
	grid := slab{}
	for i := range 40 {
		for j := range 40 {
			grid.x, grid.y = append(grid.x, float64(i)), append(grid.y, float64(j))
			grid.z = append(grid.z, 0.25*float64(i)-0.5*float64(j)+3)
		}
	}
	twice := slab{append(grid.x, grid.x...), append(grid.y, grid.y...), append(grid.z, grid.z...)}
	chess := slab{grid.x, grid.y, make([]float64, len(grid.x))}
	for k := range chess.z {
		chess.z[k] = float64((int(chess.x[k]) + int(chess.y[k])) % 2)
	}
	line, point := slab{}, slab{}
	for i := range 100 {
		line.x, line.y, line.z = append(line.x, float64(i)), append(line.y, 2*float64(i)), append(line.z, float64(i%3))
		point.x, point.y, point.z = append(point.x, 5), append(point.y, 6), append(point.z, float64(i%2))
	}
	cases := []struct {
		name string
		s    slab
		want float64
	}{{"plane", grid, 0}, {"duplicates", twice, 0}, {"chess", chess, 0.5}, {"line", line, 1}, {"point", point, 0.5}}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p := lowlp.Problem{Cost: []float64{0, 0, 0, 1}, Rows: c.s}
			got := solved(t, p)
			if got.Status != lowlp.Optimal || math.Abs(got.Value-c.want) > 1e-12 || got.Violation > 1e-12 || got.Bound > got.Value+1e-15 || got.Value-got.Bound > 1e-12 {
				t.Errorf("%v value %v (want %v) bound %v violation %v", got.Status, got.Value, c.want, got.Bound, got.Violation)
			}
		})
	}
}

// TestManyUnknowns solves random problems of up to 40 unknowns; Prove says whether they are right.
func TestManyUnknowns(t *testing.T) {
	for _, d := range []int{11, 20, 40} {
		r := random(uint64(d))
		m := &lowlp.Dense{D: d}
		for range 20 * d {
			a := make([]float64, d)
			for j := range a {
				a[j] = r.NormFloat64()
			}
			m.Add(1+r.Float64(), a...)
		}
		cost := make([]float64, d)
		for j := range cost {
			cost[j] = r.NormFloat64()
		}
		p := lowlp.Problem{Cost: cost, Rows: m}
		s := solved(t, p)
		holds(t, p, s)
		if s.Status != lowlp.Optimal || s.Value+s.Violation-s.Bound > 1e-12*math.Max(1, math.Abs(s.Value)) {
			t.Errorf("d=%d: %v, interval [%v, %v], violation %v", d, s.Status, s.Bound, s.Value, s.Violation)
		}
	}
}

// No start and no warm row changes the answer.
func TestStartAndWarmDoNotChangeTheAnswer(t *testing.T) {
	for seed := range uint64(200) {
		p, m := small(random(seed))
		plain := solved(t, p)
		p.Start = make([]float64, m.D)
		for j := range p.Start {
			p.Start[j] = 1000.25 * float64(j+1)
		}
		p.Warm = []int{0}
		moved := solved(t, p)
		if plain.Status != moved.Status || (plain.Status == lowlp.Optimal && math.Abs(plain.Value-moved.Value) > 1e-9) {
			t.Fatalf("seed %d: %v %v, from elsewhere %v %v", seed, plain.Status, plain.Value, moved.Status, moved.Value)
		}
	}
}

// TestPoorWarmRows begins with rows that say nothing of the scale of the others.
func TestPoorWarmRows(t *testing.T) {
	for seed := range uint64(300) {
		r := random(seed)
		d := 1 + r.IntN(4)
		m := &lowlp.Dense{D: d}
		tiny := make([]float64, d)
		for j := range tiny {
			tiny[j] = 1e-17 * r.NormFloat64()
		}
		m.Add(1e9, tiny...) // never binds
		for j := range d {
			for _, sign := range []float64{1, -1} {
				a := make([]float64, d)
				a[j] = sign * math.Exp2(float64(r.IntN(20)-10))
				m.Add(math.Exp2(float64(r.IntN(20)-10)), a...)
			}
		}
		cost := make([]float64, d)
		for j := range cost {
			cost[j] = r.NormFloat64()
		}
		p := lowlp.Problem{Cost: cost, Rows: m}
		cold := solved(t, p)
		p.Warm = []int{0}
		warm := solved(t, p)
		if cold.Status != warm.Status || !(math.Abs(cold.Value-warm.Value) <= 1e-12*(1+math.Abs(cold.Value))) {
			t.Fatalf("seed %d: %v %v, with a poor warm row %v %v", seed, cold.Status, cold.Value, warm.Status, warm.Value)
		}
	}
}

func TestMalformed(t *testing.T) {
	m := &lowlp.Dense{D: 2}
	m.Add(1, 1, 0)
	for _, p := range []lowlp.Problem{
		{Cost: []float64{1}, Rows: m},
		{Cost: []float64{1, math.NaN()}, Rows: m},
		{Cost: []float64{1, 0}, Rows: m, Start: []float64{1}},
		{Cost: nil, Rows: &lowlp.Dense{}},
		{Cost: make([]float64, 41), Rows: &lowlp.Dense{D: 41}},
	} {
		var tr *trouble.Trouble
		if _, err := lowlp.Solve(p); !errors.As(err, &tr) || tr.Kind != trouble.KindOwn {
			t.Errorf("%+v: %v", p, err)
		}
	}
}

// TestProofCanFail plants a wrong optimum and sees the checks object.
func TestProofCanFail(t *testing.T) {
	m := &lowlp.Dense{D: 1}
	m.Add(-1, -1) // v ≥ 1
	if got := lowlp.Check(m, []float64{0.5}); got != 0.5 {
		t.Errorf("violation %v, want 0.5", got)
	}
	if got := lowlp.Check(m, []float64{1}); got != 0 {
		t.Errorf("violation %v, want 0", got)
	}
}

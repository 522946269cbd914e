package lowlp

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

// TestExactRungAgrees settles random problems in exact rationals from the box's own basis, with no help from floats, and
// compares with the ladder's first rung.
func TestExactRungAgrees(t *testing.T) {
	compared := 0
	for seed := range uint64(400) {
		r := rand.New(rand.NewPCG(seed, 1))
		d := 1 + r.IntN(4)
		m := &Dense{D: d}
		for range 2 + r.IntN(14) {
			a := make([]float64, d)
			for j := range a {
				a[j] = float64(r.IntN(7) - 3)
			}
			m.Add(float64(r.IntN(9)-1), a...)
		}
		cost := make([]float64, d)
		for j := range cost {
			cost[j] = float64(r.IntN(7) - 3)
		}
		p := Problem{Cost: cost, Rows: m}
		s, err := Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		if s.Status != Optimal {
			continue
		}
		if s.Exact {
			t.Fatalf("seed %d: floats did not settle a small whole-number problem", seed)
		}
		c := newCore(m, cost, nil, false)
		c.scan(c.start)
		c.setBox(0x1p20)
		if _, err := c.climb(); err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		e := c.solution(p)
		if !e.Exact || math.Abs(e.Value-s.Value) > 1e-9 {
			t.Fatalf("seed %d: exact rung %v, floats %v", seed, e.Value, s.Value)
		}
		compared++
	}
	if compared < 100 {
		t.Fatalf("only %d compared", compared)
	}
}

func TestRationalsSolve(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 100 {
		d := 1 + r.IntN(6)
		a := make([]float64, d*d)
		x := make([]*big.Rat, d)
		for j := range x {
			x[j] = big.NewRat(int64(r.IntN(19)-9), int64(1+r.IntN(9)))
		}
		for i := range a {
			a[i] = float64(r.IntN(9)-4) / 8
		}
		rows, right := make([][]*big.Int, d), make([]*big.Int, d)
		common := big.NewInt(2520 * 8) // makes every right side whole
		for k := range d {
			sum := new(big.Rat)
			for j := range d {
				sum.Add(sum, new(big.Rat).Mul(rat(a[k*d+j]), x[j]))
			}
			sum.Mul(sum, new(big.Rat).SetInt(common))
			if !sum.IsInt() {
				t.Fatal("the test's own right side is not whole")
			}
			right[k] = sum.Num()
			row := make([]*big.Int, d)
			for j := range row {
				row[j] = new(big.Int).Mul(big.NewInt(int64(8*a[k*d+j])), big.NewInt(2520))
			}
			rows[k] = row
		}
		got := rationals(rows, right)
		if got == nil {
			continue // singular
		}
		for j := range x {
			if got[j].Cmp(x[j]) != 0 {
				t.Fatalf("got %v, want %v", got, x)
			}
		}
	}
}

func TestSingularIsSeen(t *testing.T) {
	if got := solveExactly(2, []float64{1, 2, 2, 4}, []float64{1, 1}, []float64{1, 1}); got != nil {
		t.Errorf("solved a singular basis: %v", got)
	}
}

func TestFloorIsBelow(t *testing.T) {
	third := big.NewRat(1, 3)
	for _, x := range []*big.Rat{third, new(big.Rat).Neg(third), rat(0.5)} {
		f := floor(x)
		if rat(f).Cmp(x) > 0 || rat(math.Nextafter(f, 2)).Cmp(x) <= 0 {
			t.Errorf("floor(%v) = %v", x, f)
		}
	}
}

// TestAnyBasisIsRepaired begins exact solving from every basis that is one exchange away from the optimum's: negative
// multipliers are pivoted on, singular ones begin again, and the answer stays the same.
func TestAnyBasisIsRepaired(t *testing.T) {
	repaired, restarted := 0, 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 8))
		d := 1 + r.IntN(4)
		m := &Dense{D: d}
		for j := range d {
			for _, sign := range []float64{1, -1} {
				a := make([]float64, d)
				a[j] = sign
				m.Add(float64(1+r.IntN(5)), a...)
			}
		}
		for range 6 {
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
		p := Problem{Cost: cost, Rows: m, Start: make([]float64, d)}
		for i := range m.B {
			p.Warm = append(p.Warm, i)
		}
		best, err := Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		basis := append([]int{}, best.core.basis...)
		for place := range basis {
			for enter := 2 * d; enter < len(best.core.b); enter++ {
				c := newCore(m, cost, p.Start, false)
				c.take(p.Warm)
				c.rescale()
				c.setBox(best.core.half)
				for k, i := range basis {
					c.exchange(k, i)
				}
				if c.inside[enter] {
					continue
				}
				c.exchange(place, enter)
				if c.repaired() != nil {
					repaired++
				} else {
					restarted++
				}
				if _, err := c.climb(); err != nil {
					t.Fatalf("seed %d: %v", seed, err)
				}
				if s := c.solution(p); math.Abs(s.Value-best.Value) > 1e-9 {
					t.Fatalf("seed %d, place %d, row %d: %v, want %v", seed, place, enter, s.Value, best.Value)
				}
			}
		}
	}
	if repaired < 500 || restarted < 10 {
		t.Fatalf("repaired %d, restarted %d", repaired, restarted)
	}
}

// TestTooFewRowsSayHowFarTheBoundHolds: three points that are on one line but for rounding do not hold a plane.
func TestTooFewRowsSayHowFarTheBoundHolds(t *testing.T) {
	m := &Dense{D: 2} // v₀ + tiny·v₁ ≥ 1, and nothing else holds v₁
	m.Add(-1, -1, -0x1p-60)
	m.Add(-1, -1, 0x1p-61)
	p := Problem{Cost: []float64{1, 0x1p-70}, Rows: m}
	s, err := Solve(p)
	if err != nil {
		t.Fatal(err)
	}
	if s.Status != Optimal {
		return // a ray was found and shown: as good
	}
	if err := Prove(p, &s); err != nil {
		t.Fatal(err)
	}
	if s.Within != nil && (len(s.Within) != 2 || !(s.Within[1] > 0)) {
		t.Errorf("within %v", s.Within)
	}
}

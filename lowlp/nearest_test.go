package lowlp_test

import (
	"math"
	"testing"

	"slatewright/lowlp"
)

// TestNearestOfABox has a closed form: every unknown clipped to its own bounds.
func TestNearestOfABox(t *testing.T) {
	for seed := range uint64(300) {
		r := random(seed)
		d := 1 + r.IntN(9)
		m := &lowlp.Dense{D: d}
		q := lowlp.Least{Rows: m}
		want := make([]float64, d)
		for j := range d {
			lo, hi, h := -r.Float64(), r.Float64(), 4*r.Float64()-2
			up, down, g := make([]float64, d), make([]float64, d), make([]float64, d)
			up[j], down[j], g[j] = 1, -1, 1
			m.Add(hi, up...)
			m.Add(-lo, down...)
			q.G, q.H = append(q.G, g...), append(q.H, h)
			want[j] = math.Max(lo, math.Min(hi, h))
		}
		s, err := lowlp.Nearest(q)
		if err != nil || s.Status != lowlp.Optimal {
			t.Fatalf("seed %d: %v %v", seed, s.Status, err)
		}
		for j := range want {
			if math.Abs(s.V[j]-want[j]) > 1e-12 {
				t.Fatalf("seed %d: got %v, want %v", seed, s.V, want)
			}
		}
	}
}

// TestNearestMeetsItsConditions checks the Karush-Kuhn-Tucker conditions on random problems, which are enough for a convex
// one: every row holds, multipliers are ≥ 0, their rows hold with equality, and the gradient is balanced.
func TestNearestMeetsItsConditions(t *testing.T) {
	active := 0
	for seed := range uint64(2000) {
		r := random(seed + 77)
		d := 1 + r.IntN(9)
		m := &lowlp.Dense{D: d}
		for range 1 + r.IntN(4*d) {
			a := make([]float64, d)
			for j := range a {
				a[j] = r.NormFloat64()
			}
			m.Add(r.Float64()-0.1, a...)
		}
		q := lowlp.Least{Rows: m}
		for range d + r.IntN(4) {
			for range d {
				q.G = append(q.G, r.NormFloat64())
			}
			q.H = append(q.H, 3*r.NormFloat64())
		}
		s, err := lowlp.Nearest(q)
		if err != nil {
			continue // G does not span: its own test below
		}
		if s.Status == lowlp.Infeasible {
			if p := solved(t, lowlp.Problem{Cost: make([]float64, d), Rows: m}); p.Status != lowlp.Infeasible {
				t.Fatalf("seed %d: called infeasible, but %v", seed, p.Status)
			}
			continue
		}
		if s.Violation > 1e-10 {
			t.Fatalf("seed %d: violation %v", seed, s.Violation)
		}
		grad := make([]float64, d)
		size := 1.0
		for k, h := range q.H {
			e := -h
			for j := range d {
				e += q.G[k*d+j] * s.V[j]
			}
			for j := range d {
				grad[j] += 2 * e * q.G[k*d+j]
				size = math.Max(size, math.Abs(2*e*q.G[k*d+j]))
			}
		}
		for k, i := range s.Active {
			active++
			if s.Multipliers[k] < -1e-10 {
				t.Fatalf("seed %d: multiplier %v", seed, s.Multipliers[k])
			}
			e := -m.B[i]
			for j := range d {
				e += m.A[i*d+j] * s.V[j]
				grad[j] += s.Multipliers[k] * m.A[i*d+j]
			}
			if math.Abs(e) > 1e-9 {
				t.Fatalf("seed %d: active row off by %v", seed, e)
			}
		}
		for _, g := range grad {
			if math.Abs(g) > 1e-8*size {
				t.Fatalf("seed %d: gradient %v, size %v", seed, grad, size)
			}
		}
	}
	if active < 1000 {
		t.Fatalf("only %d active rows in all", active)
	}
}

// TestNearestInAThinSlab holds when the polyhedron is 1e-9 thin around a Chebyshev optimum, as lexicographic stages make it.
func TestNearestInAThinSlab(t *testing.T) {
	for seed := range uint64(200) {
		r := random(seed)
		s := slab{}
		for range 54 {
			s.x, s.y, s.z = append(s.x, r.Float64()-0.5), append(s.y, r.Float64()-0.5), append(s.z, 0.2*r.NormFloat64())
		}
		best := solved(t, lowlp.Problem{Cost: []float64{0, 0, 0, 1}, Rows: s})
		m := &lowlp.Dense{D: 3}
		a := make([]float64, 4)
		for i := range 2 * len(s.x) {
			b := s.Row(i, a)
			m.Add(b+best.Value+1e-9, a[:3]...)
		}
		got, err := lowlp.Nearest(lowlp.Least{G: []float64{1, 0, 0, 0, 1, 0, 0, 0, 1}, H: []float64{0, 0, 0}, Rows: m})
		if err != nil || got.Status != lowlp.Optimal || got.Violation > 1e-13 {
			t.Fatalf("seed %d: %v violation %v %v", seed, got.Status, got.Violation, err)
		}
	}
}

func TestNearestNeedsEveryUnknown(t *testing.T) {
	m := &lowlp.Dense{D: 2}
	m.Add(1, 1, 0)
	if _, err := lowlp.Nearest(lowlp.Least{G: []float64{1, 0}, H: []float64{0}, Rows: m}); err == nil {
		t.Error("a flat sum of squares was taken")
	}
}

func TestNearestInfeasible(t *testing.T) {
	m := &lowlp.Dense{D: 1}
	m.Add(0, 1)
	m.Add(-1, -1)
	s, err := lowlp.Nearest(lowlp.Least{G: []float64{1}, H: []float64{0}, Rows: m})
	if err != nil || s.Status != lowlp.Infeasible {
		t.Errorf("%v %v", s.Status, err)
	}
}

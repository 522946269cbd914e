package sparse

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// random returns a positive definite matrix over a grid, made of squares of short rows, with some unknowns left out.
func random(nx, ny int, seed uint64, gaps bool) *Matrix {
	r := rand.New(rand.NewPCG(seed, 1))
	m := NewMatrix(nx, ny)
	for y := range ny {
		for x := range nx {
			if gaps && (x*7+y*3)%11 == 0 {
				continue
			}
			m.Add(x+nx*y, x+nx*y, 0.1)
		}
	}
	for y := range ny - Reach {
		for x := range nx - Reach {
			var at []int
			var v []float64
			for range 5 {
				a := x + r.IntN(Reach+1) + nx*(y+r.IntN(Reach+1))
				if m.At(a, a) != 0 {
					at, v = append(at, a), append(v, r.NormFloat64())
				}
			}
			for i := range at {
				for j := range at {
					if at[i] <= at[j] && (at[i] != at[j] || i == j) {
						m.Add(at[i], at[j], v[i]*v[j])
					} else if at[i] == at[j] && i < j {
						m.Add(at[i], at[j], 2*v[i]*v[j])
					}
				}
			}
		}
	}
	return m
}

// TestSolvesLikeGonum holds solutions against gonum's dense Cholesky.
func TestSolvesLikeGonum(t *testing.T) {
	for _, c := range []struct {
		nx, ny int
		gaps   bool
	}{{4, 4, false}, {5, 23, false}, {13, 17, true}, {30, 21, true}, {31, 33, false}} {
		m := random(c.nx, c.ny, uint64(c.nx), c.gaps)
		f, err := NewFactor(m)
		if err != nil {
			t.Fatal(err)
		}
		n := c.nx * c.ny
		var live []int
		for a := range n {
			if m.At(a, a) != 0 {
				live = append(live, a)
			}
		}
		if c.gaps == (len(live) == n) || f.Unknowns() != len(live) {
			t.Fatalf("%d of %d unknowns are live, the factor says %d", len(live), n, f.Unknowns())
		}
		dense := mat.NewSymDense(len(live), nil)
		for i, a := range live {
			for j, b := range live[i:] {
				dense.SetSym(i, i+j, m.At(a, b))
			}
		}
		var chol mat.Cholesky
		if !chol.Factorize(dense) {
			t.Fatal("gonum finds it indefinite")
		}
		r := rand.New(rand.NewPCG(7, 7))
		sides := make([][]float64, 11)
		for k := range sides {
			sides[k] = make([]float64, n)
			for _, a := range live {
				sides[k][a] = r.NormFloat64()
			}
		}
		for k, x := range f.SolveAll(sides) {
			for a, v := range f.Solve(sides[k]) {
				if math.Abs(v-x[a]) > 1e-9*(1+math.Abs(v)) {
					t.Fatalf("alone unknown %d is %g, together %g", a, v, x[a])
				}
			}
			b := mat.NewVecDense(len(live), nil)
			for i, a := range live {
				b.SetVec(i, sides[k][a])
			}
			var want mat.VecDense
			if err := chol.SolveVecTo(&want, b); err != nil {
				t.Fatal(err)
			}
			for i, a := range live {
				if d := math.Abs(x[a] - want.AtVec(i)); d > 1e-9*(1+math.Abs(want.AtVec(i))) {
					t.Fatalf("%d x %d: unknown %d is %g, gonum says %g", c.nx, c.ny, a, x[a], want.AtVec(i))
				}
			}
			y := m.Multiply(x)
			for a := range y {
				if math.Abs(y[a]-sides[k][a]) > 1e-9 {
					t.Fatalf("row %d: %g, not %g", a, y[a], sides[k][a])
				}
			}
		}
	}
}

func TestRefusesWhatIsIndefinite(t *testing.T) {
	m := random(12, 12, 3, false)
	m.Add(40, 40, -100)
	_, err := NewFactor(m)
	var bad *Indefinite
	if !errors.As(err, &bad) {
		t.Fatalf("got %v", err)
	}
}

func BenchmarkFactor(b *testing.B) {
	m := random(103, 103, 5, false)
	b.ResetTimer()
	for b.Loop() {
		if _, err := NewFactor(m); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSolve64(b *testing.B) {
	m := random(103, 103, 5, false)
	f, _ := NewFactor(m)
	sides := make([][]float64, 64)
	for k := range sides {
		sides[k] = make([]float64, m.NX*m.NY)
		sides[k][k*17] = 1
	}
	b.ResetTimer()
	for b.Loop() {
		f.SolveAll(sides)
	}
}

package flatness

import (
	"math"
	"math/rand/v2"
	"testing"
)

func TestRowNumbers(t *testing.T) {
	seen := map[int]bool{}
	for i := range 5*levelBlock + 3 {
		for _, upper := range []bool{true, false} {
			row := rowOf(i, upper)
			if j, u := pointOf(row); j != i || u != upper || seen[row] {
				t.Fatalf("point %d (%v) is row %d, which is point %d (%v)", i, upper, row, j, u)
			}
			seen[row] = true
		}
	}
}

// The scan of the rows against the rows themselves.
func TestWorstRows(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	l := &level{}
	for range 3*levelBlock + 10 {
		l.u, l.v, l.w = append(l.u, r.NormFloat64()), append(l.v, r.NormFloat64()), append(l.w, r.NormFloat64())
	}
	for trial := range 100 {
		x := []float64{r.NormFloat64(), r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}
		ray := trial%2 == 1
		want := map[int]float64{} // of each block and side
		for i := range l.w {
			for side, upper := range []bool{true, false} {
				var a [4]float64
				b := l.Row(rowOf(i, upper), a[:])
				if ray {
					b = 0
				}
				e := -b
				for k := range a {
					e += a[k] * x[k]
				}
				if e > 0 {
					want[2*(i/levelBlock)+side] = max(want[2*(i/levelBlock)+side], e)
				}
			}
		}
		last, got := -1, 0
		l.Worst(x, ray, func(row int, excess float64) {
			i, upper := pointOf(row)
			key := 2 * (i / levelBlock)
			if !upper {
				key++
			}
			if key <= last || math.Abs(excess-want[key]) > 1e-14 {
				t.Fatalf("trial %d: row %d exceeds by %g, want %g", trial, row, excess, want[key])
			}
			last = key
			got++
		})
		if got != len(want) {
			t.Fatalf("trial %d: %d rows, want %d", trial, got, len(want))
		}
	}
}

// A tilt that the heights carry comes back, and the contacts' weights balance.
func TestLevelSolve(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	for trial := range 200 {
		l := &level{}
		for range 40 {
			u, v := 400*r.NormFloat64(), 700*r.NormFloat64()
			l.u, l.v, l.w = append(l.u, u), append(l.v, v), append(l.w, 0.01*u-0.02*v+0.1*r.Float64())
		}
		p, q, on, err := l.solve(nil)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(p-0.01) > 1e-3 || math.Abs(q+0.02) > 1e-3 {
			t.Fatalf("trial %d: tilt %g, %g", trial, p, q)
		}
		var one, u, v [2]float64
		for _, c := range on {
			k := 0
			if c.upper {
				k = 1
			}
			one[k] += c.weight
			u[k] += c.weight * l.u[c.i]
			v[k] += c.weight * l.v[c.i]
		}
		if math.Abs(one[0]-1) > 1e-12 || math.Abs(one[1]-1) > 1e-12 || math.Abs(u[0]-u[1]) > 1e-9 || math.Abs(v[0]-v[1]) > 1e-9 {
			t.Fatalf("trial %d: weights %v, centres %v %v", trial, one, u, v)
		}
		again, _, _, err := l.solve(on)
		if err != nil || math.Abs(again-p) > 1e-12 {
			t.Fatalf("trial %d: a warm start gives %g, want %g (%v)", trial, again, p, err)
		}
	}
}

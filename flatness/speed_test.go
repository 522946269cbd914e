package flatness_test

import (
	"fmt"
	"math/rand/v2"
	"sync"
	"testing"

	"slatewright/flatness"
)

// slate is a face of bow, twist and 5 µm of noise, read at n places in no order.
func slate(n int) flatness.Points {
	r := rand.New(rand.NewPCG(1, 2))
	return onPlane(n, level, func(int) (float64, float64) { return 2*r.Float64() - 1, 2*r.Float64() - 1 }, shapes["ground"](r))
}

func benchmark(b *testing.B, p flatness.Points, do func(flatness.Points) error) {
	b.Helper()
	b.ReportAllocs()
	for b.Loop() {
		if err := do(p); err != nil {
			b.Fatal(err)
		}
	}
}

func zone(p flatness.Points) error  { _, err := flatness.MinimumZone(p); return err }
func value(p flatness.Points) error { _, err := flatness.ZoneValue(p); return err }
func plane(p flatness.Points) error { _, err := flatness.LeastSquares(p); return err }
func fit(p flatness.Points) error   { _, err := flatness.FitShape(p, 914, 1473); return err }
func bed(p flatness.Points) error   { _, _, err := flatness.Lines(p, joints); return err }

func BenchmarkMinimumZone54(b *testing.B)  { benchmark(b, slate(54), zone) }
func BenchmarkMinimumZone1e6(b *testing.B) { benchmark(b, slate(1e6), zone) }
func BenchmarkMinimumZone1e7(b *testing.B) { benchmark(b, slate(1e7), zone) }

// BenchmarkMinMaxPass is what the minimum zone is measured against: the least and largest x, y and z by all cores.
func BenchmarkMinMaxPass1e6(b *testing.B) { benchmark(b, slate(1e6), pass) }
func BenchmarkMinMaxPass1e7(b *testing.B) { benchmark(b, slate(1e7), pass) }

func BenchmarkZoneValue54(b *testing.B)     { benchmark(b, slate(54), value) }
func BenchmarkZoneValue200(b *testing.B)    { benchmark(b, slate(200), value) }
func BenchmarkZoneValue1e4(b *testing.B)    { benchmark(b, slate(1e4), value) }
func BenchmarkLeastSquares1e6(b *testing.B) { benchmark(b, slate(1e6), plane) }
func BenchmarkFitShape54(b *testing.B)      { benchmark(b, slate(54), fit) }
func BenchmarkFitShape1e6(b *testing.B)     { benchmark(b, slate(1e6), fit) }
func BenchmarkLinesOfAGrid(b *testing.B)    { benchmark(b, threePieces(step), bed) }
func BenchmarkLinesOfAScan1e6(b *testing.B) { benchmark(b, slate(1e6), bed) }

func pass(p flatness.Points) error {
	const parts = 2
	var low, high [parts][3]float64
	var wg sync.WaitGroup
	for k := range parts {
		lo, hi := p.Len()*k/parts, p.Len()*(k+1)/parts
		wg.Go(func() {
			for c, column := range [3][]float64{p.X[lo:hi], p.Y[lo:hi], p.Z[lo:hi]} {
				least, most := column[0], column[0]
				for _, x := range column {
					if x < least {
						least = x
					}
					if x > most {
						most = x
					}
				}
				low[k][c], high[k][c] = least, most
			}
		})
	}
	wg.Wait()
	for c := range 3 {
		if !(min(low[0][c], low[1][c]) < max(high[0][c], high[1][c])) {
			return fmt.Errorf("no extent in %d", c)
		}
	}
	return nil
}

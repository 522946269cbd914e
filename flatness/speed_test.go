package flatness_test

import (
	"math/rand/v2"
	"testing"

	"slatewright/flatness"
)

// slate is a face of random shape: bow, twist, ripple-free, with 5 µm noise, points in no order.
func slate(n int) flatness.Points {
	r := rand.New(rand.NewPCG(1, 2))
	p := flatness.Points{X: make([]float64, n), Y: make([]float64, n), Z: make([]float64, n)}
	for i := range n {
		x, y := 2*r.Float64()-1, 2*r.Float64()-1
		p.X[i], p.Y[i] = 457*x, 736.5*y
		p.Z[i] = 0.1*(1-x*x) + 0.05*(1-y*y) + 0.03*x*y + 0.005*r.NormFloat64()
	}
	return p
}

func benchZone(b *testing.B, n int) {
	p := slate(n)
	b.ResetTimer()
	for b.Loop() {
		z, err := flatness.MinimumZone(p)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(z.Scans), "scans")
	}
}

func benchValue(b *testing.B, n int) {
	p := slate(n)
	b.ResetTimer()
	for b.Loop() {
		if _, err := flatness.ZoneValue(p); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkMinimumZone54(b *testing.B)  { benchZone(b, 54) }
func BenchmarkMinimumZone1e6(b *testing.B) { benchZone(b, 1_000_000) }
func BenchmarkMinimumZone1e7(b *testing.B) { benchZone(b, 10_000_000) }
func BenchmarkZoneValue54(b *testing.B)    { benchValue(b, 54) }
func BenchmarkZoneValue200(b *testing.B)   { benchValue(b, 200) }
func BenchmarkZoneValue4000(b *testing.B)  { benchValue(b, 4000) }

func BenchmarkFitShape1e6(b *testing.B) {
	p := slate(1_000_000)
	b.ResetTimer()
	for b.Loop() {
		flatness.FitShape(p, 914, 1473)
	}
}
func BenchmarkLeastSquares1e6(b *testing.B) {
	p := slate(1_000_000)
	b.ResetTimer()
	for b.Loop() {
		flatness.LeastSquares(p)
	}
}
func BenchmarkFitShape54(b *testing.B) {
	p := slate(54)
	b.ResetTimer()
	for b.Loop() {
		flatness.FitShape(p, 914, 1473)
	}
}

package wholeface

import (
	"math"
	"testing"

	"slatewright/chance"
	"slatewright/flatness"
)

// The zone of a drawn face is the minimum zone of package flatness, which is proven there against exact arithmetic.
func TestZoneIsTheMinimumZone(t *testing.T) {
	l := newLattice(914, 1473, 20)
	p := newNodePlane(l)
	s := chance.NewStream(7)
	z := make([]float64, l.nodes())
	for trial := range 60 {
		a, b, c := 0.1*s.Normal(), 0.1*s.Normal(), 0.05*s.Normal()
		rough := []float64{0, 0.003, 0.03}[trial%3]
		for k := range z {
			f := l.trend(l.place(k))
			z[k] = a*f[3] + b*f[4] + c*f[5] + 1e-4*f[1] + rough*s.Normal()
		}
		want, err := flatness.ZoneValue(flatness.Points{X: p.x, Y: p.y, Z: z})
		if err != nil {
			t.Fatal(err)
		}
		if got, _ := p.zone(z, [][4]int{p.start, {0, 1, 2, 3}, {5, 70, 900, 1500}}[trial%3]); math.Abs(got-want) > 2e-6*want+1e-12 {
			t.Errorf("trial %d: zone %.9f, flatness says %.9f", trial, got, want)
		}
	}
}

func BenchmarkZone(b *testing.B) {
	l := newLattice(914, 1473, 20)
	p := newNodePlane(l)
	s := chance.NewStream(7)
	z := make([]float64, l.nodes())
	for k := range z {
		f := l.trend(l.place(k))
		z[k] = 0.1*f[3] + 0.02*s.Normal()
	}
	for b.Loop() {
		p.zone(z, p.start)
	}
}

func BenchmarkField(b *testing.B) {
	f := NewFields(914, 1473, 20, 1)
	k := 0
	for b.Loop() {
		f.of(160, k)
		k++
	}
}

package flatness_test

import (
	"math"
	"testing"

	"slatewright/flatness"
	"slatewright/internal/truth"
)

// ulp is the unit in the last place of the largest coordinate.
func ulp(p flatness.Points) float64 {
	most := 0.0
	for _, c := range [][]float64{p.X, p.Y, p.Z} {
		for _, x := range c {
			most = max(most, math.Abs(x))
		}
	}
	return math.Nextafter(most, math.Inf(1)) - most
}

// angle is |a × b|, free in sign, for unit vectors.
func angle(a, b [3]float64) float64 {
	x := a[1]*b[2] - a[2]*b[1]
	y := a[2]*b[0] - a[0]*b[2]
	z := a[0]*b[1] - a[1]*b[0]
	return math.Sqrt(x*x + y*y + z*z)
}

func TestNIST(t *testing.T) {
	for _, s := range truth.NISTPlanes() {
		p := flatness.Points{X: s.X, Y: s.Y, Z: s.Z}
		z, err := flatness.MinimumZone(p)
		if err != nil {
			t.Fatal(err)
		}
		v, _ := flatness.ZoneValue(p)
		l, err := flatness.LeastSquares(p)
		t.Logf("%s n=%d zone %.17g want %.17g diff %.2g ulp %.2g  rel-low %.2g high-v %.2g %s %s normal %.1e fast %.2g | ls %.2g", s.Name, len(s.X), z.Value, s.Zone, z.Value-s.Zone, ulp(p), (z.Value-z.Low)/z.Value, z.High-z.Value, z.Kind, s.Contact, angle(z.Normal, s.ZoneNormal), v-z.Value, angle(l.Normal, s.Normal))
	}
}

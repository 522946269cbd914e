package flatness_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"slatewright/flatness"
)

// lattice is m points on a lattice of few values, each direction scaled by its own power of two (0 makes it vanish), turned
// and moved: planes, lines, needles and boxes with many ties and repeats.
func lattice(r *rand.Rand, m int) flatness.Points {
	values := 1 + r.IntN(6)
	scale := func(gone int) float64 {
		if r.IntN(gone) == 0 {
			return 0
		}
		return math.Ldexp(1, -r.IntN(60))
	}
	su, sv, sw := 1.0, scale(6), scale(4)
	var p flatness.Points
	for range m {
		p = with(p, su*float64(r.IntN(values)), sv*float64(r.IntN(values)), sw*float64(r.IntN(values)))
	}
	turn, by := level, [3]float64{}
	if r.IntN(2) == 0 {
		turn = randomTurn(r)
	}
	if r.IntN(3) == 0 {
		by = [3]float64{1e4, 1e4, 1e4}
	}
	return turned(p, turn, by)
}

// Whatever the points: an answer that holds, or a refusal because they lie on a line; never a fault of our own.
func TestDegenerateSets(t *testing.T) {
	r := rand.New(rand.NewPCG(61, 61))
	kinds := map[string]int{}
	for trial := range trials(6000) {
		m := 4 + r.IntN(12)
		if trial%20 == 0 {
			m = 1500 + r.IntN(3000)
		}
		p := lattice(r, m)
		z, err := flatness.MinimumZone(p)
		if err != nil {
			if _, err := flatness.LeastSquares(p); err == nil && !nearLine(p) {
				t.Fatalf("trial %d: %v: %v", trial, err, p)
			}
			kinds["line"]++
			continue
		}
		kinds[z.Kind]++
		if !(0 <= z.Low && z.Low <= z.Value && z.Value <= z.High) {
			t.Fatalf("trial %d: %g is not within %g to %g", trial, z.Value, z.Low, z.High)
		}
		checkContacts(t, "lattice", p, z)
		tol := 16 * lastPlace(p)
		if l, err := flatness.LeastSquares(p); err == nil && z.Value > l.PeakToValley+tol {
			t.Fatalf("trial %d: zone %g above least squares %g", trial, z.Value, l.PeakToValley)
		}
		if v, err := flatness.ZoneValue(p); err != nil || z.Value > v+tol {
			t.Fatalf("trial %d: zone %g above the fast value %g (%v)", trial, z.Value, v, err)
		}
	}
	if len(kinds) != 4 {
		t.Errorf("other kinds than four: %v", kinds)
	}
	for _, k := range []string{"line", "flat", "2-2", "3-1"} {
		if kinds[k] < trials(300) {
			t.Errorf("too few of a kind to trust the test: %v", kinds)
		}
	}
}

// nearLine reports whether the points lie within 100 last places of the line through two of them.
func nearLine(p flatness.Points) bool {
	far, a := 0.0, [3]float64{}
	at := func(i int) [3]float64 { return [3]float64{p.X[i] - p.X[0], p.Y[i] - p.Y[0], p.Z[i] - p.Z[0]} }
	for i := range p.X {
		if v := at(i); v[0]*v[0]+v[1]*v[1]+v[2]*v[2] > far {
			far, a = v[0]*v[0]+v[1]*v[1]+v[2]*v[2], v
		}
	}
	for i := range p.X {
		if v := at(i); apart(v, a) > 100*lastPlace(p)*math.Sqrt(far) {
			return false
		}
	}
	return true
}

// A peak above a pit in one place, the rest level: held by two points until the planes lean on others.
func TestPeakAbovePit(t *testing.T) {
	for _, n := range []int{1, 40} { // once taken whole, once as a large face
		p := flatness.Points{}
		for i := range 9 * n {
			for j := range 9 {
				p = with(p, float64(i)*100/float64(n), float64(j)*100, 0)
			}
		}
		p = with(with(p, 400, 400, 0.5), 400, 400, -0.5)
		z := zoneOf(t, p)
		if math.Abs(z.Value-1) > 1e-5 || z.Low > z.Value || z.Value-z.Low > 1e-5 {
			t.Errorf("%d points: %+v, want a zone of 1", p.Len(), z)
		}
		checkContacts(t, "peak above pit", p, z)
	}
}

// A needle far from the origin, a million times as wide as thick, with many repeats: the few points that a scan brings out
// must not let the planes turn to its side.
func TestNeedleKeepsItsSide(t *testing.T) {
	r := rand.New(rand.NewPCG(62, 62))
	for range 30 {
		var p flatness.Points
		for range 1700 {
			p = with(p, 1e4+float64(r.IntN(3)), 1e4+math.Ldexp(float64(r.IntN(3)), -10), 1e4+math.Ldexp(float64(r.IntN(3)), -30))
		}
		if z := zoneOf(t, p); z.Value > 2.1*0x1p-30 || apart(z.Normal, [3]float64{0, 0, 1}) > 1e-5 {
			t.Fatalf("got %+v", z)
		}
	}
}

// Places of a grid read twice, the largest differences of all among them: two points hold the planes until they lean on others,
// so that they always come to rest on four.
func TestRepeatedPlacesOfAGrid(t *testing.T) {
	r := rand.New(rand.NewPCG(63, 63))
	for trial := range trials(2000) {
		columns, rows := 2+r.IntN(6), 2+r.IntN(6)
		if trial%50 == 0 {
			columns, rows = 40, 40
		}
		size := math.Pow(10, -float64(2+r.IntN(4)))
		var p flatness.Points
		for i := range columns {
			for j := range rows {
				p = with(p, float64(i)*100, float64(j)*130, size*float64(r.IntN(5)))
			}
		}
		for range 1 + r.IntN(4) {
			k := r.IntN(p.Len())
			p = with(with(p, p.X[k], p.Y[k], 9*size), p.X[k], p.Y[k], -9*size)
		}
		z := zoneOf(t, p)
		checkContacts(t, "grid", p, z)
		if len(z.Contacts) != 4 || z.Kind != "2-2" && z.Kind != "3-1" {
			t.Fatalf("trial %d: %+v of %v", trial, z, p)
		}
	}
}

// A place read twice, with the largest difference of all: the planes still come to rest on four points.
func TestRepeatedPlaceHoldsBothPlanes(t *testing.T) {
	const last = 0x1p-35
	z := zoneOf(t, flatness.Points{X: []float64{2, 0, 3, 1, 2}, Y: []float64{3 * 0x1p-10, 0, 0x1p-10, 3 * 0x1p-10, 3 * 0x1p-10},
		Z: []float64{last, 2 * last, 2 * last, 2 * last, 3 * last}})
	if len(z.Contacts) != 4 || math.Abs(z.Value-2*last) > 1e-16 {
		t.Errorf("got %+v", z)
	}
}

// On a large face held by a line of three points, the fourth contact may be any point that touches.
func TestFourContactsOfALargeFace(t *testing.T) {
	p := onPlane(30_000, level, func(i int) (float64, float64) { return float64(i%200)/99.5 - 1, float64(i/200)/74.5 - 1 },
		func(_ int, u, _ float64) float64 { return math.Abs(u) / 8 })
	z := zoneOf(t, p)
	checkContacts(t, "roof", p, z)
	if len(z.Contacts) != 4 || math.Abs(z.Value-(1-1/199.0)/8) > 1e-15 {
		t.Errorf("got %+v", z)
	}
}

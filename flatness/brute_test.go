package flatness_test

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"slatewright/flatness"
)

// exactZone is the minimum zone over all orientations of points with small whole coordinates, by trying every normal that
// three points or two pairs of points can have, in whole numbers: the zone of a normal n is (max − min of n·p)/|n|. It
// shares nothing with the package.
func exactZone(p flatness.Points) float64 {
	var at [][3]int64
	for i := range p.X {
		at = append(at, [3]int64{int64(p.X[i]), int64(p.Y[i]), int64(p.Z[i])})
	}
	var edges [][3]int64
	for i := range at {
		for j := range i {
			edges = append(edges, [3]int64{at[i][0] - at[j][0], at[i][1] - at[j][1], at[i][2] - at[j][2]})
		}
	}
	var best *big.Rat // the square of the zone
	for i, a := range edges {
		for _, b := range edges[:i] {
			n := [3]int64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
			square := n[0]*n[0] + n[1]*n[1] + n[2]*n[2]
			if square == 0 {
				continue
			}
			lo, hi := int64(math.MaxInt64), int64(math.MinInt64)
			for _, q := range at {
				h := n[0]*q[0] + n[1]*q[1] + n[2]*q[2]
				lo, hi = min(lo, h), max(hi, h)
			}
			z := big.NewRat((hi-lo)*(hi-lo), square)
			if best == nil || z.Cmp(best) < 0 {
				best = z
			}
		}
	}
	if best == nil {
		return math.NaN()
	}
	root, _ := new(big.Float).SetPrec(200).Sqrt(new(big.Float).SetPrec(200).SetRat(best)).Float64()
	return root
}

// Thousands of small sets with whole coordinates, of every thickness, many degenerate: in their own orientation the exact
// zone must come out to the last place, and turned at random to within rounding.
func TestEveryOrientationOfSmallSets(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	judged, near, flat := 0, 0, 0
	for trial := range trials(4000) {
		width, height := 1+r.IntN(60), r.IntN(6)
		var p flatness.Points
		for range 4 + r.IntN(6) {
			x, y, z := float64(r.IntN(width)), float64(r.IntN(width)), float64(r.IntN(height+1))
			if trial%3 == 1 {
				x, z = z, x
			}
			p = with(p, x, y, z)
		}
		want := exactZone(p)
		z, err := flatness.MinimumZone(p)
		if math.IsNaN(want) {
			if err == nil {
				t.Fatalf("trial %d: points on a line gave a zone: %v", trial, p)
			}
			continue
		}
		if err != nil {
			t.Fatalf("trial %d: %v: %v", trial, err, p)
		}
		judged++
		if z.Kind == "flat" {
			flat++
		}
		checkContacts(t, "small", p, z)
		if !(z.Low <= want+4*lastPlace(p) && want-lastPlace(p) <= z.Value) {
			t.Fatalf("trial %d: zone %.17g (low %.17g), want %.17g: %v", trial, z.Value, z.Low, want, p)
		}
		if math.Abs(z.Value-want) > lastPlace(p) {
			near++ // another minimum within Low … Value
			if z.Value-want > 2e-4*want {
				t.Fatalf("trial %d: zone %.17g, want %.17g: %v", trial, z.Value, want, p)
			}
		}
		q := turned(p, randomTurn(r), [3]float64{100 * r.NormFloat64(), 100 * r.NormFloat64(), 100 * r.NormFloat64()})
		y := zoneOf(t, q)
		tol := 32 * lastPlace(q)
		if y.Low > want+tol || y.Value < want-tol || y.Value-want > 2e-4*want+tol {
			t.Fatalf("trial %d: turned: zone %.17g (low %.17g), want %.17g", trial, y.Value, y.Low, want)
		}
	}
	if judged < trials(3000) || flat < trials(50) {
		t.Errorf("only %d sets judged, %d flat", judged, flat)
	}
	if near > judged/200+1 {
		t.Errorf("%d of %d zones are not the least over all orientations", near, judged)
	}
}

// Grids of readings, thin enough that not every orientation is tried by the package itself, with the ties that whole
// heights bring.
func TestEveryOrientationOfGrids(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	exact := 0
	n := trials(200)
	for trial := range n {
		var p flatness.Points
		bow := float64(r.IntN(10))
		for i := range 5 {
			for j := range 4 {
				u := float64(i)/2 - 1
				p = with(p, float64(i)*500, float64(j)*700, math.Round(bow*(1-u*u)+1.5*r.NormFloat64()))
			}
		}
		z := zoneOf(t, p)
		want := exactZone(p)
		if z.Low > want+lastPlace(p) || z.Value < want-lastPlace(p) || z.Value-want > 1e-4*want {
			t.Errorf("trial %d: zone %.17g (low %.17g), want %.17g", trial, z.Value, z.Low, want)
		}
		if math.Abs(z.Value-want) <= lastPlace(p) {
			exact++
		}
	}
	if exact < n*9/10 {
		t.Errorf("only %d of %d zones are the least over all orientations", exact, n)
	}
}

// Sets that the least-squares plane misjudges (one of their points is read many times), too many to be tried in every
// orientation: the search must turn until it stands still.
func TestTurningFarFromLeastSquares(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 9))
	n, exact := trials(300), 0
	for trial := range n {
		var p flatness.Points
		for range 8 {
			p = with(p, float64(r.IntN(400)), float64(r.IntN(400)), float64(r.IntN(80)))
		}
		want := exactZone(p)
		for range 80 {
			p = with(p, p.X[0], p.Y[0], p.Z[0])
		}
		z := zoneOf(t, p)
		checkContacts(t, "far", p, z)
		if z.Low > want+4*lastPlace(p) || z.Value < want-4*lastPlace(p) {
			t.Fatalf("trial %d: zone %.17g (low %.17g), want %.17g", trial, z.Value, z.Low, want)
		}
		if z.Value-want <= 4*lastPlace(p) {
			exact++
		}
	}
	if exact < n*98/100 {
		t.Errorf("only %d of %d zones are the least over all orientations", exact, n)
	}
}

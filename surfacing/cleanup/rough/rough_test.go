package rough

import (
	"math"
	"testing"

	"slatewright/chance"
)

// slab has faces of second order, read without error.
func read(top, bottom [stations]float64) Slab {
	var s Slab
	for i, k := range Corners() {
		s.Corners[i] = top[k] - bottom[k]
	}
	gap := func(h [stations]float64, l Line, sign float64) Gap {
		return Gap(-sign * (h[l.Middle] - (h[l.From]+h[l.To])/2))
	}
	for i, l := range Lines() {
		s.Top[i], s.Bottom[i] = gap(top, l, 1), gap(bottom, l, -1)
	}
	return s
}

// thickest is the thickness of the planes that clear the stations, by all their contacts.
func thickest(top, bottom [stations]float64) float64 {
	t := math.Inf(1)
	for _, c := range ways() {
		sum := 0.0
		for k := range stations {
			sum += c.weight[0][k]*top[k] - c.weight[1][k]*bottom[k]
		}
		t = min(t, sum)
	}
	return t
}

func TestTruthLiesBetweenTheBounds(t *testing.T) {
	r := chance.NewStream(5)
	const trials = 60
	width := 0.0
	for range trials {
		var top, bottom [stations]float64
		for k := range stations {
			top[k], bottom[k] = 30+0.3*r.Normal(), 0.3*r.Normal()
		}
		b, err := Find(read(top, bottom))
		if err != nil {
			t.Fatal(err)
		}
		truth := thickest(top, bottom)
		if truth < b.Low-1e-8 || truth > b.High+1e-8 || b.Under > b.Low {
			t.Errorf("%.6f outside %.6f to %.6f (under the edges %.6f)", truth, b.Low, b.High, b.Under)
		}
		width += (b.High - b.Low) / trials
	}
	t.Logf("bounds are %.3f mm apart on average", width)
}

func TestClosedForms(t *testing.T) {
	flat := [stations]float64{}
	thick := flat
	for k := range stations {
		thick[k] = 30
	}
	b, err := Find(read(thick, flat))
	if err != nil || math.Abs(b.Low-30) > 1e-8 || math.Abs(b.High-30) > 1e-8 || math.Abs(b.Under-30) > 1e-8 {
		t.Errorf("a true slab: %+v, %v", b, err)
	}
	// Four lines through the middle of the top are hollow by 0.4: up to as much is lost there, or anywhere under the edge.
	s := read(thick, flat)
	s.Top[1], s.Top[4], s.Top[6], s.Top[7] = 0.4, 0.4, 0.4, 0.4
	b, err = Find(s)
	if err != nil || math.Abs(b.Low-29.6) > 1e-8 || math.Abs(b.High-30) > 1e-8 || math.Abs(b.Under-29.6) > 1e-8 {
		t.Errorf("a hollow: %+v, %v", b, err)
	}
	if len(b.Top) != 1 || b.Top[0] != Centre {
		t.Errorf("held by %v", b.Top)
	}
	// A crown on top and a hollow below: the middle of the bottom may stand 0.3 higher. The gaps on the diagonals allow a twist of 0.3 between their
	// ends as well, and under the edge the bottom may be hollow close to them.
	bent := read(thick, flat)
	for _, i := range []int{1, 4, 6, 7} {
		bent.Top[i], bent.Bottom[i] = -0.3, 0.3
	}
	if b, err := Find(bent); err != nil || math.Abs(b.High-30) > 1e-8 || math.Abs(b.Low-29.7) > 1e-8 || math.Abs(b.Under-29.4) > 1e-8 {
		t.Errorf("bent: %+v, %v", b, err)
	}
	s.Strip, s.Caliper = 0.05, 0.02
	if b, err = Find(s); err != nil || b.Low > 29.6-0.07+1e-8 {
		t.Errorf("with steps and limits: %+v, %v", b, err)
	}
	s.Bottom[1], s.Bottom[4], s.Bottom[6], s.Bottom[7] = Gap(math.NaN()), Gap(math.NaN()), Gap(math.NaN()), Gap(math.NaN())
	if b, err = Find(s); err != nil || !math.IsInf(b.Low, -1) {
		t.Errorf("lines are missing: %+v, %v", b, err)
	}
}

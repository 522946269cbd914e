package cleanup_test

import (
	"math"
	"testing"

	"slatewright/chance"
	"slatewright/surfacing/cleanup"
)

// TestIntervalHoldsTheTruth draws slabs with sawn faces, reads them with noise, wrong calipers and wrong gravity, and counts how often the interval holds the
// thickness of the true slab. docs/cleanup.md prints the table of 1,000 slabs for each number of calipers.
func TestIntervalHoldsTheTruth(t *testing.T) {
	trials := 60 // of 1000
	for _, calipers := range []int{3, 4, 6, 8} {
		r := chance.NewStream(uint64(calipers))
		held, thinner, width := 0, 0, 0.0
		for range trials {
			low, truth, high := sawn(t, r, calipers)
			if low <= truth && truth <= high {
				held++
			}
			if truth < low {
				thinner++
			}
			width += (high - low) / float64(trials)
		}
		t.Logf("%d calipers: held %d of %d, %d were thinner, %.3f mm wide", calipers, held, trials, thinner, width)
		if held < trials*88/100 {
			t.Errorf("with %d calipers the intervals hold the truth %d times of %d", calipers, held, trials)
		}
	}
}

// sawn is one slab: what the interval says, and its true thickness.
func sawn(t *testing.T, r *chance.Stream, calipers int) (low, truth, high float64) {
	t.Helper()
	const share = 0.2
	u := cleanup.U{Top: 0.004, Bottom: 0.004, Caliper: 0.02}
	s := smooth(r)
	wave := func(f func(u, v float64) float64) func(u, v float64) float64 {
		a, b := 6*r.Float64(), 6*r.Float64()
		return func(u, v float64) float64 { return f(u, v) + 0.03*math.Sin(5*u+a)*math.Cos(4*v+b) }
	}
	s = shape{wave(s.top), wave(s.bottom)}
	truth = thickest(t, s.grid(6, 9)).Thickness
	gravity := func(_ bool, _, y float64) float64 { return -0.1 * (1 - y*y/halfY/halfY) }
	wrong := share * r.Normal() // what is left of gravity once too much or too little was taken off
	slab := s.grid(6, 9)
	for i, y := range slab.Top.Y {
		slab.Top.Z[i] += u.Top*r.Normal() + wrong*gravity(true, slab.Top.X[i], y)
		slab.Bottom.Z[i] += u.Bottom*r.Normal() + wrong*gravity(false, slab.Bottom.X[i], y) + 1.5
	}
	tied, err := cleanup.Tie(slab, corners(s, calipers, func() float64 { return u.Caliper * r.Normal() }), u)
	if err != nil {
		t.Fatal(err)
	}
	slab.Lift, slab.U = tied.Lift, u
	low, high = thickest(t, slab).Interval(cleanup.Doubt{U: u, Tied: tied, Gravity: gravity, GravityShare: share})
	return low, truth, high
}

// TestNoiseOfADenseMap reads a known slab at 40,000 places of each face with noise: the planes rest on the lowest of many readings, and the interval still holds
// the thickness of the slab.
func TestNoiseOfADenseMap(t *testing.T) {
	const trials = 12
	r := chance.NewStream(77)
	u := cleanup.U{Top: 0.01, Bottom: 0.01}
	held, bias := 0, 0.0
	for range trials {
		s := smooth(r)
		slab := s.grid(200, 200)
		truth := thickest(t, slab).Thickness
		for i := range slab.Top.Z {
			slab.Top.Z[i] += u.Top * r.Normal()
			slab.Bottom.Z[i] += u.Bottom * r.Normal()
		}
		slab.U = u
		p := thickest(t, slab)
		bias += (truth - p.Thickness) / trials
		if low, high := p.Interval(cleanup.Doubt{U: u}); low <= truth && truth <= high {
			held++
		}
	}
	t.Logf("held %d of %d; noise makes the planes thinner by %.4f mm on average", held, trials, bias)
	if held < trials-2 || bias < 0.02 {
		t.Errorf("held %d of %d, thinner by %.4f mm", held, trials, bias)
	}
}

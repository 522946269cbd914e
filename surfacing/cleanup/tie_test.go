package cleanup_test

import (
	"math"
	"slices"
	"testing"

	"slatewright/chance"
	"slatewright/surfacing/cleanup"
)

// smooth is a slab of second order, its faces as functions of place, mm.
func smooth(r *chance.Stream) shape {
	face := func(z float64) func(u, v float64) float64 {
		a, b, c := 0.3*r.Normal(), 0.3*r.Normal(), 0.1*r.Normal()
		return func(u, v float64) float64 { return z + a*u*u + b*v*v + c*u*v }
	}
	return shape{face(thick), face(0)}
}

// corners are places for calipers: the first so many of them.
func corners(s shape, n int, error func() float64) (list []cleanup.Caliper) {
	for _, q := range [][2]float64{{-0.9, -0.95}, {0.9, -0.95}, {-0.9, 0.95}, {0.9, 0.95}, {0, -0.9}, {0, 0.9}, {-0.9, 0}, {0.9, 0}}[:n] {
		list = append(list, cleanup.Caliper{X: q[0] * halfX, Y: q[1] * halfY, T: s.top(q[0], q[1]) - s.bottom(q[0], q[1]) + error()})
	}
	return list
}

// TestTieFindsTheLift loses a height and two tilts and finds them again: exactly, since surfaces of second order go through readings exactly.
func TestTieFindsTheLift(t *testing.T) {
	r := chance.NewStream(2)
	for n := 3; n <= 8; n++ {
		s := smooth(r)
		slab := s.grid(9, 11)
		want := cleanup.Lift{Height: 3.2, Along: 0.002, Across: -0.0013}
		for i := range slab.Bottom.Z {
			slab.Bottom.Z[i] -= want.At(slab.Bottom.X[i], slab.Bottom.Y[i])
		}
		tied, err := cleanup.Tie(slab, corners(s, n, func() float64 { return 0 }), cleanup.U{Caliper: 0.02, Top: 0.004, Bottom: 0.004})
		if err != nil {
			t.Fatal(err)
		}
		for _, q := range [][2]float64{{0, 0}, {halfX, halfY}, {-halfX, halfY}} {
			near(t, "lift", tied.Lift.At(q[0], q[1]), want.At(q[0], q[1]), 1e-9)
		}
		if tied.Fit != 1 || tied.Spare != n-3 || tied.UAt(0, 0) > 0.025 {
			t.Errorf("%d calipers: %+v", n, tied)
		}
		slab.Lift = tied.Lift
		p := thickest(t, slab)
		near(t, "thickness", p.Thickness, thickest(t, s.grid(9, 11)).Thickness, 1e-8)
	}
}

// TestMeanOfEqualCalipers: four calipers at the corners of a rectangle leave their mean half as uncertain as one, in the middle.
func TestMeanOfEqualCalipers(t *testing.T) {
	s := shape{flat(thick), flat(0)}
	tied, err := cleanup.Tie(s.grid(9, 11), corners(s, 4, func() float64 { return 0 }), cleanup.U{Caliper: 0.02})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "in the middle", tied.UAt(0, 0), 0.01, 1e-9)
	near(t, "at a caliper", tied.UAt(0.9*halfX, 0.95*halfY), 0.01*math.Sqrt(3), 1e-9)
}

func TestAWrongCaliperIsSeen(t *testing.T) {
	s := smooth(chance.NewStream(8))
	list := corners(s, 6, func() float64 { return 0 })
	list[2].T += 0.5
	tied, err := cleanup.Tie(s.grid(9, 11), list, cleanup.U{Caliper: 0.02})
	if err != nil || tied.Fit < 5 || tied.Worst() != 2 || tied.Left[2] < 0.1 {
		t.Errorf("%+v, %v", tied, err)
	}
}

func TestTieRefuses(t *testing.T) {
	s := shape{flat(thick), flat(0)}
	none := func() float64 { return 0 }
	line := corners(s, 3, none)
	line[2] = cleanup.Caliper{X: 0, Y: line[0].Y, T: thick}
	for want, list := range map[string][]cleanup.Caliper{"few-calipers": corners(s, 2, none), "calipers-on-a-line": line} {
		if _, err := cleanup.Tie(s.grid(9, 11), list, cleanup.U{}); code(err) != want {
			t.Errorf("%s: %v", want, err)
		}
	}
	if _, err := cleanup.Tie(cleanup.Slab{Top: cleanup.Points{X: []float64{1, 2}, Y: []float64{1, 2}, Z: []float64{1, 2}}}, corners(s, 3, none), cleanup.U{}); code(err) != "no-reading-near" {
		t.Errorf("a map of two readings: %v", err)
	}
}

// TestNoDoubt: faces tied by a frame and read without a stated uncertainty have an exact thickness.
func TestNoDoubt(t *testing.T) {
	p := thickest(t, shape{flat(thick), flat(0)}.grid(4, 4))
	if low, high := p.Interval(cleanup.Doubt{}); low != p.Thickness || high != p.Thickness {
		t.Errorf("%g to %g", low, high)
	}
	low, high := p.Interval(cleanup.Doubt{U: cleanup.U{Top: 0.01}})
	again, _ := p.Interval(cleanup.Doubt{U: cleanup.U{Top: 0.01}})
	if !(low < p.Thickness && p.Thickness < high) || again != low {
		t.Errorf("%g to %g, then from %g", low, high, again)
	}
}

// TestOneFace: a slab of which only the top was read, and its like.
func TestOneFace(t *testing.T) {
	r := chance.NewStream(4)
	s := shape{smooth(r).top, flat(0)}
	slab, list := s.grid(9, 11), corners(s, 8, func() float64 { return 0 })
	few, err := cleanup.Opposite(slab.Top, true, list, cleanup.U{})
	if err != nil {
		t.Fatal(err)
	}
	for i, z := range few.Z {
		near(t, "bottom", z, 0, 1e-9)
		near(t, "place", few.X[i], list[i].X, 0)
	}
	full := thickest(t, slab)
	one := cleanup.Slab{Top: slab.Top, Bottom: few}
	p := thickest(t, one)
	near(t, "thickness", p.Thickness, full.Thickness, 1e-6)
	if hidden := cleanup.Hidden(one, p, true, list); hidden < 0 {
		t.Errorf("hidden %g", hidden)
	}
	// The same slab with its bottom read.
	few, err = cleanup.Opposite(slab.Bottom, false, list, cleanup.U{})
	if err != nil {
		t.Fatal(err)
	}
	turned := cleanup.Slab{Top: few, Bottom: slab.Bottom}
	q := thickest(t, turned)
	if q.Thickness < full.Thickness-1e-9 {
		t.Errorf("fewer places of the top make the slab thinner: %g, %g", q.Thickness, full.Thickness)
	}
	if _, err := cleanup.Opposite(slab.Top, true, list[:2], cleanup.U{}); code(err) != "few-calipers" {
		t.Error(err)
	}
	if !slices.IsSorted([]float64{full.Thickness, q.Thickness + 1e-9}) {
		t.Error("not a bound")
	}
}

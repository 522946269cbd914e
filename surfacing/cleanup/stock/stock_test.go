package stock_test

import (
	"math"
	"testing"

	"slatewright/surfacing/cleanup"
	"slatewright/surfacing/cleanup/stock"
)

// plain is a slab of true faces.
func plain(t *testing.T, name string, thick float64, l cleanup.Limits, doubt float64) stock.Piece {
	t.Helper()
	face := func(z float64) cleanup.Points {
		return cleanup.Points{X: []float64{-400, 400, 0, 0}, Y: []float64{-700, -700, 700, 0}, Z: []float64{z, z, z, z}}
	}
	p, err := cleanup.Thickest(cleanup.Slab{Top: face(thick), Bottom: face(0)})
	if err != nil {
		t.Fatal(err)
	}
	return stock.Piece{Name: name, Planes: p, Low: thick - doubt, High: thick + doubt, Limits: l}
}

func TestCommon(t *testing.T) {
	damage := cleanup.Limits{DamageTop: 0.2, DamageBottom: 0.1}
	s := stock.Common([]stock.Piece{plain(t, "a", 26.4, damage, 0.02), plain(t, "b", 26.1, damage, 0.01), plain(t, "c", 27, damage, 0.3)})
	if s.Thinnest != 1 || s.Answer != cleanup.Possible || math.Abs(s.Finish-25.8) > 1e-9 || math.Abs(s.Low-25.79) > 1e-9 || math.Abs(s.High-25.81) > 1e-9 {
		t.Errorf("%+v", s)
	}
	for i, want := range [][2]float64{{0.3, 0.3}, {0.2, 0.1}, {0.6, 0.6}} {
		if q := s.Plans[i]; math.Abs(q.Top.Mean-want[0]) > 1e-9 || math.Abs(q.Bottom.Mean-want[1]) > 1e-9 || math.Abs(q.CutTo-25.8) > 1e-9 {
			t.Errorf("piece %d: %+v", i, q)
		}
	}
	asked := damage
	asked.Finish = 25.9
	s = stock.Common([]stock.Piece{plain(t, "a", 26.4, asked, 0), plain(t, "b", 26.1, asked, 0)})
	if s.Answer != cleanup.Impossible || math.Abs(s.Plans[0].CutTo-25.8) > 1e-9 {
		t.Errorf("%+v", s)
	}
	asked.Finish = 25.5
	if s = stock.Common([]stock.Piece{plain(t, "a", 26.4, asked, 0), plain(t, "b", 25.8, asked, 0.05)}); s.Answer != cleanup.Unsure {
		t.Errorf("%+v", s)
	}
}

func TestGives(t *testing.T) {
	answers, best := stock.Gives(25.6, 25.9, cleanup.Limits{DamageTop: 0.2, Reserve: 0.1}, []float64{22, 25.4, 25, 28})
	want := []cleanup.Answer{cleanup.Possible, cleanup.Unsure, cleanup.Possible, cleanup.Impossible}
	for i, a := range answers {
		if a != want[i] {
			t.Errorf("%d: %s, not %s", i, a, want[i])
		}
	}
	if best != 2 {
		t.Errorf("best is %d", best)
	}
	if _, best := stock.Gives(20, 21, cleanup.Limits{}, []float64{22}); best != -1 {
		t.Errorf("best is %d", best)
	}
}

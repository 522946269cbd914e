package shape

import (
	"math"
	"testing"

	"slatewright/plate"
)

func slate() plate.Piece {
	return plate.Piece{Outline: plate.Rectangle(914, 1473), Thickness: plate.Even(25.4), Elastic: plate.Isotropic(48000, 0.2), Density: 2790}
}

func bend(t *testing.T, p plate.Piece, u plate.Under) *plate.Bent {
	t.Helper()
	b, err := plate.Bend(p, u, 0)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func near(t *testing.T, what string, got, want, share float64) {
	t.Helper()
	if !(math.Abs(got-want) <= share*math.Abs(want)) {
		t.Errorf("%s: %.6g, not %.6g", what, got, want)
	}
}

// TestFreeShape takes gravity off a made-up face, and parts shape from gravity by turning the piece over.
func TestFreeShape(t *testing.T) {
	truthPiece := slate()
	truthPiece.Elastic = plate.Isotropic(60000, 0.2) // unlike the 48 GPa that is believed
	u := plate.Bars(slate().Outline, 0)
	b := bend(t, truthPiece, u)
	var at []plate.Point
	var shape, top, bottom []float64
	for j := range 9 {
		for i := range 6 {
			q := plate.Point{X: -400 + 160*float64(i), Y: -700 + 175*float64(j)}
			s := 0.1*q.X*q.X/457/457 - 0.2*q.Y*q.Y/736.5/736.5 + 0.05*q.X*q.Y/457/736.5
			at, shape = append(at, q), append(shape, s)
			top, bottom = append(top, s+b.Height(q)), append(bottom, -s+b.Height(q))
		}
	}
	plate.Level(at, shape)
	worst := func(got []float64) (w float64) {
		for i := range got {
			w = math.Max(w, math.Abs(got[i]-shape[i]))
		}
		return w
	}
	f, err := Free(truthPiece, u, at, top, Doubt{})
	if err != nil {
		t.Fatal(err)
	}
	if w := worst(f.Heights); w > 1e-4 {
		t.Errorf("with the true modulus the shape is off by %g", w)
	}
	if f, err = Free(slate(), u, at, top, Doubt{Modulus: 0.25, Thickness: 0.1}); err != nil {
		t.Fatal(err)
	}
	for i := range at {
		if d := math.Abs(f.Heights[i] - shape[i]); d > 1.1*f.U[i]+1e-3 {
			t.Errorf("with a modulus wrong by its doubt the shape is off by %g, and says %g", d, f.U[i])
		}
	}
	r, err := Reverse(slate(), u, at, top, bottom, 0.005)
	if err != nil {
		t.Fatal(err)
	}
	if w := worst(r.Shape); w > 1e-12 {
		t.Errorf("by reversal the shape is off by %g", w)
	}
	near(t, "modulus by reversal", r.Modulus, 60000, 1e-3)
	if r.UModulus <= 0 || r.UModulus > 1000 {
		t.Errorf("doubt of the modulus %g", r.UModulus)
	}
	if r, err = Reverse(slate(), plate.Bars(slate().Outline, 0.22), at, shape, shape, 0.02); err != nil || !math.IsNaN(r.Modulus) {
		t.Errorf("a modulus of %g out of nothing (%v)", r.Modulus, err)
	}
	if _, err := Reverse(slate(), plate.Under{Points: []plate.Support{{X: 100}, {X: -300, Y: 200}, {Y: -300}}}, at, top, bottom, 0.005); err == nil {
		t.Error("supports that are not alike from both sides are taken")
	}
}

// TestShopTest holds the dial under 20 kg at mid-span to what the trade knows, and finds the modulus that made it.
func TestShopTest(t *testing.T) {
	s := ShopTest{MassKg: 20, Side: 100, DialMM: 0.22, UDial: 0.005, UThick: 0.1}
	e, u, expected, err := s.Modulus(slate())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "dial", expected, 0.22, 0.05)
	near(t, "modulus", e, 48000*expected/0.22, 1e-12)
	near(t, "doubt", u/e, math.Hypot(0.005/0.22, 0.3/25.4), 1e-9)
	stiff := slate()
	stiff.Elastic = plate.Isotropic(71000, 0.2)
	if s.DialMM, err = s.Expect(stiff); err != nil {
		t.Fatal(err)
	}
	if e, _, _, _ = s.Modulus(slate()); math.Abs(e-71000) > 10 {
		t.Errorf("modulus %g", e)
	}
	if _, _, _, err := (ShopTest{MassKg: 20}).Modulus(slate()); err == nil {
		t.Error("a test without a dial is taken")
	}
}

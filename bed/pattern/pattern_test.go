package pattern

import (
	"errors"
	"math"
	"testing"

	"slatewright/bed"
	"slatewright/trouble"
)

// beds returns a plain bed of n pieces of the given lengths.
func plain(lengths ...float64) Pattern {
	p := Pattern{Name: "plain", Promise: bed.NineFoot()}
	x := 0.0
	for _, l := range lengths {
		x -= l / 2
	}
	for _, l := range lengths {
		p.Pieces = append(p.Pieces, Piece{From: x, To: x + l})
		x += l
	}
	p.SizeX, p.SizeY = 2*x, 1473
	return p
}

func TestSpecIsForThreeEqualPieces(t *testing.T) {
	third := 2743.0 / 3
	if s, err := plain(third, third, third).Spec(); err != nil || s.SizeX != 2743 {
		t.Errorf("three equal pieces: %v, %v", s.SizeX, err)
	}
	for name, p := range map[string]Pattern{"five": plain(700, 715, 715, 715, 700), "unequal": plain(900, 943, 900), "one": plain(2743)} {
		_, err := p.Spec()
		var bad *trouble.Trouble
		if !errors.As(err, &bad) || bad.Code != "not-three-pieces" || bad.Next == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestPieceAt(t *testing.T) {
	p := plain(900, 943, 900)
	for x, want := range map[float64]int{-1371.5: 0, -471.5: 0, -471.4: 1, 0: 1, 471.6: 2, 1371.5: 2, 1372: -1, -1372: -1} {
		if got := p.PieceAt(x); got != want {
			t.Errorf("%v lies in piece %d, want %d", x, got, want)
		}
	}
}

func TestVirtualCondition(t *testing.T) {
	// Bolt 9.5 mm in a hole of 12.7 mm: 1.6 mm of float each way (worked by hand).
	h := Hole{Diameter: 12.7, Bolt: 9.5, Tolerance: Tolerance{Position: 1, Diameter: 0.2}}
	if math.Abs(h.Float()-1.6) > 1e-12 || h.VirtualCondition() != 12.7-0.2-1 || !h.Through() {
		t.Errorf("float %v, virtual condition %v", h.Float(), h.VirtualCondition())
	}
}

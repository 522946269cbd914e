package pattern

import (
	"errors"
	"math"
	"testing"

	"slatewright/bed"
	"slatewright/bed/pattern/shape"
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

// Closed forms: a cylinder, a cylinder with a wider one, a cylinder with a cone's stump.
func TestTaken(t *testing.T) {
	for name, c := range map[string]struct {
		hole Hole
		want float64
	}{
		"through":     {Hole{Diameter: 12}, math.Pi * 36 * 25},
		"blind":       {Hole{Diameter: 12, Depth: 10}, math.Pi * 36 * 10},
		"counterbore": {Hole{Diameter: 12, Counter: &Counter{Diameter: 20, Depth: 8}}, math.Pi*36*17 + math.Pi*100*8},
		"countersink": {Hole{Diameter: 8, Counter: &Counter{Diameter: 14, Depth: 3, Angle: math.Pi / 2}}, math.Pi*16*22 + math.Pi*3/3*(49+28+16)},
	} {
		if got := c.hole.Taken(25); math.Abs(got-c.want) > 1e-9*c.want {
			t.Errorf("%s: %v mm³, want %v", name, got, c.want)
		}
	}
}

// A plain piece of a third of 2743 x 1473 mm, 25.4 mm thick, at 2790 kg/m³: 95.44 kg (2.743 · 1.473 · 0.0254 · 2790 / 3); a hole of
// 20 mm takes 22.26 g, a dowel's of 8 x 25 mm 3.51 g out of either neighbour.
func TestMass(t *testing.T) {
	third := 2743.0 / 3
	p := plain(third, third, third)
	for i := range p.Pieces {
		p.Pieces[i].Outline = shape.Rectangle(shape.Point{X: p.Pieces[i].From, Y: -736.5}, shape.Point{X: p.Pieces[i].To, Y: 736.5})
	}
	p.Holes = []Hole{{Diameter: 20, Piece: 1}}
	p.Joints = []Joint{{Before: 1, Dowels: []Dowel{{Diameter: 8, Depth: 25}}}}
	whole, hole, dowel := 2743*1473*25.4*2790e-9/3, math.Pi*100*25.4*2790e-9, math.Pi*16*25*2790e-9
	for i, want := range []float64{whole, whole - hole - dowel, whole - dowel} {
		if got := p.Mass(i, 25.4); math.Abs(got-want) > 1e-9 || math.Abs(got-95.44) > 0.03 {
			t.Errorf("piece %d: %v kg, want %v", i, got, want)
		}
	}
}

// A player at the foot looks to the head, along −x, with z up: his right hand is look × up. There the letter is r, and in front of him
// it is h.
func TestQuadrantIsWhatAPlayerSees(t *testing.T) {
	look, up := [3]float64{-1, 0, 0}, [3]float64{0, 0, 1}
	right := [3]float64{look[1]*up[2] - look[2]*up[1], look[2]*up[0] - look[0]*up[2], look[0]*up[1] - look[1]*up[0]}
	for want, at := range map[string][2]float64{"r": {right[0], right[1]}, "l": {-right[0], -right[1]}, "h": {look[0], look[1]}, "f": {-look[0], -look[1]},
		"hr": {look[0] + right[0], look[1] + right[1]}, "fl": {-look[0] - right[0], -look[1] - right[1]}, "": {0, 0}} {
		if got := Quadrant(at[0], at[1]); got != want {
			t.Errorf("%v is called %q, want %q", at, got, want)
		}
	}
}

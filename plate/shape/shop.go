package shape

import (
	"fmt"
	"math"

	"slatewright/plate"
	"slatewright/trouble"
)

// ShopTest is the cheap test of a piece's modulus: on bars under its two ends (the sides at ±y), a weight in the middle, a dial beside
// it, the difference of the dial with and without.
type ShopTest struct {
	MassKg  float64 // laid in the middle
	Side    float64 // of the square on which it stands, mm
	DialMM  float64 // how far the middle went down, mm
	UDial   float64 // standard uncertainty of DialMM
	UThick  float64 // standard uncertainty of the thickness, mm
	UMassKg float64
}

// Modulus returns the modulus that the test gives, MPa, with its standard uncertainty. The piece's own modulus only sets the scale: on two
// bars deflection goes with 1/E. expected is the dial's reading for the piece as it is described, mm. The error is a *trouble.Trouble.
func (t ShopTest) Modulus(p plate.Piece) (modulus, u, expected float64, err error) {
	if !(t.MassKg > 0) || !(t.DialMM > 0) || t.UDial < 0 || t.Side < 0 {
		return 0, 0, 0, trouble.Data("bad-test", "test", fmt.Sprintf("a weight of %g kg that bends the piece by %g mm", t.MassKg, t.DialMM), "give the weight in kg and how far the dial fell")
	}
	expected, err = t.Expect(p)
	if err != nil {
		return 0, 0, 0, err
	}
	modulus = p.Elastic.Along * expected / t.DialMM
	u = modulus * math.Sqrt(square(t.UDial/t.DialMM)+square(t.UMassKg/t.MassKg)+square(3*t.UThick/p.Thickness.At(0, 0)))
	return modulus, u, expected, nil
}

func square(v float64) float64 { return v * v }

// Expect returns what the dial would show for the piece as it is described, mm.
func (t ShopTest) Expect(p plate.Piece) (float64, error) {
	half := p.Outline.Y / 2
	ends := plate.Under{Lines: []plate.Line{{Axis: 'y', At: -half}, {Axis: 'y', At: half}}}
	without, err := plate.Bend(p, ends, 0)
	if err != nil {
		return 0, err
	}
	with, err := plate.Bend(p, ends, 0, plate.Load{N: t.MassKg * plate.Gravity, SideX: t.Side, SideY: t.Side})
	if err != nil {
		return 0, err
	}
	return without.Height(plate.Point{}) - with.Height(plate.Point{}), nil
}

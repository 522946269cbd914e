package marking

import (
	"fmt"
	"math"

	"slatewright/cutting/slab"
	"slatewright/trouble"
)

// Tape are the sides of four corners A, B, C and D, anticlockwise seen from above, and the diagonal from A to C; BD, the other one, may be 0: not measured. mm.
type Tape struct{ AB, BC, CD, DA, AC, BD float64 }

// Corners are A, B, C and D: A in the origin, B on the x axis. Off is how far the other diagonal as measured is off what the five lengths say; 0 where it was not.
//
// Errors: bad-tape, with which triangle does not close.
func (t Tape) Corners() (c [4]slab.Point, off float64, err error) {
	for _, s := range []struct {
		name string
		mm   float64
	}{{"AB", t.AB}, {"BC", t.BC}, {"CD", t.CD}, {"DA", t.DA}, {"AC", t.AC}} {
		if !(s.mm >= 1 && s.mm <= 1e5) {
			return c, 0, trouble.Data("bad-tape", s.name, fmt.Sprintf("%s is %g mm long", s.name, s.mm), "give the four sides and the diagonal from A to C, in mm")
		}
	}
	if t.BD != 0 && !(t.BD >= 1 && t.BD <= 1e5) {
		return c, 0, trouble.Data("bad-tape", "BD", fmt.Sprintf("BD is %g mm long", t.BD), "give the other diagonal in mm, or leave it out")
	}
	for _, s := range []struct {
		name    string
		a, b, c float64
	}{{"AB, BC, AC", t.AB, t.BC, t.AC}, {"CD, DA, AC", t.CD, t.DA, t.AC}} {
		if flat(s.a, s.b, s.c) {
			return c, 0, trouble.Data("bad-tape", "tape", fmt.Sprintf("%s make no triangle, or one that is all but flat", s.name), "measure them again; choose corners that are not in a line")
		}
	}
	c[1] = slab.Point{X: t.AB}
	x, y := apex(t.AB, t.AC, t.BC)
	c[2] = slab.Point{X: x, Y: y}
	// D lies to the left of the way from A to C.
	along, left := apex(t.AC, t.DA, t.CD)
	ex, ey := x/t.AC, y/t.AC
	c[3] = slab.Point{X: along*ex - left*ey, Y: along*ey + left*ex}
	if t.BD > 0 {
		off = math.Abs(math.Hypot(c[3].X-c[1].X, c[3].Y-c[1].Y) - t.BD)
	}
	return c, off, nil
}

// flat tells whether three sides make no triangle, or one whose height is less than inLine of its longest side.
func flat(a, b, c float64) bool {
	longest := max(a, b, c)
	s := (a + b + c) / 2
	square := s * (s - a) * (s - b) * (s - c) // Heron
	return !(square > 0) || 2*math.Sqrt(square)/longest < inLine*longest
}

// apex is the third corner of a triangle over a base from the origin along x, at the left.
func apex(base, fromStart, fromEnd float64) (x, y float64) {
	x = (base*base + fromStart*fromStart - fromEnd*fromEnd) / (2 * base)
	return x, math.Sqrt(max(0, fromStart*fromStart-x*x))
}

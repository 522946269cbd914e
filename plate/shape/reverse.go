package shape

import (
	"fmt"
	"math"

	"slatewright/plate"
	"slatewright/trouble"
)

// Reversal is a piece read twice on the same supports, top up and bottom up, taken apart.
type Reversal struct {
	Shape   []float64 // free heights of the top, mm, over the plane of least squares
	Support []float64 // gravity and bench together, mm
	// Modulus is the piece's along with its standard uncertainty, MPa, where the bench is known to be flat: found by how far Support follows
	// computed gravity. NaN where gravity is too small beside the readings.
	Modulus, UModulus float64
	Remainder         float64 // standard deviation of Support from computed gravity, mm
}

// Reverse separates shape from gravity and bench without knowing the modulus. top are the heights of the top at the places, in the piece frame; bottom
// those of the bottom as it lay up, at the same places of the stone and counted up: turned over about y, the place (x, y) of the piece is at
// (−x, y) of the bench, so the supports must be the same seen from either side. For even thickness, top = shape + support and
// bottom = −shape + support. u is the standard uncertainty of a reading. The error is a *trouble.Trouble.
func Reverse(p plate.Piece, under plate.Under, places []plate.Point, top, bottom []float64, u float64) (*Reversal, error) {
	if len(places) != len(top) || len(places) != len(bottom) || len(places) < 6 {
		return nil, trouble.Data("few-readings", "readings", fmt.Sprintf("%d and %d heights at %d places", len(top), len(bottom), len(places)), "read both faces at the same six places or more")
	}
	if !mirrored(under) {
		return nil, trouble.Data("uneven-supports", "supports", "the supports are not the same when the piece is turned over about y", "use supports that lie alike on both sides of the y axis")
	}
	b, err := plate.Bend(p, under, 0)
	if err != nil {
		return nil, err
	}
	r := &Reversal{Shape: make([]float64, len(top)), Support: make([]float64, len(top)), Modulus: math.NaN(), UModulus: math.NaN()}
	g := make([]float64, len(top))
	for i, q := range places {
		r.Shape[i], r.Support[i] = (top[i]-bottom[i])/2, (top[i]+bottom[i])/2
		g[i] = b.Height(q)
	}
	plate.Level(places, r.Shape)
	plate.Level(places, r.Support)
	plate.Level(places, g)
	var gg, gs float64
	for i := range g {
		gg, gs = gg+g[i]*g[i], gs+g[i]*r.Support[i]
	}
	if gg == 0 {
		return r, nil
	}
	share := gs / gg // of computed gravity
	rest := 0.0
	for i := range g {
		d := r.Support[i] - share*g[i]
		rest += d * d
	}
	r.Remainder = math.Sqrt(rest / float64(len(g)-4))
	uShare := math.Max(u/math.Sqrt2, r.Remainder) / math.Sqrt(gg)
	if share > 4*uShare { // beyond, the modulus has no bound that is worth a number
		r.Modulus = p.Elastic.Along / share
		r.UModulus = r.Modulus * uShare / share
	}
	return r, nil
}

// mirrored tells whether the supports are the same with x changed in sign.
func mirrored(u plate.Under) bool {
	const near = 1
	has := func(q plate.Support) bool {
		for _, s := range u.Points {
			if math.Abs(s.X+q.X) < near && math.Abs(s.Y-q.Y) < near {
				return true
			}
		}
		return false
	}
	for _, s := range u.Points {
		if !has(s) {
			return false
		}
	}
	for _, l := range u.Lines {
		if l.Axis == 'y' && math.Abs(l.From+l.To) < near {
			continue
		}
		found := false
		for _, o := range u.Lines {
			found = found || l.Axis == 'x' && o.Axis == 'x' && math.Abs(o.At+l.At) < near
		}
		if !found {
			return false
		}
	}
	if u.Bench != nil {
		for _, q := range []plate.Point{{X: 100, Y: 50}, {X: 217, Y: -300}, {X: 400, Y: 600}} {
			if math.Abs(u.Bench.At(q.X, q.Y)-u.Bench.At(-q.X, q.Y)) > 1e-6 {
				return false
			}
		}
	}
	return true
}

package plate

import (
	"fmt"
	"math"

	"slatewright/trouble"
)

// FreeShape is a measured face with gravity taken off.
type FreeShape struct {
	Heights []float64 // mm, at the measured places, over the plane of least squares
	Gravity []float64 // what was taken off, mm, over its plane
	// U is the standard uncertainty of each height that comes from the modulus and the thickness, mm: that of the measuring is not in it. The
	// parts are common to all places: one modulus is wrong everywhere alike.
	U        []float64
	UModulus float64 // share of Gravity: standard uncertainty of the modulus as a share of it
	USection float64 // share of Gravity: that of the thickness, twofold (weight grows with t, stiffness with t³)
	Peak     float64 // largest part of Gravity, peak to valley, mm
}

// Doubt is what is not known of a piece, as standard uncertainties.
type Doubt struct {
	Modulus   float64 // share: 0.1 is 10 %
	Thickness float64 // mm, common to the whole piece
}

// Free takes off a measured face what gravity does to the piece on what it lay on while it was measured: heights are the face's at the
// places, up. The face is the top as it lay, and its own shape is taken for even thickness: a lifted edge of a piece whose bottom is
// not flat is not in it. On hard supports below a flat bottom gravity scales with 1/E and 1/t². The error is a *trouble.Trouble.
func Free(p Piece, u Under, places []Point, heights []float64, d Doubt) (*FreeShape, error) {
	if len(places) != len(heights) || len(places) < 3 {
		return nil, trouble.Data("few-readings", "readings", fmt.Sprintf("%d heights at %d places", len(heights), len(places)), "give at least three readings, each with its place")
	}
	b, err := Bend(p, u, 0)
	if err != nil {
		return nil, err
	}
	f := &FreeShape{Heights: append([]float64(nil), heights...)}
	low, high := math.Inf(1), math.Inf(-1)
	for _, q := range places {
		if !p.Outline.Has(q) {
			return nil, trouble.Data("reading-off", "readings", fmt.Sprintf("a reading at (%g, %g) mm is not on the piece", q.X, q.Y), "give places from the middle of the piece, in mm")
		}
		h := b.Height(q)
		f.Gravity = append(f.Gravity, h)
		low, high = math.Min(low, h), math.Max(high, h)
	}
	f.Peak = high - low
	level(places, f.Gravity)
	for i, g := range f.Gravity {
		f.Heights[i] -= g
	}
	level(places, f.Heights)
	f.UModulus, f.USection = d.Modulus, 2*d.Thickness/p.Thickness.At(0, 0)
	share := math.Hypot(f.UModulus, f.USection)
	for _, g := range f.Gravity {
		f.U = append(f.U, share*math.Abs(g)+b.Error)
	}
	return f, nil
}

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
func Reverse(p Piece, under Under, places []Point, top, bottom []float64, u float64) (*Reversal, error) {
	if len(places) != len(top) || len(places) != len(bottom) || len(places) < 6 {
		return nil, trouble.Data("few-readings", "readings", fmt.Sprintf("%d and %d heights at %d places", len(top), len(bottom), len(places)), "read both faces at the same six places or more")
	}
	if !under.mirrored() {
		return nil, trouble.Data("uneven-supports", "supports", "the supports are not the same when the piece is turned over about y", "use supports that lie alike on both sides of the y axis")
	}
	b, err := Bend(p, under, 0)
	if err != nil {
		return nil, err
	}
	r := &Reversal{Shape: make([]float64, len(top)), Support: make([]float64, len(top)), Modulus: math.NaN(), UModulus: math.NaN()}
	g := make([]float64, len(top))
	for i, q := range places {
		r.Shape[i], r.Support[i] = (top[i]-bottom[i])/2, (top[i]+bottom[i])/2
		g[i] = b.Height(q)
	}
	level(places, r.Shape)
	level(places, r.Support)
	level(places, g)
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
func (u Under) mirrored() bool {
	const near = 1
	has := func(q Support) bool {
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
		for _, q := range []Point{{100, 50}, {217, -300}, {400, 600}} {
			if math.Abs(u.Bench.At(q.X, q.Y)-u.Bench.At(-q.X, q.Y)) > 1e-6 {
				return false
			}
		}
	}
	return true
}

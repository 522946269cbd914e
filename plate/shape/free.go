// Package shape parts the shape of a measured face from what gravity did to it: by computing gravity, by turning the piece over, and by
// the shop test that gives the modulus.
//
// It bends nothing itself (package plate does), reads no file, and says nothing of the doubt of the readings.
package shape

import (
	"fmt"
	"math"

	"slatewright/plate"
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
func Free(p plate.Piece, u plate.Under, places []plate.Point, heights []float64, d Doubt) (*FreeShape, error) {
	if len(places) != len(heights) || len(places) < 3 {
		return nil, trouble.Data("few-readings", "readings", fmt.Sprintf("%d heights at %d places", len(heights), len(places)), "give at least three readings, each with its place")
	}
	b, err := plate.Bend(p, u, 0)
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
	plate.Level(places, f.Gravity)
	for i, g := range f.Gravity {
		f.Heights[i] -= g
	}
	plate.Level(places, f.Heights)
	f.UModulus, f.USection = d.Modulus, 2*d.Thickness/p.Thickness.At(0, 0)
	share := math.Hypot(f.UModulus, f.USection)
	for _, g := range f.Gravity {
		f.U = append(f.U, share*math.Abs(g)+b.Error)
	}
	return f, nil
}

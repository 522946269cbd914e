package recovery

import (
	"fmt"
	"math"

	"slatewright/trouble"
)

// Body is what is to be lifted: a block, a slab or a piece.
type Body struct {
	Name          string
	Length, Width float64   // mm
	Thickness     []float64 // mm, as read; the thickest counts
	Typed         *float64  // kg, as somebody wrote it down; nil: nobody did
}

// Lift is the mass of a body for lifting.
type Lift struct {
	Name     string
	Volume   float64 // m³, from the thickest reading
	Kg       float64 // volume × density, before rounding
	Rounded  float64 // kg, up
	Typed    *float64
	Disagree bool // the typed mass is more than a tenth off
}

// disagree is how far a typed mass may be off what volume and density say.
const disagree = 0.10

// Weigh gives the mass for lifting: the whole box around the body at its thickest, wet, rounded up to the next 5 kg and from 1000 kg on to the next 20.
// A typed mass that is larger counts.
//
// Errors: bad-body, bad-density.
func Weigh(b Body, density float64) (*Lift, error) {
	if !(density >= 1000 && density <= 5000) {
		return nil, trouble.Data("bad-density", b.Name, fmt.Sprintf("no stone has a density of %g kg/m³", density), "give that of the wet stone, about 2850 kg/m3")
	}
	var thick float64
	for _, t := range b.Thickness {
		if !(t > 0) {
			thick = math.NaN()
			break
		}
		thick = max(thick, t)
	}
	ok := func(x float64) bool { return x > 0 && x <= 20000 }
	if !ok(b.Length) || !ok(b.Width) || !ok(thick) || b.Typed != nil && !(*b.Typed > 0 && *b.Typed <= 1e6) {
		return nil, trouble.Data("bad-body", b.Name, "a side, a thickness or the mass is not above 0 or is out of reach", "give length, width and every thickness that was read, in mm")
	}
	l := &Lift{Name: b.Name, Volume: b.Length * b.Width * thick * 1e-9, Typed: b.Typed}
	l.Kg = l.Volume * density
	most := l.Kg
	if b.Typed != nil {
		l.Disagree = math.Abs(*b.Typed-l.Kg) > disagree*l.Kg
		most = max(most, *b.Typed)
	}
	l.Rounded = up(most)
	return l, nil
}

func up(kg float64) float64 {
	step := 5.0
	if kg > 1000 {
		step = 20
	}
	return step * math.Ceil(kg/step-1e-9)
}

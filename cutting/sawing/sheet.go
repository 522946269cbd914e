package sawing

import (
	"slices"

	"slatewright/cutting/recovery"
	"slatewright/cutting/slab"
)

// Sheet is what a sawing order needs to be printed.
type Sheet struct {
	Name     string // of the slab
	Day      string // YYYY-MM-DD; may be empty
	Worth    string // one sentence in the reader's language: what the plan is worth, and what no plan exceeds
	Slab     *slab.Slab
	Plan     *slab.Plan
	Order    *Order
	Thick    float64   // the thickest reading of the slab, mm; 0: not known
	SlabKg   float64   // of the slab before it is cut, for lifting, rounded up; 0: not known
	PieceKg  []float64 // of each piece of the plan, likewise; nil: not known
	Warnings []string  // in the reader's language
	Invented bool      // it is an example
}

// UsualDensity is that of wet slate, on the heavy side, kg/m³.
const UsualDensity = 2850.0

// Weigh fills in the masses for lifting: of the box around the slab, and around each piece, at the thickest reading (or that of the slab's map, if it is
// larger), wet, rounded up as package recovery does. Without a thickness they stay unknown. Weighed is what the slab weighed, kg, and may be nil; disagree
// tells whether it is more than a tenth off.
//
// Errors: bad-body, bad-density.
func (s *Sheet) Weigh(thick, density float64, weighed *float64) (disagree bool, err error) {
	if m := s.Slab.Thickness; m != nil {
		for _, row := range m.T {
			thick = max(thick, slices.Max(row))
		}
	}
	if s.Thick = thick; thick == 0 {
		return false, nil
	}
	box := slab.Around(s.Slab.Outline)
	whole, err := recovery.Weigh(recovery.Body{Name: s.Name, Length: box.X2 - box.X1, Width: box.Y2 - box.Y1, Thickness: []float64{thick}, Typed: weighed}, density)
	if err != nil {
		return false, err
	}
	s.SlabKg, s.PieceKg = whole.Rounded, nil
	for _, q := range s.Plan.Pieces {
		one, err := recovery.Weigh(recovery.Body{Name: s.Slab.Types[q.Kind].Name, Length: q.Along, Width: q.Across, Thickness: []float64{thick}}, density)
		if err != nil {
			return false, err
		}
		s.PieceKg = append(s.PieceKg, one.Rounded)
	}
	return whole.Disagree, nil
}

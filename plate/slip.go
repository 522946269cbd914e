package plate

import "math"

// Slip is what it costs when a support lies beside its mark.
type Slip struct {
	ByMM         float64 // how far each support was moved, one at a time
	PeakToValley float64 // the largest that came of it, mm
	Support      int     // which one, from 0: bars first, then points
	Toward       Point   // where it was moved
}

// Slipped moves each support by a distance both ways, a bar across itself and a point along x and along y, and returns the worst peak to
// valley: that of b, and the difference that the slip makes on a mesh of 32 cells along the long side. Moves off the stone are left out; a bench cannot slip. The error is a *trouble.Trouble: the piece tips over.
func (b *Bent) Slipped(u Under, by float64, loads ...Load) (Slip, error) {
	worst := Slip{ByMM: by}
	p := b.plate.mesh.piece
	step := math.Max(p.Outline.X, p.Outline.Y) / 32 * (1 + 1e-9)
	base, err := bendOn(p, u, b.Places, step, loads)
	if err != nil {
		return worst, err
	}
	try := func(v Under, which int, toward Point) error {
		found, err := bendOn(p, v, b.Places, step, loads)
		if err != nil {
			return err
		}
		if v := b.PeakToValley + found.PeakToValley - base.PeakToValley; v > worst.PeakToValley {
			worst.PeakToValley, worst.Support, worst.Toward = found.PeakToValley, which, toward
		}
		return nil
	}
	for i, l := range u.Lines {
		half := p.Outline.Y / 2
		if l.Axis == 'x' {
			half = p.Outline.X / 2
		}
		for _, d := range []float64{-by, by} {
			v := u
			v.Lines = append([]Line(nil), u.Lines...)
			if v.Lines[i].At += d; math.Abs(v.Lines[i].At) > half {
				continue
			}
			toward := Point{Y: d}
			if l.Axis == 'x' {
				toward = Point{X: d}
			}
			if err := try(v, i, toward); err != nil {
				return worst, err
			}
		}
	}
	for i := range u.Points {
		for _, d := range []Point{{by, 0}, {-by, 0}, {0, by}, {0, -by}} {
			v := u
			v.Points = append([]Support(nil), u.Points...)
			s := &v.Points[i]
			if s.X, s.Y = s.X+d.X, s.Y+d.Y; !p.Outline.Has(Point{s.X, s.Y}) {
				continue
			}
			if err := try(v, len(u.Lines)+i, d); err != nil {
				return worst, err
			}
		}
	}
	return worst, nil
}

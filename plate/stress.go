package plate

import "math"

// Stress is the largest bending stress in stone without layers.
type Stress struct {
	MPa float64
	At  Point
	// Top: the stone is pulled at its top, where the pull is largest; else at its bottom.
	Top bool
}

// WorstStress returns the largest pull in the stone's faces over the lattice, 6·M/t² of the larger principal moment, leaving out
// what is nearer than a thickness to a point support, where a plate's stress has no meaning. A flaw, a notch or a shock is not
// in it: hold it against the strength with a factor.
func (b *Bent) WorstStress() (s Stress) {
	p := b.plate.mesh.piece
	for _, q := range b.Places {
		t := p.Thickness.At(q.X, q.Y)
		if b.beside(q, t) {
			continue
		}
		mx, my, mxy := b.Moments(q)
		mean, radius := (mx+my)/2, math.Hypot((mx-my)/2, mxy)
		pull, top := mean+radius, false
		if radius-mean > pull {
			pull, top = radius-mean, true
		}
		if v := 6 * pull / (t * t); v > s.MPa {
			s = Stress{MPa: v, At: q, Top: top}
		}
	}
	return s
}

// beside tells whether a place is nearer than reach to a point support.
func (b *Bent) beside(q Point, reach float64) bool {
	for _, s := range b.points {
		if math.Hypot(s.X-q.X, s.Y-q.Y) < reach {
			return true
		}
	}
	return false
}

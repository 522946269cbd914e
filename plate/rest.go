package plate

import "slatewright/plate/contact"

// Rest is a plate at rest.
type Rest struct {
	plate    *Plate
	splice   []float64 // its height as splines
	observed []row
	contact.Solution
}

// Height returns the height of the plate at a place over z = 0, mm.
func (r *Rest) Height(at Point) float64 { return r.plate.mesh.row(at).of(r.splice) }

// Observed returns the heights at the observed places, mm.
func (r *Rest) Observed() []float64 {
	h := make([]float64, len(r.observed))
	for k, w := range r.observed {
		h[k] = w.of(r.splice)
	}
	return h
}

// Moments returns the bending moments per length at a place, N: Mx bends along x (+ pulls on the bottom), My along y, Mxy twists. At a
// point support they grow without bound as the mesh is refined; keep away from one by the thickness.
func (r *Rest) Moments(at Point) (mx, my, mxy float64) {
	m := r.plate.mesh
	k := [3]float64{m.derivative(at, 2, 0).of(r.splice), m.derivative(at, 0, 2).of(r.splice), 2 * m.derivative(at, 1, 1).of(r.splice)}
	s := m.piece.section(at.X, at.Y)
	t := s.d.times(k)
	return t[0] + s.m[0], t[1] + s.m[1], t[2] + s.m[2]
}

// Energy returns the bending energy, N·mm: half the work of all forces for a plate that was level.
func (r *Rest) Energy() float64 {
	k := r.plate.mesh.k.Multiply(r.splice)
	e := 0.0
	for i, v := range r.splice {
		e += v * k[i] / 2
	}
	return e
}

// WeightN returns the weight of the piece with its layers, N.
func (r *Rest) WeightN() float64 { return r.plate.WeightN() }

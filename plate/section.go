package plate

import "math"

// matrix3 is a symmetric 3 × 3 matrix over the strains or curvatures (xx, yy, xy), by rows: 11 12 13 22 23 33.
type matrix3 [6]float64

func (m matrix3) times(v [3]float64) [3]float64 {
	return [3]float64{m[0]*v[0] + m[1]*v[1] + m[2]*v[2], m[1]*v[0] + m[3]*v[1] + m[4]*v[2], m[2]*v[0] + m[4]*v[1] + m[5]*v[2]}
}

func (m matrix3) plus(f float64, o matrix3) matrix3 {
	for i, v := range o {
		m[i] += f * v
	}
	return m
}

// full returns it by rows and columns.
func (m matrix3) full() [3][3]float64 {
	return [3][3]float64{{m[0], m[1], m[2]}, {m[1], m[3], m[4]}, {m[2], m[4], m[5]}}
}

// inverse by cofactors; the matrix is positive definite.
func (m matrix3) inverse() matrix3 {
	c := matrix3{m[3]*m[5] - m[4]*m[4], m[2]*m[4] - m[1]*m[5], m[1]*m[4] - m[2]*m[3], m[0]*m[5] - m[2]*m[2], m[1]*m[2] - m[0]*m[4], m[0]*m[3] - m[1]*m[1]}
	d := m[0]*c[0] + m[1]*c[1] + m[2]*c[2]
	for i := range c {
		c[i] /= d
	}
	return c
}

// Elastic is how a sheet yields in its plane: N/mm² and plain numbers. Along and Across are the moduli along and across
// the grain, Poisson the strain across for one along when pulled along, Shear the shear modulus between the two (0: what a
// sheet of the mean modulus would have), Grain the angle from x to the grain, radians.
type Elastic struct{ Along, Across, Poisson, Shear, Grain float64 }

// Isotropic is a sheet without a grain.
func Isotropic(modulus, poisson float64) Elastic {
	return Elastic{Along: modulus, Across: modulus, Poisson: poisson}
}

// stiffness is stress for strain in the piece frame (plane stress): shear strain is twice the tensor's.
func (e Elastic) stiffness() matrix3 {
	back := e.Poisson * e.Across / e.Along
	f := 1 / (1 - e.Poisson*back)
	g := e.Shear
	if g == 0 {
		// Huber's estimate for a plate with two moduli; G = E/(2(1+ν)) when they are equal.
		g = math.Sqrt(e.Along*e.Across) / (2 * (1 + math.Sqrt(e.Poisson*back)))
	}
	q := matrix3{f * e.Along, f * e.Poisson * e.Across, 0, f * e.Across, 0, g}
	if e.Grain == 0 || e.Along == e.Across && e.Shear == 0 {
		return q
	}
	s, c := math.Sincos(e.Grain)
	// Strains seen along the grain: T times those in the piece frame.
	t := [3][3]float64{{c * c, s * s, c * s}, {s * s, c * c, -c * s}, {-2 * c * s, 2 * c * s, c*c - s*s}}
	return congruent(q, t)
}

// congruent is Tᵀ·Q·T.
func congruent(q matrix3, t [3][3]float64) matrix3 {
	var r [3][3]float64
	f := q.full()
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				for l := range 3 {
					r[i][j] += t[k][i] * f[k][l] * t[l][j]
				}
			}
		}
	}
	return matrix3{r[0][0], r[0][1], r[0][2], r[1][1], r[1][2], r[2][2]}
}

// Layer is a sheet glued to the bottom of the stone over some rectangles, such as strips of lining board. Over each place
// stone and layer bend as one; what the stone's neighbourhood holds back in the plane is left out (each section is free of
// force in its plane), which is exact for a layer over the whole piece and for strips along a beam.
type Layer struct {
	Elastic   Elastic
	Thickness float64      // mm
	Density   float64      // kg/m³
	Strain    [2]float64   // what it would grow along its own grain and across it if it were free, less what the stone grows: + swells
	Parts     [][4]float64 // x0, x1, y0, y1 in mm; nil is everywhere
}

// covers tells whether the layer is at the place.
func (l Layer) covers(x, y float64) bool {
	if l.Parts == nil {
		return true
	}
	for _, p := range l.Parts {
		if x >= p[0] && x <= p[1] && y >= p[2] && y <= p[3] {
			return true
		}
	}
	return false
}

// growth is its free strain in the piece frame.
func (l Layer) growth() [3]float64 {
	s, c := math.Sincos(l.Elastic.Grain)
	a, b := l.Strain[0], l.Strain[1]
	return [3]float64{a*c*c + b*s*s, a*s*s + b*c*c, 2 * (a - b) * c * s}
}

// section is what one place of the piece answers to curvature (w_xx, w_yy, 2w_xy): moments D·κ + M.
type section struct {
	d    matrix3    // N·mm
	m    [3]float64 // N: moment without curvature, of layers that grew
	load float64    // N/mm², own weight
}

// Gravity in m/s² (standard value, ISO 80000-3).
const Gravity = 9.80665

// weight is what kg/m³ times mm are in N/mm².
const weight = Gravity * 1e-9

// sheets adds up stone and layers, each by its stiffness q, its faces and its growth. With strain ε = ε₀ − zκ the plane's
// own strain ε₀ takes the value without force in the plane, and is gone from what is left.
type sheets struct {
	a, b, d matrix3
	n, m    [3]float64
}

func (s *sheets) add(q matrix3, bottom, top float64, growth [3]float64) {
	h := top - bottom
	first := (top*top - bottom*bottom) / 2
	s.a = s.a.plus(h, q)
	s.b = s.b.plus(first, q)
	s.d = s.d.plus((top*top*top-bottom*bottom*bottom)/3, q)
	f := q.times(growth)
	for i := range 3 {
		s.n[i] += h * f[i]
		s.m[i] += first * f[i]
	}
}

// condensed returns D − B·A⁻¹·B and M − B·A⁻¹·N.
func (s *sheets) condensed() (matrix3, [3]float64) {
	inv := s.a.inverse()
	low := congruent(inv, s.b.full())
	bn := s.b.times(inv.times(s.n))
	return s.d.plus(-1, low), [3]float64{s.m[0] - bn[0], s.m[1] - bn[1], s.m[2] - bn[2]}
}

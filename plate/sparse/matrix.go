// Package sparse solves large symmetric positive definite systems whose unknowns lie on a grid and touch only near
// neighbours: nested dissection by place, then a multifrontal Cholesky factorisation with dense blocks.
//
// The sums are made in a fixed order, so the same matrix gives the same bits on the same build. The package does not solve
// indefinite or unsymmetric systems, does not pivot, and orders nothing that has no place on a grid.
package sparse

// Reach is how far apart, in grid steps, two unknowns may be that share an entry: cubic splines overlap their third
// neighbour.
const Reach = 3

// half is the number of entries kept for one unknown: itself, the Reach next on its row, and 2·Reach+1 on each of the
// Reach rows above.
const half = 1 + Reach + Reach*(2*Reach+1)

// Matrix is a symmetric matrix over the unknowns of an NX × NY grid, unknown (i, j) having number i + NX·j. Entries of
// unknowns further apart than Reach in either direction are zero.
type Matrix struct {
	NX, NY int
	v      []float64 // half entries an unknown
}

// NewMatrix returns the zero matrix over an nx × ny grid.
func NewMatrix(nx, ny int) *Matrix { return &Matrix{NX: nx, NY: ny, v: make([]float64, nx*ny*half)} }

// Copy returns a matrix of its own with the same entries.
func (m *Matrix) Copy() *Matrix {
	return &Matrix{NX: m.NX, NY: m.NY, v: append([]float64(nil), m.v...)}
}

// slot is the place of the entry (a, b) in v.
func (m *Matrix) slot(a, b int) int {
	if b < a {
		a, b = b, a
	}
	dy := b/m.NX - a/m.NX
	dx := b%m.NX - a%m.NX
	if dy == 0 {
		return a*half + dx
	}
	return a*half + 1 + Reach + (dy-1)*(2*Reach+1) + dx + Reach
}

// Add adds v to the entry (a, b), which is the entry (b, a) too. The unknowns must be within Reach of one another.
func (m *Matrix) Add(a, b int, v float64) { m.v[m.slot(a, b)] += v }

// At returns the entry (a, b).
func (m *Matrix) At(a, b int) float64 {
	dx, dy := a%m.NX-b%m.NX, a/m.NX-b/m.NX
	if max(dx, -dx) > Reach || max(dy, -dy) > Reach {
		return 0
	}
	return m.v[m.slot(a, b)]
}

// Multiply returns the matrix times x.
func (m *Matrix) Multiply(x []float64) []float64 {
	y := make([]float64, len(x))
	m.each(func(a, b int, v float64) {
		y[a] += v * x[b]
		if a != b {
			y[b] += v * x[a]
		}
	})
	return y
}

// each calls do for every entry with b ≥ a that is not zero, in ascending order of a, then b.
func (m *Matrix) each(do func(a, b int, v float64)) {
	for a := range m.NX * m.NY {
		row := m.v[a*half : (a+1)*half]
		for k := range Reach + 1 {
			if row[k] != 0 {
				do(a, a+k, row[k])
			}
		}
		for k := Reach + 1; k < half; k++ {
			if row[k] != 0 {
				dy, dx := (k-Reach-1)/(2*Reach+1)+1, (k-Reach-1)%(2*Reach+1)-Reach
				do(a, a+dx+dy*m.NX, row[k])
			}
		}
	}
}

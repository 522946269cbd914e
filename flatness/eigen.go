package flatness

import "math"

// symmetric is a symmetric 3×3 matrix.
type symmetric [3][3]float64

// sweeps is far more than Jacobi's method needs: it converges quadratically, six or seven sweeps for 3×3.
const sweeps = 40

// eigen returns the eigenvalues in rising order and the unit eigenvectors that belong to them, by Jacobi's rotations
// (Golub & Van Loan, Matrix Computations, §8.5), with + − × ÷ √ only.
func (m symmetric) eigen() (values vector, vectors [3]vector) {
	v := symmetric{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	for range sweeps {
		if m[0][1] == 0 && m[0][2] == 0 && m[1][2] == 0 {
			break
		}
		m.rotate(&v, 0, 1)
		m.rotate(&v, 0, 2)
		m.rotate(&v, 1, 2)
	}
	order := [3]int{0, 1, 2}
	for i := range 2 {
		for j := 2; j > i; j-- {
			if m[order[j]][order[j]] < m[order[j-1]][order[j-1]] {
				order[j], order[j-1] = order[j-1], order[j]
			}
		}
	}
	for k, o := range order {
		values[k] = m[o][o]
		vectors[k] = vector{v[0][o], v[1][o], v[2][o]}.unit()
	}
	return values, vectors
}

// rotate annuls m[p][q] and carries the rotation into v.
func (m *symmetric) rotate(v *symmetric, p, q int) {
	off := m[p][q]
	if off == 0 {
		return
	}
	if math.Abs(off) < 0x1p-80*math.Sqrt(math.Abs(m[p][p]))*math.Sqrt(math.Abs(m[q][q])) {
		m[p][q], m[q][p] = 0, 0
		return
	}
	theta := (m[q][q] - m[p][p]) / (2 * off)
	t := 1 / (math.Abs(theta) + math.Sqrt(float64(theta*theta)+1))
	if theta < 0 {
		t = 0 - t
	}
	c := 1 / math.Sqrt(float64(t*t)+1)
	s := t * c
	m[p][p] -= float64(t * off)
	m[q][q] += float64(t * off)
	m[p][q], m[q][p] = 0, 0
	r := 3 - p - q
	mp, mq := m[r][p], m[r][q]
	m[r][p] = float64(c*mp) - float64(s*mq)
	m[r][q] = float64(s*mp) + float64(c*mq)
	m[p][r], m[q][r] = m[r][p], m[r][q]
	for k := range 3 {
		vp, vq := v[k][p], v[k][q]
		v[k][p] = float64(c*vp) - float64(s*vq)
		v[k][q] = float64(s*vp) + float64(c*vq)
	}
}

package removal

import "math"

// factor is the lower Cholesky factor of a symmetric positive definite matrix, row by row in one array.
type factor struct {
	n int
	l []float64
}

// factorise returns the factor of a, which is n rows of n and is overwritten; false where a is not positive definite.
func factorise(n int, a []float64) (factor, bool) {
	for i := range n {
		ri := a[i*n : i*n+i+1]
		for j := range i + 1 {
			rj := a[j*n : j*n+j+1]
			s := ri[j]
			for k := range j {
				s -= ri[k] * rj[k]
			}
			if j < i {
				ri[j] = s / rj[j]
				continue
			}
			if !(s > 0) {
				return factor{}, false
			}
			ri[i] = math.Sqrt(s)
		}
	}
	return factor{n, a}, true
}

// half solves L·x = b in place.
func (f factor) half(b []float64) {
	for i := range f.n {
		row, s := f.l[i*f.n:i*f.n+i+1], b[i]
		for k := range i {
			s -= row[k] * b[k]
		}
		b[i] = s / row[i]
	}
}

// back solves Lᵀ·x = b in place.
func (f factor) back(b []float64) {
	for i := f.n - 1; i >= 0; i-- {
		s := b[i]
		for k := i + 1; k < f.n; k++ {
			s -= f.l[k*f.n+i] * b[k]
		}
		b[i] = s / f.l[i*f.n+i]
	}
}

// logDet is the logarithm of the determinant of the matrix.
func (f factor) logDet() (s float64) {
	for i := range f.n {
		s += 2 * math.Log(f.l[i*f.n+i])
	}
	return s
}

func dot(a, b []float64) (s float64) {
	for i, x := range a {
		s += x * b[i]
	}
	return s
}

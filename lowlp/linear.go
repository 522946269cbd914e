package lowlp

import "math"

// lu is the factorisation of a square matrix with row exchanges, P·A = L·U.
type lu struct {
	d    int
	m    []float64 // L below the diagonal (unit), U on and above it
	perm []int     // row k of L·U is row perm[k] of A
	tmp  []float64
}

func newLU(d int) *lu {
	return &lu{d: d, m: make([]float64, d*d), perm: make([]int, d), tmp: make([]float64, d)}
}

// factor takes the matrix that is already in f.m, row by row, and reports whether it is regular.
func (f *lu) factor() bool {
	d, m := f.d, f.m
	for i := range f.perm {
		f.perm[i] = i
	}
	for k := range d {
		p := k
		for i := k + 1; i < d; i++ {
			if math.Abs(m[i*d+k]) > math.Abs(m[p*d+k]) {
				p = i
			}
		}
		pivot := m[p*d+k]
		if pivot == 0 || pivot-pivot != 0 {
			return false
		}
		if p != k {
			for j := range d {
				m[p*d+j], m[k*d+j] = m[k*d+j], m[p*d+j]
			}
			f.perm[p], f.perm[k] = f.perm[k], f.perm[p]
		}
		for i := k + 1; i < d; i++ {
			l := m[i*d+k] / pivot
			m[i*d+k] = l
			if l == 0 {
				continue
			}
			for j := k + 1; j < d; j++ {
				m[i*d+j] -= float64(l * m[k*d+j])
			}
		}
	}
	return true
}

// solve overwrites x with A⁻¹x.
func (f *lu) solve(x []float64) {
	d, m, y := f.d, f.m, f.tmp
	for k := range d {
		s := x[f.perm[k]]
		for j := range k {
			s -= float64(m[k*d+j] * y[j])
		}
		y[k] = s
	}
	for k := d - 1; k >= 0; k-- {
		s := y[k]
		for j := k + 1; j < d; j++ {
			s -= float64(m[k*d+j] * x[j])
		}
		x[k] = s / m[k*d+k]
	}
}

// solveT overwrites x with A⁻ᵀx.
func (f *lu) solveT(x []float64) {
	d, m, y := f.d, f.m, f.tmp
	for k := range d {
		s := x[k]
		for j := range k {
			s -= float64(m[j*d+k] * y[j])
		}
		y[k] = s / m[k*d+k]
	}
	for k := d - 1; k >= 0; k-- {
		s := y[k]
		for j := k + 1; j < d; j++ {
			s -= float64(m[j*d+k] * y[j])
		}
		y[k] = s
	}
	for k := range d {
		x[f.perm[k]] = y[k]
	}
}

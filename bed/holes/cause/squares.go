package cause

import (
	"math"

	"slatewright/bed/holes/fit"
)

// leastSquares fits columns to deviations. inverse is the diagonal of (XᵀX)⁻¹. ok is false where the columns do not stand apart.
func leastSquares(columns [][]fit.Vector, d []fit.Vector) (x, inverse []float64, squares float64, ok bool) {
	n := len(columns)
	size := make([]float64, n)
	normal := make([][]float64, n)
	right := make([]float64, n)
	for i, c := range columns {
		size[i] = math.Sqrt(dot(c, c))
		if size[i] == 0 {
			return nil, nil, 0, false
		}
	}
	for i := range n {
		normal[i] = make([]float64, n)
		for j := range i + 1 {
			normal[i][j] = dot(columns[i], columns[j]) / (size[i] * size[j])
		}
		right[i] = dot(columns[i], d) / size[i]
	}
	if !cholesky(normal) {
		return nil, nil, 0, false
	}
	x = solved(normal, right)
	inverse = make([]float64, n)
	for i := range n {
		unit := make([]float64, n)
		unit[i] = 1
		inverse[i] = solved(normal, unit)[i] / (size[i] * size[i])
		x[i] /= size[i]
	}
	for k, v := range d {
		for i, c := range columns {
			v.X -= x[i] * c[k].X
			v.Y -= x[i] * c[k].Y
		}
		squares += v.X*v.X + v.Y*v.Y
	}
	return x, inverse, squares, true
}

func dot(a, b []fit.Vector) (sum float64) {
	for i := range a {
		sum += a[i].X*b[i].X + a[i].Y*b[i].Y
	}
	return sum
}

// cholesky overwrites the lower triangle with its factor; false where a pivot is too small, the diagonal being 1 before.
func cholesky(m [][]float64) bool {
	for i := range m {
		for j := range i + 1 {
			s := m[i][j]
			for k := range j {
				s -= m[i][k] * m[j][k]
			}
			switch {
			case i != j:
				m[i][j] = s / m[j][j]
			case s < 1e-10:
				return false
			default:
				m[i][i] = math.Sqrt(s)
			}
		}
	}
	return true
}

func solved(l [][]float64, b []float64) []float64 {
	x := append([]float64{}, b...)
	for i := range l {
		for k := range i {
			x[i] -= l[i][k] * x[k]
		}
		x[i] /= l[i][i]
	}
	for i := len(l) - 1; i >= 0; i-- {
		for k := i + 1; k < len(l); k++ {
			x[i] -= l[k][i] * x[k]
		}
		x[i] /= l[i][i]
	}
	return x
}

package flatness

import "math"

// fit is the solution of normal equations in their first width columns. A column that the columns before it already make up
// is left out; terms that take part in such a mixture cannot be told.
type fit struct {
	width int
	kept  []int            // independent columns, rising
	scale [columns]float64 // 1/length of each column
	lower [][]float64      // Cholesky factor of the scaled Gram matrix of the kept columns, row by row
	x     [columns]float64 // coefficients; 0 for a column left out
	mixed [][]int          // the columns of each mixture, rising
	told  [columns]bool    // the column takes part in no mixture
}

// A column counts as made up of others if less than independent of its squared length is its own: about √ of the rounding
// of the sums, far below what could be told in practice. A term counts as part of a mixture above partOf. From experience,
// no source.
const (
	independent = 1e-9
	partOf      = 1e-5
)

// solve factors and solves by Cholesky's method with columns scaled to length 1.
func (e equations) solve(width int) *fit {
	f := &fit{width: width}
	for c := range width {
		f.told[c] = true
		if e.gram[c][c] > 0 {
			f.scale[c] = 1 / math.Sqrt(e.gram[c][c])
		}
	}
	for c := range width {
		f.admit(e, c)
	}
	f.x = f.back(e.right)
	return f
}

// admit appends column c to the factor, or notes the mixture that makes it up.
func (f *fit) admit(e equations, c int) {
	if f.scale[c] == 0 {
		f.mixture(c, nil)
		return
	}
	row := make([]float64, len(f.kept)+1)
	own := 1.0
	for k, o := range f.kept {
		s := e.gram[o][c] * f.scale[o] * f.scale[c]
		for j := range k {
			s -= float64(f.lower[k][j] * row[j])
		}
		row[k] = s / f.lower[k][k]
		own -= float64(row[k] * row[k])
	}
	if own <= independent {
		f.mixture(c, f.transposed(row[:len(f.kept)]))
		return
	}
	row[len(f.kept)] = math.Sqrt(own)
	f.kept = append(f.kept, c)
	f.lower = append(f.lower, row)
}

// mixture notes that column c is the sum of the kept columns times share (all scaled).
func (f *fit) mixture(c int, share []float64) {
	var together []int
	for k, s := range share {
		if o := f.kept[k]; math.Abs(s) > partOf {
			together = append(together, o)
			f.told[o] = false
		}
	}
	f.told[c] = false
	f.mixed = append(f.mixed, append(together, c))
}

// forward solves L·y = b for the kept columns.
func (f *fit) forward(b []float64) []float64 {
	y := make([]float64, len(b))
	for k := range b {
		s := b[k]
		for j := range k {
			s -= float64(f.lower[k][j] * y[j])
		}
		y[k] = s / f.lower[k][k]
	}
	return y
}

// transposed solves Lᵀ·x = y for the kept columns.
func (f *fit) transposed(y []float64) []float64 {
	x := make([]float64, len(y))
	for k := len(y) - 1; k >= 0; k-- {
		s := y[k]
		for j := k + 1; j < len(y); j++ {
			s -= float64(f.lower[j][k] * x[j])
		}
		x[k] = s / f.lower[k][k]
	}
	return x
}

// back solves the normal equations for another right side.
func (f *fit) back(right [columns]float64) (x [columns]float64) {
	b := make([]float64, len(f.kept))
	for k, c := range f.kept {
		b[k] = right[c] * f.scale[c]
	}
	for k, v := range f.transposed(f.forward(b)) {
		x[f.kept[k]] = v * f.scale[f.kept[k]]
	}
	return x
}

// value is a coefficient, NaN if it cannot be told.
func (f *fit) value(c int) float64 {
	if !f.told[c] {
		return math.NaN()
	}
	return f.x[c]
}

// errors returns the standard error of each coefficient for n readings that leave the given sum of squares: the root of
// (sum/(n − terms))·(AᵀA)⁻¹ on the diagonal. NaN where it cannot be told.
func (f *fit) errors(sum float64, n int) (se [columns]float64) {
	for c := range se {
		se[c] = math.NaN()
	}
	variance := f.variance(sum, n)
	for k, c := range f.kept {
		if !f.told[c] {
			continue
		}
		unit := make([]float64, len(f.kept))
		unit[k] = 1
		inverse := 0.0
		for _, y := range f.forward(unit) {
			inverse += float64(y * y)
		}
		se[c] = math.Sqrt(float64(variance*inverse)) * f.scale[c]
	}
	return se
}

// variance is that of one reading, from the sum of squares that n readings leave; NaN if there are none to spare.
func (f *fit) variance(sum float64, n int) float64 {
	if n <= len(f.kept) {
		return math.NaN()
	}
	return sum / float64(n-len(f.kept))
}

// differenceError returns the standard error of the difference of what the fit leaves at two of the n readings, whose rows of
// the design are a and b: the root of variance·(2 − (a−b)ᵀ(AᵀA)⁻¹(a−b)) (Björck, Numerical Methods for Least Squares Problems,
// §1.4: the covariance of residuals is the variance times I − A(AᵀA)⁻¹Aᵀ).
func (f *fit) differenceError(a, b [columns]float64, sum float64, n int) float64 {
	between := make([]float64, len(f.kept))
	for k, c := range f.kept {
		between[k] = (a[c] - b[c]) * f.scale[c]
	}
	fitted := 0.0
	for _, y := range f.forward(between) {
		fitted += float64(y * y)
	}
	return math.Sqrt(float64(f.variance(sum, n) * max(0, 2-fitted)))
}

package levels

// factor is the Cholesky factorisation L·D·Lᵀ of a symmetric matrix whose rows begin at some column and are full from there to the
// diagonal (an envelope). A pivot that is nothing but rounding belongs to an unknown that no reading fixes: the unknown is held at
// 0, and what is solved is the rest.
type factor struct {
	first []int       // column at which each row begins
	low   [][]float64 // row i of L, from first[i] to i−1
	diag  []float64   // D; 0 for a held unknown
	held  []int
}

// nothing is the share of its own diagonal below which a pivot is rounding: weights spread over 1e8 at most (widestU squared), and a
// double carries 1e-16.
const nothing = 1e-11

// factorise overwrites low and diag, which hold the matrix.
func factorise(first []int, low [][]float64, diag []float64) *factor {
	f := &factor{first: first, low: low, diag: diag}
	for i := range diag {
		row, whole := low[i], diag[i]
		for j := first[i]; j < i; j++ {
			from := max(first[i], first[j])
			row[j-first[i]] -= dot(row[from-first[i]:j-first[i]], low[j][from-first[j]:])
		}
		for j := first[i]; j < i; j++ { // row holds L·D so far
			g := row[j-first[i]]
			if diag[j] == 0 {
				row[j-first[i]] = 0
				continue
			}
			row[j-first[i]] = g / diag[j]
			diag[i] -= g * row[j-first[i]]
		}
		if diag[i] <= nothing*whole {
			diag[i] = 0
			clear(row)
			f.held = append(f.held, i)
		}
	}
	return f
}

// dot is the sum of products over the shorter of both.
func dot(a, b []float64) float64 {
	sum := 0.0
	for k, v := range a {
		sum += v * b[k]
	}
	return sum
}

// solve overwrites b with the solution.
func (f *factor) solve(b []float64) {
	for i := range b {
		b[i] -= dot(f.low[i], b[f.first[i]:])
	}
	for i, d := range f.diag {
		if d == 0 {
			b[i] = 0
		} else {
			b[i] /= d
		}
	}
	f.back(b)
}

// back overwrites b with the solution of Lᵀ·x = b.
func (f *factor) back(b []float64) {
	for i := len(b) - 1; i >= 0; i-- {
		if f.diag[i] == 0 {
			b[i] = 0
			continue
		}
		for k, l := range f.low[i] {
			b[f.first[i]+k] -= l * b[i]
		}
	}
}

// inverse holds the entries of the inverse that lie in the envelope.
type inverse struct {
	first []int
	low   [][]float64
	diag  []float64
}

// inverse computes them from the last row to the first: K. Takahashi, J. Fagan and M. Chin, "Formation of a sparse bus impedance matrix
// and its application to short circuit study", 8th PICA conference 1973.
func (f *factor) inverse() inverse {
	n := len(f.diag)
	z := inverse{first: f.first, low: make([][]float64, n), diag: make([]float64, n)}
	below := make([][]int, n) // rows that reach into a column
	for i := range n {
		z.low[i] = make([]float64, len(f.low[i]))
		for j := f.first[i]; j < i; j++ {
			below[j] = append(below[j], i)
		}
	}
	for j := n - 1; j >= 0; j-- {
		if f.diag[j] == 0 {
			continue
		}
		l := make([]float64, len(below[j]))
		for k, i := range below[j] {
			l[k] = f.low[i][j-f.first[i]]
		}
		z.diag[j] = 1 / f.diag[j]
		for k, i := range below[j] {
			sum := 0.0
			for m, other := range below[j] {
				sum += l[m] * z.at(i, other)
			}
			z.low[i][j-f.first[i]] = -sum
			z.diag[j] += l[k] * sum
		}
	}
	return z
}

// at returns an entry in the envelope.
func (z inverse) at(i, j int) float64 {
	switch {
	case i == j:
		return z.diag[i]
	case i < j:
		i, j = j, i
	}
	return z.low[i][j-z.first[i]]
}

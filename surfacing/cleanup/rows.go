package cleanup

import "slatewright/lowlp"

// rows are what the planes w = p·u + q·v + a and … + b must keep: below each reading of the top and above each of the bottom.
type rows struct {
	top     []bool
	u, v, w []float64
}

var _ lowlp.Rows = (*rows)(nil)

// rowsBlock is how many readings report one row. Small, so that a few passes bring in all that matters.
const rowsBlock = 64

// Dim returns the number of unknowns: p, q, a, b.
func (r *rows) Dim() int { return 4 }

// Row writes a row's coefficients.
func (r *rows) Row(i int, a []float64) float64 {
	if r.top[i] {
		a[0], a[1], a[2], a[3] = r.u[i], r.v[i], 1, 0
		return r.w[i]
	}
	a[0], a[1], a[2], a[3] = -r.u[i], -r.v[i], 0, -1
	return -r.w[i]
}

// Worst reports, block by block, the reading farthest inside the planes.
func (r *rows) Worst(x []float64, ray bool, yield func(int, float64)) {
	keep := 1.0
	if ray {
		keep = 0
	}
	for lo := 0; lo < len(r.w); lo += rowsBlock {
		row, worst := -1, 0.0
		for i := lo; i < min(lo+rowsBlock, len(r.w)); i++ {
			excess := x[0]*r.u[i] + x[1]*r.v[i] - keep*r.w[i]
			if r.top[i] {
				excess += x[2]
			} else {
				excess = -excess - x[3]
			}
			if excess > worst {
				row, worst = i, excess
			}
		}
		if row >= 0 {
			yield(row, worst)
		}
	}
}

// outermost are the rows of least and largest u, v and w of each side: from them the solver takes its scale, and without them a sample may not hold
// the planes at all.
func (r *rows) outermost() (out []int) {
	for _, top := range []bool{true, false} {
		for _, column := range [3][]float64{r.u, r.v, r.w} {
			least, most := -1, -1
			for i, x := range column {
				if r.top[i] != top {
					continue
				}
				if least < 0 || x < column[least] {
					least = i
				}
				if most < 0 || x > column[most] {
					most = i
				}
			}
			out = append(out, least, most)
		}
	}
	return out
}

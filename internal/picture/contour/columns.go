package contour

import (
	"math"
	"sort"
)

// column is readings that share an x (a grid column or a joint row), in order of y.
type column struct {
	x    float64
	y, z []float64
}

// sameColumn is how far apart in x two readings of one column may be, mm: a probe is put on a marked line by hand within
// about a millimetre, and a joint row lies several millimetres from the outermost column. Common practice, no source.
const sameColumn = 2.0

// columns sorts readings into columns. ok is false when they do not stand in columns of at least three readings each.
func columns(xs, ys, zs []float64) (cols []column, ok bool) {
	order := make([]int, len(xs))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return xs[order[a]] < xs[order[b]] })
	for from := 0; from < len(order); {
		to := from + 1
		for to < len(order) && xs[order[to]]-xs[order[from]] <= sameColumn {
			to++
		}
		c := gather(order[from:to], xs, ys, zs)
		if len(c.y) < 3 {
			return nil, false
		}
		cols = append(cols, c)
		from = to
	}
	return cols, len(cols) >= 2
}

// gather makes one column: mean x, sorted y, readings at one y averaged.
func gather(idx []int, xs, ys, zs []float64) column {
	sort.SliceStable(idx, func(a, b int) bool { return ys[idx[a]] < ys[idx[b]] })
	var c column
	var sumX float64
	for from := 0; from < len(idx); {
		to, sum := from, 0.0
		for to < len(idx) && ys[idx[to]] == ys[idx[from]] {
			sum += zs[idx[to]]
			to++
		}
		c.y = append(c.y, ys[idx[from]])
		c.z = append(c.z, sum/float64(to-from))
		from = to
	}
	for _, i := range idx {
		sumX += xs[i]
	}
	c.x = sumX / float64(len(idx))
	return c
}

// sheet makes the mesh of columns: first along each column, then from column to column. The nodes of a mesh row run straight
// from column to column, so nothing is made beyond the line between their ends.
func sheet(cols []column, spacing float64) Mesh {
	xs := make([]float64, len(cols))
	for i, c := range cols {
		xs[i] = c.x
	}
	fine, rows := between(xs, spacing), shares(cols, spacing)
	m := Mesh{NX: len(fine), NY: len(rows), Method: MethodColumns}
	m.X, m.Y, m.Z = make([]float64, m.NX*m.NY), make([]float64, m.NX*m.NY), make([]float64, m.NX*m.NY)
	low, high := ends(cols)
	at := make([]float64, len(cols))
	for i, x := range fine {
		near := bracket(xs, x)
		y0, y1 := linear(xs, low, x), linear(xs, high, x)
		for j, s := range rows {
			k := i*m.NY + j
			m.X[k], m.Y[k] = x, y0+s*(y1-y0)
			for c := max(0, near-1); c <= min(len(cols)-1, near+2); c++ { // all that a cubic between two columns looks at
				at[c] = cols[c].height(m.Y[k])
			}
			m.Z[k] = monotone(xs, at, x)
		}
	}
	return m
}

// height is the height of the column at y. Beyond its ends, where a neighbour is longer, it is carried on straight.
func (c column) height(y float64) float64 {
	n := len(c.y)
	switch {
	case y < c.y[0]:
		return c.z[0] + (c.z[1]-c.z[0])/(c.y[1]-c.y[0])*(y-c.y[0])
	case y > c.y[n-1]:
		return c.z[n-1] + (c.z[n-1]-c.z[n-2])/(c.y[n-1]-c.y[n-2])*(y-c.y[n-1])
	}
	return monotone(c.y, c.z, y)
}

func ends(cols []column) (low, high []float64) {
	for _, c := range cols {
		low, high = append(low, c.y[0]), append(high, c.y[len(c.y)-1])
	}
	return low, high
}

// shares returns the mesh rows as shares of the way up a column, with a row at each station of the column that has most.
func shares(cols []column, spacing float64) []float64 {
	most := cols[0]
	for _, c := range cols {
		if len(c.y) > len(most.y) {
			most = c
		}
	}
	y := between(most.y, spacing)
	first, span := y[0], y[len(y)-1]-y[0]
	for i := range y {
		y[i] = (y[i] - first) / span
	}
	y[len(y)-1] = 1
	return y
}

// between returns the values with equal parts of at most spacing put between each two.
func between(v []float64, spacing float64) []float64 {
	out := []float64{v[0]}
	for i := 1; i < len(v); i++ {
		n := int(math.Ceil((v[i] - v[i-1]) / spacing))
		for k := 1; k < n; k++ {
			out = append(out, v[i-1]+(v[i]-v[i-1])*float64(k)/float64(n))
		}
		out = append(out, v[i])
	}
	return out
}

// linear returns the value at x of the polyline through (xs, v), xs ascending and x inside.
func linear(xs, v []float64, x float64) float64 {
	i := bracket(xs, x)
	return v[i] + (v[i+1]-v[i])*(x-xs[i])/(xs[i+1]-xs[i])
}

// bracket returns i with xs[i] ≤ x ≤ xs[i+1].
func bracket(xs []float64, x float64) int {
	i := sort.SearchFloat64s(xs, x) - 1
	return max(0, min(i, len(xs)-2))
}

// monotone returns the value at x of the monotone piecewise cubic through (xs, v): between two neighbours it never leaves the
// interval of their values (Fritsch and Butland 1984, "A method for constructing local monotone piecewise cubic interpolants",
// SIAM J. Sci. Stat. Comput. 5, 300–304, their weighted harmonic mean for the slopes).
func monotone(xs, v []float64, x float64) float64 {
	if len(xs) == 2 {
		return linear(xs, v, x)
	}
	i := bracket(xs, x)
	h := xs[i+1] - xs[i]
	t := (x - xs[i]) / h
	d0, d1 := slope(xs, v, i), slope(xs, v, i+1)
	u := 1 - t
	return v[i]*u*u*(1+2*t) + v[i+1]*t*t*(3-2*t) + h*(d0*t*u*u-d1*t*t*u)
}

// slope is the limited slope at knot i.
func slope(xs, v []float64, i int) float64 {
	n := len(xs)
	rise := func(k int) float64 { return (v[k+1] - v[k]) / (xs[k+1] - xs[k]) }
	switch i {
	case 0:
		return endSlope(xs[1]-xs[0], xs[2]-xs[1], rise(0), rise(1))
	case n - 1:
		return endSlope(xs[n-1]-xs[n-2], xs[n-2]-xs[n-3], rise(n-2), rise(n-3))
	}
	a, b := rise(i-1), rise(i)
	if a*b <= 0 {
		return 0
	}
	h0, h1 := xs[i]-xs[i-1], xs[i+1]-xs[i]
	alpha := (1 + h1/(h0+h1)) / 3
	return a * b / (alpha*b + (1-alpha)*a)
}

// endSlope is the three-point slope at an end, limited so that the cubic stays monotone.
func endSlope(h0, h1, near, next float64) float64 {
	d := ((2*h0+h1)*near - h0*next) / (h0 + h1)
	switch {
	case d*near <= 0:
		return 0
	case near*next < 0 && math.Abs(d) > 3*math.Abs(near):
		return 3 * near
	}
	return d
}

package lowlp

import (
	"math"

	"slatewright/trouble"
)

// Least asks for the point of a polyhedron at which a sum of squares is least: minimise Σₖ (gₖ·v − hₖ)² subject to Rows.
// The gₖ must span ℝᵈ, so that the answer is one point.
type Least struct {
	G    []float64 // d coefficients for each term, one term after the other
	H    []float64 // one number for each term
	Rows Rows
	Warm []int // rows likely to matter
}

// Nearest solves q by the dual active-set method of Goldfarb and Idnani (Mathematical Programming 27, 1983, 1–33), on a
// working set that grows by scans. Multipliers ≥ 0 and a small Violation are what shows the answer. The status is Optimal
// or Infeasible; an infeasible one carries no proof (ask Solve for that).
func Nearest(q Least) (Solution, error) {
	d := q.Rows.Dim()
	if d < 1 || d > MaxDim || len(q.G) != d*len(q.H) {
		return Solution{}, trouble.Own("lowlp-length", "lowlp", "the terms of a sum of squares do not have one entry for each unknown", "report this")
	}
	n := &nearest{d: d, rows: q.Rows, seen: map[int]bool{}}
	if !n.factor(q) {
		return Solution{}, trouble.Own("lowlp-flat", "lowlp", "the sum of squares does not fix every unknown", "report this")
	}
	n.take(q.Warm)
	for {
		switch n.descend() {
		case clash:
			return Solution{Status: Infeasible, Scans: n.scans, Pivots: n.steps}, nil
		case unsure:
			return Solution{}, lost("the nearest point was not settled in a thousand steps")
		}
		if !n.scan() {
			return n.solution(q), nil
		}
	}
}

// nearest works with y = Lᵀ(v − v₀), H = LLᵀ, in which the sum of squares is |y|² plus a constant.
type nearest struct {
	d     int
	rows  Rows
	chol  []float64 // L, row by row
	v0    []float64 // where the sum of squares is least without rows
	y     []float64
	a     []float64 // working rows, L⁻¹a, d each
	b     []float64 // b − a·v₀
	id    []int
	seen  map[int]bool
	act   []int     // active working rows
	u     []float64 // their multipliers
	q     []float64 // orthonormal basis of the active rows, d each
	r     []float64 // upper triangle: active row k = Σⱼ r[k·d+j]·qⱼ
	scans int
	steps int
}

// factor builds H = GᵀG = LLᵀ and v₀; it reports false when H is not positive definite.
func (n *nearest) factor(q Least) bool {
	d := n.d
	h := make([]float64, d*d)
	rhs := make([]float64, d)
	for k, hk := range q.H {
		g := q.G[k*d : (k+1)*d]
		for i := range d {
			rhs[i] += float64(g[i] * hk)
			for j := range d {
				h[i*d+j] += float64(g[i] * g[j])
			}
		}
	}
	for j := range d {
		for i := j; i < d; i++ {
			s := h[i*d+j]
			for k := range j {
				s -= float64(h[i*d+k] * h[j*d+k])
			}
			if i == j {
				if !(s > 1e-14*math.Abs(h[j*d+j])) {
					return false
				}
				h[j*d+j] = math.Sqrt(s)
			} else {
				h[i*d+j] = s / h[j*d+j]
			}
		}
	}
	n.chol = h
	n.v0 = n.up(n.down(rhs))
	n.y = make([]float64, d)
	return true
}

// down returns L⁻¹x.
func (n *nearest) down(x []float64) []float64 {
	y := make([]float64, n.d)
	for i := range y {
		s := x[i]
		for j := range i {
			s -= float64(n.chol[i*n.d+j] * y[j])
		}
		y[i] = s / n.chol[i*n.d+i]
	}
	return y
}

// up returns L⁻ᵀx.
func (n *nearest) up(x []float64) []float64 {
	y := make([]float64, n.d)
	for i := n.d - 1; i >= 0; i-- {
		s := x[i]
		for j := i + 1; j < n.d; j++ {
			s -= float64(n.chol[j*n.d+i] * y[j])
		}
		y[i] = s / n.chol[i*n.d+i]
	}
	return y
}

func (n *nearest) point() []float64 {
	v := n.up(n.y)
	for j := range v {
		v[j] += n.v0[j]
	}
	return v
}

func (n *nearest) row(i int) []float64 { return n.a[i*n.d : (i+1)*n.d] }

func (n *nearest) take(ids []int) bool {
	grew := false
	a := make([]float64, n.d)
	for _, i := range ids {
		if n.seen[i] {
			continue
		}
		b := n.rows.Row(i, a)
		n.seen[i] = true
		n.id = append(n.id, i)
		n.b = append(n.b, b-dot(a, n.v0))
		n.a = append(n.a, n.down(a)...)
		grew = true
	}
	return grew
}

func (n *nearest) scan() bool {
	var found []int
	n.scans++
	n.rows.Worst(n.point(), false, func(i int, excess float64) {
		if excess > 0 {
			found = append(found, i)
		}
	})
	return n.take(found)
}

// slack is how much excess of working row i is rounding.
func (n *nearest) slack(i int) float64 {
	return 16 * eps * (math.Abs(n.b[i]) + sizeOf(n.row(i), n.y))
}

// descend adds violated working rows until none is left.
func (n *nearest) descend() verdict {
	limit := n.steps + 1000 + 50*len(n.b)
	for n.steps < limit {
		enter, worst := -1, 0.0
		for i := range n.b {
			if excess := dot(n.row(i), n.y) - n.b[i]; excess > worst && excess > n.slack(i) {
				enter, worst = i, excess
			}
		}
		if enter < 0 {
			return settled
		}
		if n.active(enter) >= 0 {
			return settled // an active row that rounding leaves violated: nothing better can be had
		}
		if !n.add(enter) {
			return clash
		}
	}
	return unsure
}

func (n *nearest) active(i int) int {
	for k, j := range n.act {
		if i == j {
			return k
		}
	}
	return -1
}

// add makes working row p active, dropping rows whose multipliers reach 0 on the way.
func (n *nearest) add(p int) bool {
	gain := 0.0
	for {
		n.steps++
		z, r := n.split(n.row(p))
		drop, partial := n.firstToDrop(r)
		norm := dot(n.row(p), n.row(p))
		reach := dot(z, z)
		full := math.Inf(1)
		if len(n.act) < n.d && reach > 1e-20*norm {
			full = (dot(n.row(p), n.y) - n.b[p]) / reach
		}
		t := min(partial, full)
		if math.IsInf(t, 1) {
			return false
		}
		for k := range n.u {
			n.u[k] -= float64(t * r[k])
		}
		gain += t
		if full < math.Inf(1) {
			for j := range n.y {
				n.y[j] -= float64(t * z[j])
			}
		}
		if full <= partial {
			n.act = append(n.act, p)
			n.u = append(n.u, gain)
			n.orthogonalise()
			return true
		}
		n.act = append(n.act[:drop], n.act[drop+1:]...)
		n.u = append(n.u[:drop], n.u[drop+1:]...)
		n.orthogonalise()
	}
}

// split returns the part z of x that is orthogonal to the active rows, and the weights r with x = z + Σ rₖ·rowₖ.
func (n *nearest) split(x []float64) (z, r []float64) {
	z = append([]float64{}, x...)
	m := len(n.act)
	c := make([]float64, m)
	for range 2 { // twice is enough (Kahan, Parlett)
		for j := range m {
			q := n.q[j*n.d : (j+1)*n.d]
			s := dot(q, z)
			c[j] += s
			for i := range z {
				z[i] -= float64(s * q[i])
			}
		}
	}
	r = make([]float64, m)
	for k := m - 1; k >= 0; k-- {
		s := c[k]
		for l := k + 1; l < m; l++ {
			s -= float64(n.r[l*n.d+k] * r[l])
		}
		r[k] = s / n.r[k*n.d+k]
	}
	return z, r
}

// orthogonalise rebuilds the orthonormal basis of the active rows.
func (n *nearest) orthogonalise() {
	act := n.act
	n.q = n.q[:0]
	n.r = make([]float64, n.d*n.d)
	for k := range act {
		n.act = act[:k]
		x := append([]float64{}, n.row(act[k])...)
		for range 2 {
			for j := range k {
				q := n.q[j*n.d : (j+1)*n.d]
				s := dot(q, x)
				n.r[k*n.d+j] += s
				for i := range x {
					x[i] -= float64(s * q[i])
				}
			}
		}
		length := math.Sqrt(dot(x, x))
		n.r[k*n.d+k] = length
		for i := range x {
			x[i] /= length
		}
		n.q = append(n.q, x...)
	}
	n.act = act
}

// firstToDrop returns the active row whose multiplier reaches 0 first along −r, and after how long a step.
func (n *nearest) firstToDrop(r []float64) (place int, step float64) {
	place, step = -1, math.Inf(1)
	for k, x := range r {
		if x > 1e-13 {
			if t := n.u[k] / x; t < step {
				place, step = k, t
			}
		}
	}
	return place, step
}

func (n *nearest) solution(q Least) Solution {
	v := n.point()
	s := Solution{Status: Optimal, V: v, Scans: n.scans, Pivots: n.steps, Working: n.id, Violation: Check(n.rows, v)}
	for k, h := range q.H {
		e := dot(q.G[k*n.d:(k+1)*n.d], v) - h
		s.Value += float64(e * e)
	}
	s.Bound = math.Inf(-1)
	for k, i := range n.act {
		s.Active = append(s.Active, n.id[i])
		s.Multipliers = append(s.Multipliers, 2*n.u[k])
	}
	return s
}

package sparse

import (
	"fmt"
	"math"
	"slices"
)

// Factor is the Cholesky factorisation of a matrix: ready to solve, and not changed by solving.
type Factor struct {
	n      int
	fronts []front
	live   []bool // unknowns without an entry of their own are left out, and are 0 in every solution
	entries,
	pivots int
}

// front is a part after its elimination: the columns of its own unknowns, over the rows that they touch.
type front struct {
	own  int       // the first own rows are the part's own unknowns
	rows []int     // unknowns by number, own ones first, then those of ancestors in the order of their elimination
	l    []float64 // len(rows) × own, by rows; the upper triangle of the own block is not used
}

// Indefinite is the error of a matrix that is not positive definite.
type Indefinite struct {
	Unknown int     // where a pivot was not positive
	Pivot   float64 // relative to the diagonal entry
}

func (e *Indefinite) Error() string {
	return fmt.Sprintf("the matrix is not positive definite: pivot %.3g of its diagonal at unknown %d", e.Pivot, e.Unknown)
}

// NewFactor factorises m. Unknowns whose diagonal entry is 0 are left out: they are 0 in every solution. The error is an
// [*Indefinite].
func NewFactor(m *Matrix) (*Factor, error) {
	n := m.NX * m.NY
	f := &Factor{n: n, live: make([]bool, n)}
	for a := range n {
		if f.live[a] = m.v[a*half] != 0; f.live[a] {
			f.pivots++
		}
	}
	parts := dissect(m.NX, m.NY, func(a int) bool { return f.live[a] })
	order := make([]int, n) // place in the elimination
	place := 0
	for _, p := range parts {
		for _, a := range p.own {
			order[a] = place
			place++
		}
	}
	e := elimination{m: m, order: order, local: make([]int32, n), updates: make([]update, len(parts))}
	f.fronts = make([]front, len(parts))
	for i, p := range parts {
		var err error
		if f.fronts[i], err = e.eliminate(i, p); err != nil {
			return nil, err
		}
		f.entries += len(f.fronts[i].l)
	}
	return f, nil
}

// Unknowns and Entries are the size of the factor: live unknowns, and numbers kept.
func (f *Factor) Unknowns() int { return f.pivots }

// Entries returns how many numbers the factor keeps.
func (f *Factor) Entries() int { return f.entries }

// update is what a part leaves to its parent: a dense symmetric matrix over the rows above it.
type update struct {
	rows []int
	v    []float64 // by rows, lower triangle
}

// elimination is the work of one factorisation.
type elimination struct {
	m       *Matrix
	order   []int
	local   []int32 // unknown → row of the present front
	updates []update
	spare   [][]float64
}

// eliminate gathers the front of part number i, eliminates its own unknowns and keeps the rest for the parent.
func (e *elimination) eliminate(i int, p part) (front, error) {
	rows := e.rows(p)
	n, own := len(rows), len(p.own)
	a := e.take(n * n)
	for k, u := range rows {
		e.local[u] = int32(k)
	}
	for k, u := range p.own {
		e.near(u, func(b int, v float64) {
			if v != 0 && e.order[b] >= e.order[u] {
				a[int(e.local[b])*n+k] = v
			}
		})
	}
	for _, c := range p.children {
		up := &e.updates[c]
		for r, u := range up.rows {
			i := int(e.local[u])
			for s, v := range up.v[r*len(up.rows) : r*len(up.rows)+r+1] {
				a[i*n+int(e.local[up.rows[s]])] += v
			}
		}
		e.give(up.v)
		*up = update{}
	}
	if k, pivot := partial(a, n, own); k >= 0 {
		return front{}, &Indefinite{Unknown: rows[k], Pivot: pivot}
	}
	f := front{own: own, rows: rows, l: make([]float64, n*own)}
	for r := range n {
		copy(f.l[r*own:(r+1)*own], a[r*n:r*n+own])
	}
	if n > own {
		up := update{rows: rows[own:], v: e.take((n - own) * (n - own))}
		for r := own; r < n; r++ {
			copy(up.v[(r-own)*(n-own):], a[r*n+own:r*n+r+1])
		}
		e.updates[i] = up
	}
	e.give(a)
	return f, nil
}

// rows returns the unknowns of the part's front: its own, then the later ones that it or a child touches, in the order of
// elimination.
func (e *elimination) rows(p part) []int {
	rows := slices.Clone(p.own)
	for _, u := range p.own {
		e.local[u] = -1
	}
	see := func(b int) {
		if e.local[b] != -1 {
			e.local[b] = -1
			rows = append(rows, b)
		}
	}
	for _, u := range p.own {
		e.near(u, func(b int, v float64) {
			if v != 0 && e.order[b] > e.order[u] {
				see(b)
			}
		})
	}
	for _, c := range p.children {
		for _, u := range e.updates[c].rows {
			see(u)
		}
	}
	slices.SortFunc(rows[len(p.own):], func(a, b int) int { return e.order[a] - e.order[b] })
	for _, u := range rows {
		e.local[u] = 0
	}
	return rows
}

// near calls do for the unknown itself and every one within Reach.
func (e *elimination) near(u int, do func(b int, v float64)) {
	nx, ny := e.m.NX, e.m.NY
	ux, uy := u%nx, u/nx
	for y := max(0, uy-Reach); y <= min(ny-1, uy+Reach); y++ {
		for x := max(0, ux-Reach); x <= min(nx-1, ux+Reach); x++ {
			b := x + nx*y
			do(b, e.m.v[e.m.slot(u, b)])
		}
	}
}

// take returns n zeros, out of what was given back where that is large enough.
func (e *elimination) take(n int) []float64 {
	for i := len(e.spare) - 1; i >= 0; i-- {
		if s := e.spare[i]; cap(s) >= n {
			e.spare = slices.Delete(e.spare, i, i+1)
			s = s[:n]
			clear(s)
			return s
		}
	}
	return make([]float64, n)
}

func (e *elimination) give(s []float64) { e.spare = append(e.spare, s) }

// smallestPivot is the least pivot, as a share of its diagonal entry before elimination, that is taken for positive: what
// rounding can leave of a zero in a few thousand subtractions.
const smallestPivot = 1e-13

// panel is how many columns are eliminated before the rest of the front is brought up to date.
const panel = 48

// partial eliminates the first own unknowns of the n × n front a (by rows, lower triangle): its first own columns become those
// of the Cholesky factor, the rest what is left. It returns −1, or the column whose pivot is not positive and that pivot.
func partial(a []float64, n, own int) (column int, pivot float64) {
	before := make([]float64, own)
	for k := range own {
		before[k] = a[k*n+k]
	}
	for k0 := 0; k0 < own; k0 += panel {
		k1 := min(k0+panel, own)
		for k := k0; k < k1; k++ {
			rk := a[k*n+k0 : k*n+k]
			d := a[k*n+k] - dot(rk, rk)
			if !(d > smallestPivot*before[k]) {
				return k, d / before[k]
			}
			d = math.Sqrt(d)
			a[k*n+k] = d
			below(a, n, k0, k, 1/d)
		}
		trail(a, n, k0, k1)
	}
	return -1, 0
}

// below brings column k, below the diagonal, up to date within its panel.
func below(a []float64, n, k0, k int, inverse float64) {
	w := k - k0
	rk := a[k*n+k0 : k*n+k]
	i := k + 1
	for ; i+3 < n; i += 4 {
		r0, r1, r2, r3 := a[i*n+k0:][:w], a[(i+1)*n+k0:][:w], a[(i+2)*n+k0:][:w], a[(i+3)*n+k0:][:w]
		var s0, s1, s2, s3 float64
		for t, v := range rk {
			s0 += r0[t] * v
			s1 += r1[t] * v
			s2 += r2[t] * v
			s3 += r3[t] * v
		}
		a[i*n+k] = (a[i*n+k] - s0) * inverse
		a[(i+1)*n+k] = (a[(i+1)*n+k] - s1) * inverse
		a[(i+2)*n+k] = (a[(i+2)*n+k] - s2) * inverse
		a[(i+3)*n+k] = (a[(i+3)*n+k] - s3) * inverse
	}
	for ; i < n; i++ {
		a[i*n+k] = (a[i*n+k] - dot(a[i*n+k0:i*n+k], rk)) * inverse
	}
}

// trail takes the panel's share off everything behind it: a[i][j] −= Σ a[i][k]·a[j][k], k0 ≤ k < k1, for i ≥ j ≥ k1.
func trail(a []float64, n, k0, k1 int) {
	w := k1 - k0
	i := k1
	for ; i+3 < n; i += 4 {
		r0, r1, r2, r3 := a[i*n+k0:][:w], a[(i+1)*n+k0:][:w], a[(i+2)*n+k0:][:w], a[(i+3)*n+k0:][:w]
		j := k1
		for ; j+1 <= i+3; j += 2 {
			c0, c1 := a[j*n+k0:][:w], a[(j+1)*n+k0:][:w]
			var s00, s01, s10, s11, s20, s21, s30, s31 float64
			for t, u := range c0 {
				v := c1[t]
				x0, x1, x2, x3 := r0[t], r1[t], r2[t], r3[t]
				s00 += x0 * u
				s01 += x0 * v
				s10 += x1 * u
				s11 += x1 * v
				s20 += x2 * u
				s21 += x2 * v
				s30 += x3 * u
				s31 += x3 * v
			}
			p := a[i*n+j : i*n+j+2]
			p[0] -= s00
			p[1] -= s01
			p = a[(i+1)*n+j : (i+1)*n+j+2]
			p[0] -= s10
			p[1] -= s11
			p = a[(i+2)*n+j : (i+2)*n+j+2]
			p[0] -= s20
			p[1] -= s21
			p = a[(i+3)*n+j : (i+3)*n+j+2]
			p[0] -= s30
			p[1] -= s31
		}
	}
	for ; i < n; i++ {
		for j := k1; j <= i; j++ {
			a[i*n+j] -= dot(a[i*n+k0:i*n+k1], a[j*n+k0:j*n+k1])
		}
	}
}

func dot(a, b []float64) (s float64) {
	for i, v := range a {
		s += v * b[i]
	}
	return s
}

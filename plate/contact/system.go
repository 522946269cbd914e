package contact

import (
	"errors"
	"math"
)

// system is F·p + E·z = right, Eᵀ·p = balance over the supports that are on, factorised: F by Cholesky, then the r × r
// complement of the rigid movements.
type system struct {
	on   []int
	l    [][]float64 // lower triangle over on
	y    [][]float64 // r columns L⁻¹E
	e    [][]float64
	s    [][]float64 // lower triangle of the Cholesky factor of EᵀF⁻¹E
	size int
}

// ErrLine says that the supports that carry do not hold the body against every rigid movement.
var ErrLine = errors.New("the supports that carry lie on one line, or there are fewer than three")

func (p Problem) newSystem(on []bool) (system, error) {
	s := system{size: len(on), e: p.E}
	for i, v := range on {
		if v {
			s.on = append(s.on, i)
		}
	}
	k := len(s.on)
	s.l = make([][]float64, k)
	for a, i := range s.on {
		s.l[a] = make([]float64, a+1)
		for b := range a + 1 {
			s.l[a][b] = p.F[i][s.on[b]]
		}
	}
	if !cholesky(s.l, 1e-14) {
		return s, errors.New("two supports are at one place, or what a force lifts is not positive definite")
	}
	r := len(p.B)
	s.y = make([][]float64, r)
	for c := range r {
		s.y[c] = make([]float64, k)
		for a, i := range s.on {
			s.y[c][a] = p.E[i][c]
		}
		forward(s.l, s.y[c])
	}
	s.s = make([][]float64, r)
	for c := range r {
		s.s[c] = make([]float64, c+1)
		for d := range c + 1 {
			s.s[c][d] = dot(s.y[c], s.y[d])
		}
	}
	if k < r || !cholesky(s.s, 1e-12) {
		return s, ErrLine
	}
	return s, nil
}

// solve returns forces, 0 where a support is off, and the rigid movements z: F·p + E·z = right on the supports that are on.
func (s *system) solve(right, balance []float64) (force, rigid []float64) {
	v := make([]float64, len(s.on))
	for a, i := range s.on {
		v[a] = right[i]
	}
	forward(s.l, v)
	rigid = make([]float64, len(balance))
	for c := range rigid { // EᵀF⁻¹(right − E·z) = balance
		rigid[c] = dot(s.y[c], v) - balance[c]
	}
	forward(s.s, rigid)
	backward(s.s, rigid)
	for c, z := range rigid {
		for a := range v {
			v[a] -= s.y[c][a] * z
		}
	}
	backward(s.l, v)
	force = make([]float64, s.size)
	for a, i := range s.on {
		force[i] = v[a]
	}
	return force, rigid
}

// cholesky factorises the lower triangle in place; false when a pivot is below share of its diagonal entry.
func cholesky(l [][]float64, share float64) bool {
	for i := range l {
		before := l[i][i]
		for j := range i {
			l[i][j] = (l[i][j] - dot(l[i][:j], l[j])) / l[j][j]
		}
		d := before - dot(l[i][:i], l[i])
		if !(d > share*before) {
			return false
		}
		l[i][i] = math.Sqrt(d)
	}
	return true
}

func forward(l [][]float64, v []float64) {
	for i := range v {
		v[i] = (v[i] - dot(l[i][:i], v)) / l[i][i]
	}
}

func backward(l [][]float64, v []float64) {
	for i := len(v) - 1; i >= 0; i-- {
		v[i] /= l[i][i]
		for j := range i {
			v[j] -= l[i][j] * v[i]
		}
	}
}

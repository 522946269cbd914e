package cleanup

import (
	"math"
	"slices"
)

// nearest is how many readings around a place tell its height: twice and more what a surface of second order needs.
const nearest = 16

// same is how near a reading must be to a place to be the reading of that place, mm: places are marked by hand.
const same = 0.5

// spot is a reading seen from a place.
type spot struct{ dx, dy, z, square float64 }

// around finds, in one pass, the readings nearest to each place, nearest first.
func around(p Points, places [][2]float64) [][]spot {
	found := make([][]spot, len(places))
	for k := range found {
		found[k] = make([]spot, 0, nearest+1)
	}
	for i, z := range p.Z {
		for k, q := range places {
			dx, dy := p.X[i]-q[0], p.Y[i]-q[1]
			square := dx*dx + dy*dy
			list := found[k]
			if len(list) == nearest && square >= list[nearest-1].square {
				continue
			}
			at, _ := slices.BinarySearchFunc(list, square, func(s spot, v float64) int {
				if s.square <= v {
					return -1
				}
				return 1
			})
			list = slices.Insert(list, at, spot{dx, dy, z, square})
			found[k] = list[:min(len(list), nearest)]
		}
	}
	return found
}

// height is the face's height at a place by the readings around it, with its standard uncertainty: that of a reading there, or of a surface of second
// order (a plane, where there are fewer than ten readings) put through them. u is that of one reading; what the readings depart from the surface
// counts too.
func height(list []spot, u float64) (z, doubt float64, ok bool) {
	if len(list) > 0 && list[0].square <= same*same {
		return list[0].z, u, true
	}
	terms := 6
	if len(list) < 10 {
		terms = 3
	}
	if len(list) < terms {
		return 0, 0, false
	}
	scale := math.Sqrt(list[len(list)-1].square)
	rows := make([][]float64, len(list))
	zs := make([]float64, len(list))
	for i, s := range list {
		x, y := s.dx/scale, s.dy/scale
		rows[i] = []float64{1, x, y, x * x, x * y, y * y}[:terms]
		zs[i] = s.z
	}
	c, inverse, rest, ok := fitted(rows, zs, nil)
	if !ok && terms == 6 { // on two lines only, say
		for i := range rows {
			rows[i] = rows[i][:3]
		}
		terms = 3
		c, inverse, rest, ok = fitted(rows, zs, nil)
	}
	if !ok {
		return 0, 0, false
	}
	if spare := len(list) - terms; spare > 0 {
		u = max(u, math.Sqrt(rest/float64(spare)))
	}
	return c[0], u * math.Sqrt(inverse[0][0]), true
}

// fitted is the least-squares fit of few terms: the coefficients, the inverse of the normal matrix, and the weighted sum of squares that is left.
// weights nil counts all alike. ok is false where the rows do not tell the terms.
func fitted(rows [][]float64, values, weights []float64) (c []float64, inverse [][]float64, rest float64, ok bool) {
	n := len(rows[0])
	m := make([][]float64, n)
	right := make([]float64, n)
	for j := range m {
		m[j] = make([]float64, 2*n)
		m[j][n+j] = 1
	}
	weight := func(i int) float64 {
		if weights == nil {
			return 1
		}
		return weights[i]
	}
	for i, r := range rows {
		for j := range n {
			for k := range n {
				m[j][k] += weight(i) * r[j] * r[k]
			}
			right[j] += weight(i) * r[j] * values[i]
		}
	}
	if !invert(m) {
		return nil, nil, 0, false
	}
	c, inverse = make([]float64, n), make([][]float64, n)
	for j := range n {
		inverse[j] = m[j][n:]
		for k := range n {
			c[j] += inverse[j][k] * right[k]
		}
	}
	for i, r := range rows {
		d := values[i]
		for j := range n {
			d -= c[j] * r[j]
		}
		rest += weight(i) * d * d
	}
	return c, inverse, rest, true
}

// invert turns [M | 1] into [1 | M⁻¹] by Gauss and Jordan's way, and tells whether M is regular enough.
func invert(m [][]float64) bool {
	n := len(m)
	least := 0.0
	for k := range n {
		least = max(least, 1e-10*m[k][k])
	}
	for k := range n {
		p := k
		for i := k + 1; i < n; i++ {
			if math.Abs(m[i][k]) > math.Abs(m[p][k]) {
				p = i
			}
		}
		if !(math.Abs(m[p][k]) > least) {
			return false
		}
		m[k], m[p] = m[p], m[k]
		pivot := m[k][k]
		for j := range m[k] {
			m[k][j] /= pivot
		}
		for i := range n {
			if i == k {
				continue
			}
			f := m[i][k]
			for j := range m[i] {
				m[i][j] -= f * m[k][j]
			}
		}
	}
	return true
}

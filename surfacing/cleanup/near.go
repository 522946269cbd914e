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
// order (a plane, where there are fewer than ten readings) that is put through them, the near ones counting most. u is that of one reading. How far such
// a surface may stray from the face shows where the nearest readings are left out in turn: half of that counts, since a place between readings is
// nearer to them than a reading is to its neighbours.
func height(list []spot, u float64) (z, doubt float64, ok bool) {
	if len(list) > 0 && list[0].square <= same*same {
		return list[0].z, u, true
	}
	z, noise, ok := through(list, spot{}, -1)
	if !ok {
		return 0, 0, false
	}
	stray, n := 0.0, 0
	for i := range min(len(list), 4) {
		if other, _, ok := through(list, list[i], i); ok {
			stray, n = stray+square(other-list[i].z), n+1
		}
	}
	if n > 0 {
		stray = math.Sqrt(stray/float64(n)) / 2
	}
	return z, math.Hypot(u*noise, stray), true
}

// through is the height of the surface at a place beside the spots' own, with one of the spots left out (−1: none), and by how much it multiplies the
// noise of the readings.
func through(list []spot, at spot, without int) (z, noise float64, ok bool) {
	var rows [][]float64
	var values, weights []float64
	scale := 0.0
	for _, s := range list {
		scale = math.Max(scale, math.Hypot(s.dx-at.dx, s.dy-at.dy))
	}
	if scale == 0 {
		return 0, 0, false
	}
	for i, s := range list {
		if i == without {
			continue
		}
		x, y := (s.dx-at.dx)/scale, (s.dy-at.dy)/scale
		rows = append(rows, []float64{1, x, y, x * x, x * y, y * y})
		values = append(values, s.z)
		weights = append(weights, 1/square(0.02+x*x+y*y))
	}
	for _, terms := range []int{6, 3} {
		if len(rows) < terms || terms == 6 && len(rows) < 9 {
			continue
		}
		for i := range rows {
			rows[i] = rows[i][:terms]
		}
		c, inverse, _, ok := fitted(rows, values, weights)
		if !ok { // on two lines only, say
			continue
		}
		for i, r := range rows {
			share := 0.0
			for j := range r {
				share += inverse[0][j] * r[j] * weights[i]
			}
			noise += square(share)
		}
		return c[0], math.Sqrt(noise), true
	}
	return 0, 0, false
}

// fitted is the least-squares fit of few terms: the coefficients, the inverse of the normal matrix, and the weighted sum of squares that is left.
// ok is false where the rows do not tell the terms.
func fitted(rows [][]float64, values, weights []float64) (c []float64, inverse [][]float64, rest float64, ok bool) {
	n := len(rows[0])
	m := make([][]float64, n)
	right := make([]float64, n)
	for j := range m {
		m[j] = make([]float64, 2*n)
		m[j][n+j] = 1
	}
	for i, r := range rows {
		for j := range n {
			for k := range n {
				m[j][k] += weights[i] * r[j] * r[k]
			}
			right[j] += weights[i] * r[j] * values[i]
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
		rest += weights[i] * d * d
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

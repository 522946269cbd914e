package wholeface

import (
	"math"

	"slatewright/flatness"
)

// nodePlane has the nodes of a lattice in units of half their extent, for the zone of drawn faces.
type nodePlane struct {
	u, v  []float64
	x, y  []float64 // mm
	start [4]int    // the corners
}

func newNodePlane(l lattice) nodePlane {
	n := l.nodes()
	p := nodePlane{u: make([]float64, n), v: make([]float64, n), x: make([]float64, n), y: make([]float64, n),
		start: [4]int{0, l.ny - 1, n - l.ny, n - 1}}
	for k := range n {
		p.x[k], p.y[k] = l.place(k)
		p.u[k], p.v[k] = p.x[k]/(l.dx*float64(l.nx-1)/2), p.y[k]/(l.dy*float64(l.ny-1)/2)
	}
	return p
}

// mostSwaps is when the search gives up and leaves the zone to package flatness. Random faces take about a dozen.
const mostSwaps = 200

// zone is the least distance of two parallel planes that hold all nodes, measured upright. Drawn faces lie level (the readings
// were turned level before), so it is the minimum zone to within 1e-6 of itself.
//
// It is the linear program "least h with |z − plane| ≤ h", by the dual simplex method: four nodes with signs hold the planes; the
// node that sticks out most comes in, and one of the four leaves.
//
// The search begins with any four nodes that span the plane, and returns the four that hold the zone.
func (p nodePlane) zone(z []float64, at [4]int) (float64, [4]int) {
	side, share, ok := p.balance(at)
	if !ok {
		at = p.start
		side, share, ok = p.balance(at)
	}
	for swaps := 0; ok && swaps < mostSwaps; swaps++ {
		plane, h, solved := p.solve(at, side, z)
		if !solved {
			break
		}
		worst, sign, excess := p.worst(plane, z)
		if excess-h <= 1e-12*(1+math.Abs(h)) {
			return 2 * h, at
		}
		if !p.swap(&at, &side, &share, worst, sign) {
			break
		}
	}
	v, err := flatness.ZoneValue(flatness.Points{X: p.x, Y: p.y, Z: z})
	if err != nil {
		return math.NaN(), p.start
	}
	return v, p.start
}

// worst finds the node farthest from the plane.
func (p nodePlane) worst(plane [3]float64, z []float64) (at int, sign, far float64) {
	u, v := p.u[:len(z)], p.v[:len(z)]
	low := z[0] - plane[0] - plane[1]*u[0] - plane[2]*v[0]
	high := low
	var lowAt, highAt int
	for k, h := range z {
		r := h - plane[0] - plane[1]*u[k] - plane[2]*v[k]
		if r > high {
			high, highAt = r, k
		} else if r < low {
			low, lowAt = r, k
		}
	}
	if high >= -low {
		return highAt, 1, high
	}
	return lowAt, -1, -low
}

// balance finds the signs and shares with which four nodes hold each other: Σ share·side·(1, u, v) = 0, Σ share = 1.
func (p nodePlane) balance(at [4]int) (side, share [4]float64, ok bool) {
	sum := 0.0
	for i := range 4 {
		var m [3][3]float64
		row := 0
		for k := range 4 {
			if k != i {
				m[row] = [3]float64{1, p.u[at[k]], p.v[at[k]]}
				row++
			}
		}
		d := det3(m)
		if i%2 == 1 {
			d = -d
		}
		side[i], share[i] = math.Copysign(1, d), math.Abs(d)
		sum += share[i]
	}
	for i := range share {
		share[i] /= sum
	}
	return side, share, sum > 1e-9
}

func det3(m [3][3]float64) float64 {
	return m[0][0]*(m[1][1]*m[2][2]-m[1][2]*m[2][1]) - m[0][1]*(m[1][0]*m[2][2]-m[1][2]*m[2][0]) + m[0][2]*(m[1][0]*m[2][1]-m[1][1]*m[2][0])
}

// solve finds the plane and the half zone that the four nodes hold: plane + side·h = z at each.
func (p nodePlane) solve(at [4]int, side [4]float64, z []float64) (plane [3]float64, h float64, ok bool) {
	var m [4][5]float64
	for i, k := range at {
		m[i] = [5]float64{1, p.u[k], p.v[k], side[i], z[k]}
	}
	x, ok := solve4(m)
	return [3]float64{x[0], x[1], x[2]}, x[3], ok
}

// swap brings a node in for the one whose share runs out first.
func (p nodePlane) swap(at *[4]int, side, share *[4]float64, in int, sign float64) bool {
	var m [4][5]float64
	for i, k := range at {
		m[0][i], m[1][i], m[2][i], m[3][i] = side[i], side[i]*p.u[k], side[i]*p.v[k], 1
	}
	m[0][4], m[1][4], m[2][4], m[3][4] = sign, sign*p.u[in], sign*p.v[in], 1
	a, ok := solve4(m)
	if !ok {
		return false
	}
	out, step := -1, math.Inf(1)
	for i := range a {
		if a[i] > 1e-11 && share[i]/a[i] < step {
			out, step = i, share[i]/a[i]
		}
	}
	if out < 0 {
		return false
	}
	for i := range share {
		share[i] = math.Max(0, share[i]-step*a[i])
	}
	at[out], side[out], share[out] = in, sign, step
	return true
}

// solve4 solves four equations by elimination with the largest pivot of each column.
func solve4(m [4][5]float64) (x [4]float64, ok bool) {
	for c := range 4 {
		best := c
		for r := c + 1; r < 4; r++ {
			if math.Abs(m[r][c]) > math.Abs(m[best][c]) {
				best = r
			}
		}
		if math.Abs(m[best][c]) < 1e-13 {
			return x, false
		}
		m[c], m[best] = m[best], m[c]
		for r := c + 1; r < 4; r++ {
			f := m[r][c] / m[c][c]
			for k := c; k < 5; k++ {
				m[r][k] -= f * m[c][k]
			}
		}
	}
	for c := 3; c >= 0; c-- {
		v := m[c][4]
		for k := c + 1; k < 4; k++ {
			v -= m[c][k] * x[k]
		}
		x[c] = v / m[c][c]
	}
	return x, true
}

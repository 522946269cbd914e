package fit

import "math"

// disc is the smallest circle about points, with the points that hold it: shares > 0 that sum to 1, with which the unit vectors from the middle
// to those points cancel. Through them the radius is a bound for every other middle.
type disc struct {
	middle  Vector
	radius  float64
	holders []int
	shares  []float64
}

// enclose finds the smallest circle about the points (Welzl's incremental method, without chance: the point that lies furthest outside comes to the front).
func enclose(p []Vector) disc {
	order := make([]int, len(p))
	for i := range order {
		order[i] = i
	}
	d := of(p, []int{order[0]})
	for range 64 * len(p) { // each round the radius grows; far fewer are ever needed
		far, by := -1, 0.0
		for k, i := range order {
			if out := p[i].minus(d.middle).Size() - d.radius; out > by {
				far, by = k, out
			}
		}
		if far < 0 || by <= 1e-14*(d.radius+d.middle.Size()) {
			break
		}
		next := tighten(p, append(d.holders[:len(d.holders):len(d.holders)], order[far]))
		if next.radius <= d.radius {
			break // rounding alone is left
		}
		d = next
	}
	return d
}

// tighten finds the smallest circle about at most four points, by trying every two and every three of them: the one from whose middle the furthest of them is nearest. It
// may leave a point outside by what rounding does.
func tighten(p []Vector, of4 []int) disc {
	best, least := disc{}, math.Inf(1)
	try := func(holders ...int) {
		d := of(p, holders)
		if math.IsInf(d.radius, 0) {
			return
		}
		var far float64
		for _, i := range of4 {
			far = math.Max(far, p[i].minus(d.middle).Size())
		}
		if far < least {
			best, least = d, far
		}
	}
	for a := range of4 {
		for b := range a {
			try(of4[b], of4[a])
			for c := range b {
				try(of4[c], of4[b], of4[a])
			}
		}
	}
	return best
}

// of is the circle that the holders hold, of infinite radius where three of them do not.
func of(p []Vector, holders []int) disc {
	switch len(holders) {
	case 1:
		return disc{middle: p[holders[0]], holders: holders, shares: []float64{1}}
	case 2:
		a, b := p[holders[0]], p[holders[1]]
		return disc{a.plus(b).times(0.5), a.minus(b).Size() / 2, holders, []float64{0.5, 0.5}}
	}
	a, b, c := p[holders[0]], p[holders[1]], p[holders[2]]
	u, v := b.minus(a), c.minus(a)
	twice := 2 * u.cross(v)
	uu, vv := u.dot(u), v.dot(v)
	m := Vector{(uu*v.Y - vv*u.Y) / twice, (vv*u.X - uu*v.X) / twice}
	// The middle as a mean of the three with the sines of twice the angles; all positive where the triangle is acute.
	x, y, z := v.minus(u), v, u
	share := [3]float64{x.dot(x) * y.dot(z), -y.dot(y) * x.dot(z), z.dot(z) * x.dot(y)}
	sum := share[0] + share[1] + share[2]
	if !(share[0] > 0 && share[1] > 0 && share[2] > 0) || math.IsNaN(m.X+m.Y) || math.IsInf(m.X+m.Y, 0) {
		return disc{radius: math.Inf(1)}
	}
	return disc{a.plus(m), m.Size(), holders, []float64{share[0] / sum, share[1] / sum, share[2] / sum}}
}

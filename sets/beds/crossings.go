package beds

import (
	"math"
	"sort"
)

// side is an edge of a piece at a joint: sign is −1 when the piece lies turned, tilt is the most that the piece may be tilted.
type side struct {
	*edge
	sign, tilt float64
}

// headSide is the edge that a piece on the head side of a joint shows, footSide that of a piece on the foot side.
func (p *piece) headSide(turned bool) side {
	if turned {
		return side{&p.edges[0], -1, p.tilt}
	}
	return side{&p.edges[1], 1, p.tilt}
}

func (p *piece) footSide(turned bool) side {
	if turned {
		return side{&p.edges[1], -1, p.tilt}
	}
	return side{&p.edges[0], 1, p.tilt}
}

// meet appends the stations of a joint to list: the stations of both edges within their overlap, by the same rules as package
// seating. Of two that stand closer than a thousandth of a millimetre the first is kept: seen from the other end that is the other one, and
// skew is how much the step can differ there, mm; 0: the joint is the same from both ends. An empty answer: no joint is known.
func meet(list []crossing, head, foot side) (out []crossing, skew float64) {
	n, m := len(head.y), len(foot.y)
	if n < 2 || m < 2 {
		return nil, 0
	}
	lo := max(head.low(), foot.low()) - 1e-6
	hi := min(head.high(), foot.high()) + 1e-6
	last := math.Inf(-1)
	for i, j := 0, 0; i < n || j < m; {
		var y float64
		if a, b := head.at(i), foot.at(j); a <= b {
			y = a
			i++
		} else {
			y = b
			j++
		}
		switch {
		case y < lo || y > hi:
		case y-last >= 1e-3:
			last = y
			list = append(list, between(head, foot, y))
		case y-last > 1e-9:
			skew = max(skew, between(head, foot, y).apart(list[len(list)-1], head.tilt, foot.tilt))
		}
	}
	return list, skew
}

// between is the station at y of the bed.
func between(head, foot side, y float64) crossing {
	hu, hv, hz := head.read(head.sign * y)
	fu, fv, fz := foot.read(foot.sign * y)
	return crossing{z: fz - hz, headU: hu, headV: hv, footU: fu, footV: fv}
}

// apart bounds how much the steps at two stations can differ.
func (c crossing) apart(d crossing, headTilt, footTilt float64) float64 {
	return math.Abs(c.z-d.z) + headTilt*(math.Abs(c.headU-d.headU)+math.Abs(c.headV-d.headV)) +
		footTilt*(math.Abs(c.footU-d.footU)+math.Abs(c.footV-d.footV)) + 1e-15
}

// at is the i-th station in rising y of the bed; +Inf beyond the last.
func (s side) at(i int) float64 {
	n := len(s.y)
	switch {
	case i >= n:
		return math.Inf(1)
	case s.sign < 0:
		return -s.y[n-1-i]
	}
	return s.y[i]
}

func (s side) low() float64  { return s.at(0) }
func (s side) high() float64 { return s.at(len(s.y) - 1) }

// read is the edge at y of the piece's own frame: a knot, or the straight line between two.
func (e *edge) read(y float64) (u, v, z float64) {
	n := len(e.y)
	i := sort.SearchFloat64s(e.y, y)
	switch {
	case i < n && e.y[i]-y < 1e-6:
		return e.u[i], e.v[i], e.z[i]
	case i == n:
		return e.u[n-1], e.v[n-1], e.z[n-1]
	case i == 0:
		return e.u[0], e.v[0], e.z[0]
	}
	t := (y - e.y[i-1]) / (e.y[i] - e.y[i-1])
	mix := func(a []float64) float64 { return (1-t)*a[i-1] + t*a[i] }
	return mix(e.u), mix(e.v), mix(e.z)
}

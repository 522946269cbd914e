package flatness

import "math"

// vector is a point or a direction in space.
type vector [3]float64

func (a vector) minus(b vector) vector { return vector{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }

func (a vector) plus(b vector) vector { return vector{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }

func (a vector) times(k float64) vector { return vector{a[0] * k, a[1] * k, a[2] * k} }

// dot is the inner product, summed x, y, z.
func (a vector) dot(b vector) float64 {
	return float64(a[0]*b[0]) + float64(a[1]*b[1]) + float64(a[2]*b[2])
}

func (a vector) cross(b vector) vector {
	return vector{
		float64(a[1]*b[2]) - float64(a[2]*b[1]),
		float64(a[2]*b[0]) - float64(a[0]*b[2]),
		float64(a[0]*b[1]) - float64(a[1]*b[0]),
	}
}

// length is the Euclidean length; it neither overflows nor underflows before its parts do.
func (a vector) length() float64 {
	m := max(math.Abs(a[0]), math.Abs(a[1]), math.Abs(a[2]))
	if m == 0 {
		return 0
	}
	b := vector{a[0] / m, a[1] / m, a[2] / m}
	return m * math.Sqrt(b.dot(b))
}

// unit returns a scaled to length 1; a must not be 0.
func (a vector) unit() vector {
	l := a.length()
	return vector{a[0] / l, a[1] / l, a[2] / l}
}

// upward returns a or −a, whichever has z > 0 (if z is 0 then y > 0, if that is 0 too then x > 0), and whether it was
// turned. No coordinate is −0.
func (a vector) upward() (up vector, turned bool) {
	for i := 2; i >= 0 && !turned && !(a[i] > 0); i-- {
		turned = a[i] < 0
	}
	for i, x := range a {
		up[i] = x + 0
		if turned {
			up[i] = 0 - x
		}
	}
	return up, turned
}

// frame is a right-handed set of unit vectors: e1 and e2 in a plane, n normal to it.
type frame struct{ e1, e2, n vector }

// turned returns the frame whose normal is n + p·(−e1) + q·(−e2), the normal of the plane w = p·u + q·v of this frame.
func (f frame) turned(p, q float64) frame {
	n := f.n.minus(f.e1.times(p)).minus(f.e2.times(q)).unit()
	return f.facing(n)
}

// facing returns the frame with unit normal n whose e1 is near to f's.
func (f frame) facing(n vector) frame {
	e := f.e1
	if math.Abs(n.dot(e)) > 0.9 {
		e = f.e2
		if math.Abs(n.dot(e)) > 0.9 {
			e = f.n
		}
	}
	e1 := e.minus(n.times(n.dot(e))).unit()
	return frame{e1: e1, e2: n.cross(e1), n: n}
}

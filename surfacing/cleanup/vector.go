package cleanup

import "math"

// vector is a point or a direction in space.
type vector [3]float64

func (a vector) minus(b vector) vector  { return vector{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func (a vector) plus(b vector) vector   { return vector{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func (a vector) times(k float64) vector { return vector{a[0] * k, a[1] * k, a[2] * k} }
func (a vector) dot(b vector) float64   { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func (a vector) length() float64        { return math.Sqrt(a.dot(a)) }
func (a vector) finite() bool           { s := a[0] + a[1] + a[2]; return s-s == 0 }
func (a vector) unit() vector           { return a.times(1 / a.length()) }
func (a vector) cross(b vector) (c vector) {
	return vector{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// frame is a right-handed set of unit vectors, n normal to the planes that are looked for.
type frame struct{ e1, e2, n vector }

// frameOf is the frame with the normal n, which is nowhere near horizontal, and e1 as near to x as can be.
func frameOf(n vector) frame {
	x := vector{1, 0, 0}
	e1 := x.minus(n.times(x.dot(n))).unit()
	return frame{e1, n.cross(e1), n}
}

// turned is the normal of the plane that rises by p along e1 and by q along e2.
func (f frame) turned(p, q float64) vector {
	return f.n.minus(f.e1.times(p)).minus(f.e2.times(q)).unit()
}

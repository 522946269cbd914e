package fit

import (
	"math"

	"slatewright/trouble"
)

// Circle is a circle through points on a rim, by least squares of their distances from it.
type Circle struct {
	Middle  Vector
	Radius  float64
	Squares float64 // Σ distance², mm²
	Form    float64 // from the point furthest inside to the one furthest outside, mm
	// U is the standard uncertainty of each coordinate of the middle in its worst direction, and URadius that of the radius: by the uncertainty of
	// the points, or by their own scatter about the circle where that is larger.
	U, URadius float64
}

// Round fits a circle to points with the standard uncertainty u of each coordinate (0 where it is not known: then scatter alone counts). It starts at the linear fit of
// Kåsa and at that of Taubin's moment, takes damped Gauss–Newton steps (W. Gander, G. H. Golub and R. Strebel, BIT 34, 1994, 558–578), and keeps the better end. Errors are
// *trouble.Trouble: fewer than three points, or points in a line.
func Round(points []Vector, u float64) (*Circle, error) {
	if len(points) < 3 {
		return nil, trouble.Data("too-few-points", "", trouble.Count(len(points), "point on the rim does not make a circle", "points on the rim do not make a circle"), "measure three points or more, spread round the rim")
	}
	var middle Vector
	for _, p := range points {
		middle = middle.plus(p.times(1 / float64(len(points))))
	}
	about := make([]Vector, len(points))
	var size float64
	for i, p := range points {
		about[i] = p.minus(middle)
		size = math.Max(size, about[i].Size())
	}
	start, ok := kasa(about, size)
	if !ok {
		return nil, trouble.Data("in-line", "", "the points on the rim lie in a line or in one place", "measure points that are spread round the rim")
	}
	c := polish(about, climb(about, start))
	// Kåsa's circle is too small on a short arc, so the search begins once more from further out.
	far := start
	far.Middle = far.Middle.times(2)
	far.Radius = meanDistance(about, far.Middle)
	if other := polish(about, climb(about, far)); other.Squares < c.Squares {
		c = other
	}
	if !(c.Radius < 1e4*size) {
		return nil, trouble.Data("in-line", "", "the points on the rim lie in a line", "measure points that are spread round the rim")
	}
	if c.doubt(about, u); math.IsInf(c.U, 0) {
		return nil, trouble.Data("short-arc", "", "the points on the rim do not show where its middle is", "measure points that are spread round the rim")
	}
	c.Middle = c.Middle.plus(middle)
	return &c, nil
}

// kasa solves the linear problem |p|² = 2 m·p + k about the middle of the points.
func kasa(p []Vector, size float64) (Circle, bool) {
	var xx, xy, yy, xz, yz, z float64
	for _, q := range p {
		s := q.dot(q)
		xx, xy, yy = xx+q.X*q.X, xy+q.X*q.Y, yy+q.Y*q.Y
		xz, yz, z = xz+q.X*s, yz+q.Y*s, z+s
	}
	det := xx*yy - xy*xy
	if n := float64(len(p)); !(det > 1e-12*n*n*size*size*size*size) {
		return Circle{}, false
	}
	m := Vector{(xz*yy - yz*xy) / (2 * det), (yz*xx - xz*xy) / (2 * det)}
	return Circle{Middle: m, Radius: math.Sqrt(z/float64(len(p)) + m.dot(m))}, true
}

func meanDistance(p []Vector, m Vector) (r float64) {
	for _, q := range p {
		r += q.minus(m).Size() / float64(len(p))
	}
	return r
}

func squares(p []Vector, c Circle) (sum float64) {
	for _, q := range p {
		d := q.minus(c.Middle).Size() - c.Radius
		sum += d * d
	}
	return sum
}

// climb takes damped Gauss–Newton steps until they are too small to matter.
func climb(p []Vector, c Circle) Circle {
	c.Squares = squares(p, c)
	damp := 1e-3
	for range 200 {
		normal, right := normals(p, c)
		for k := range 3 {
			normal[k][k] += damp * float64(len(p))
		}
		step, ok := solve3(normal, right)
		if !ok {
			return c
		}
		next := Circle{Middle: c.Middle.plus(Vector{step[0], step[1]}), Radius: c.Radius + step[2]}
		next.Squares = squares(p, next)
		if next.Squares > c.Squares {
			if damp *= 8; damp > 1e12 {
				return c
			}
			continue
		}
		damp /= 5
		moved := math.Abs(step[0]) + math.Abs(step[1]) + math.Abs(step[2])
		c = next
		if moved < 1e-13*c.Radius {
			return c
		}
	}
	return c
}

// polish takes Newton's own steps, with the curvature of the distances, while each is shorter than the one before: the sum of squares is too flat at its end to
// tell more than half the digits.
func polish(p []Vector, c Circle) Circle {
	last := math.Inf(1)
	for range 20 {
		m, right := normals(p, c)
		for _, q := range p {
			n := q.minus(c.Middle)
			size := n.Size()
			if size == 0 {
				continue
			}
			off := (size - c.Radius) / size
			n = n.times(1 / size)
			m[0][0] += off * n.Y * n.Y
			m[1][1] += off * n.X * n.X
			m[0][1] -= off * n.X * n.Y
			m[1][0] -= off * n.X * n.Y
		}
		step, ok := solve3(m, right)
		moved := math.Abs(step[0]) + math.Abs(step[1]) + math.Abs(step[2])
		if !ok || !(moved < last) {
			break
		}
		c.Middle, c.Radius, last = c.Middle.plus(Vector{step[0], step[1]}), c.Radius+step[2], moved
	}
	c.Squares = squares(p, c)
	return c
}

// normals are JᵀJ and Jᵀd of the distances in middle and radius.
func normals(p []Vector, c Circle) (m [3][3]float64, right [3]float64) {
	for _, q := range p {
		n := q.minus(c.Middle)
		size := n.Size()
		if size == 0 {
			continue
		}
		row := [3]float64{n.X / size, n.Y / size, 1}
		for i := range 3 {
			right[i] += row[i] * (size - c.Radius)
			for j := range 3 {
				m[i][j] += row[i] * row[j]
			}
		}
	}
	return m, right
}

// solve3 solves a positive definite system by Cholesky's factors.
func solve3(m [3][3]float64, b [3]float64) (x [3]float64, ok bool) {
	var l [3][3]float64
	for i := range 3 {
		for j := range i + 1 {
			s := m[i][j]
			for k := range j {
				s -= l[i][k] * l[j][k]
			}
			if i == j {
				if !(s > 1e-14*m[i][i]) {
					return x, false
				}
				l[i][i] = math.Sqrt(s)
			} else {
				l[i][j] = s / l[j][j]
			}
		}
	}
	for i := range 3 {
		s := b[i]
		for k := range i {
			s -= l[i][k] * x[k]
		}
		x[i] = s / l[i][i]
	}
	for i := 2; i >= 0; i-- {
		s := x[i]
		for k := i + 1; k < 3; k++ {
			s -= l[k][i] * x[k]
		}
		x[i] = s / l[i][i]
	}
	return x, true
}

// doubt sets form and uncertainties. The variance of the middle in its worst direction is the larger eigenvalue of its covariance.
func (c *Circle) doubt(p []Vector, u float64) {
	low, high := math.Inf(1), math.Inf(-1)
	for _, q := range p {
		d := q.minus(c.Middle).Size() - c.Radius
		low, high = math.Min(low, d), math.Max(high, d)
	}
	c.Form = high - low
	if n := len(p); n > 3 {
		u = math.Max(u, math.Sqrt(c.Squares/float64(n-3)))
	}
	normal, _ := normals(p, *c)
	var inverse [3][3]float64
	for k := range 3 {
		var unit [3]float64
		unit[k] = 1
		column, ok := solve3(normal, unit)
		if !ok {
			c.U, c.URadius = math.Inf(1), math.Inf(1)
			return
		}
		inverse[k] = column
	}
	half, across := (inverse[0][0]+inverse[1][1])/2, math.Hypot((inverse[0][0]-inverse[1][1])/2, inverse[0][1])
	c.U, c.URadius = u*math.Sqrt(half+across), u*math.Sqrt(inverse[2][2])
}

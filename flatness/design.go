package flatness

import (
	"fmt"
	"math"
)

// design is the readings as the fit of the shape sees them.
type design struct {
	p              Points
	sizeX, sizeY   float64
	scaleX, scaleY float64 // 2/size
	z0             float64 // taken off every height, so that a large one does not drown the shape
	x0, x1, y0, y1 float64 // outermost readings
}

func newDesign(p Points, sizeX, sizeY float64) *design {
	d := &design{p: p, sizeX: sizeX, sizeY: sizeY, z0: p.Z[0], scaleX: 2 / sizeX, scaleY: 2 / sizeY,
		x0: p.X[0], x1: p.X[0], y0: p.Y[0], y1: p.Y[0]}
	for i, x := range p.X {
		d.x0, d.x1 = min(d.x0, x), max(d.x1, x)
		d.y0, d.y1 = min(d.y0, p.Y[i]), max(d.y1, p.Y[i])
	}
	return d
}

// beyond is how far readings may lie outside the piece before the size or the origin is doubted, mm: a tip's radius.
const beyond = 2

// warn says where the readings do not suit the size.
func (d *design) warn(s *Shape) {
	out := 0
	halfX, halfY := float64(d.sizeX/2), float64(d.sizeY/2)
	for i, x := range d.p.X {
		if math.Abs(x) > halfX+beyond || math.Abs(d.p.Y[i]) > halfY+beyond {
			out++
		}
	}
	if out > 0 {
		s.Warnings = append(s.Warnings, fmt.Sprintf("%d of %d readings lie outside the piece: is its size right, and the origin "+
			"in the middle?", out, d.p.Len()))
	}
	s.EdgeUnread = max(0, halfX-d.x1, d.x0+halfX, halfY-d.y1, d.y0+halfY)
}

// The columns of the fit: the powers of u = 2x/Lx and v = 2y/Ly that the shape is made of (bow along is minus the
// coefficient of u², bow across minus that of v²), and 1 for a reading in the outer ring.
const (
	columnOne = iota
	columnU
	columnV
	columnUU
	columnVV
	columnUV
	columnRing
	columns
)

// shapeColumns are those of the shape; the ring is not one of them.
const shapeColumns = columnRing

// power gives the powers of u and v of each column of the shape.
var power = [shapeColumns][2]int{{0, 0}, {1, 0}, {0, 1}, {2, 0}, {0, 2}, {1, 1}}

// columnName is what a term is called where it cannot be told.
var columnName = [columns]string{"height", "tilt in x", "tilt in y", "bow along", "bow across", "twist", "edge roll-off"}

// ring reports whether a reading lies in the outer ring.
func (d *design) ring(x, y float64) bool {
	return x <= d.x0+ringWidth || x >= d.x1-ringWidth || y <= d.y0+ringWidth || y >= d.y1-ringWidth
}

// equations are the normal equations of all columns: AᵀA and Aᵀz.
type equations struct {
	gram  [columns][columns]float64
	right [columns]float64
}

// normal sums the normal equations.
func (d *design) normal() equations {
	const right, ring, width = 25, 25 + shapeColumns, 25 + 2*shapeColumns + 1
	s := sums(d.p.Len(), width, func(s []float64, lo, hi int) {
		d.addMoments(s, lo, hi)
		d.addRight(s[right:ring], s[ring:], lo, hi)
	})
	var e equations
	for r := range shapeColumns {
		for c := range shapeColumns {
			e.gram[r][c] = s[5*(power[r][0]+power[c][0])+power[r][1]+power[c][1]]
		}
		e.right[r] = s[right+r]
		e.gram[r][columnRing], e.gram[columnRing][r] = s[ring+r], s[ring+r]
	}
	e.gram[columnRing][columnRing] = s[ring]
	e.right[columnRing] = s[width-1]
	return e
}

// addMoments sums the moments Σ uⁱvʲ up to the fourth, moment (i, j) in place 5i + j.
func (d *design) addMoments(s []float64, lo, hi int) {
	var s10, s01, s20, s11, s02, s30, s21, s12, s03, s40, s31, s22, s13, s04 float64
	for i := lo; i < hi; i++ {
		u, v := float64(d.p.X[i]*d.scaleX), float64(d.p.Y[i]*d.scaleY)
		uu, uv, vv := u*u, u*v, v*v
		s10 += u
		s01 += v
		s20 += float64(u * u)
		s11 += float64(u * v)
		s02 += float64(v * v)
		s30 += float64(uu * u)
		s21 += float64(uu * v)
		s12 += float64(u * vv)
		s03 += float64(vv * v)
		s40 += float64(uu * uu)
		s31 += float64(uu * uv)
		s22 += float64(uu * vv)
		s13 += float64(uv * vv)
		s04 += float64(vv * vv)
	}
	all := [25]float64{
		float64(hi - lo), s01, s02, s03, s04,
		s10, s11, s12, s13, 0,
		s20, s21, s22, 0, 0,
		s30, s31, 0, 0, 0,
		s40,
	}
	for k, x := range all {
		s[k] += x
	}
}

// addRight sums the columns times the heights, and for the readings of the ring the columns and the heights themselves.
func (d *design) addRight(right, ring []float64, lo, hi int) {
	var r [shapeColumns]float64
	for i := lo; i < hi; i++ {
		x, y, z := d.p.X[i], d.p.Y[i], d.p.Z[i]-d.z0
		u, v := float64(x*d.scaleX), float64(y*d.scaleY)
		uz, vz := u*z, v*z
		r[columnOne] += z
		r[columnU] += float64(u * z)
		r[columnV] += float64(v * z)
		r[columnUU] += float64(uz * u)
		r[columnVV] += float64(vz * v)
		r[columnUV] += float64(uz * v)
		if d.ring(x, y) {
			ring[columnOne]++
			ring[columnU] += u
			ring[columnV] += v
			ring[columnUU] += float64(u * u)
			ring[columnVV] += float64(v * v)
			ring[columnUV] += float64(u * v)
			ring[shapeColumns] += z
		}
	}
	for c, x := range r {
		right[c] += x
	}
}

// row is the row of the design of reading i.
func (d *design) row(i int) [columns]float64 {
	u, v := float64(d.p.X[i]*d.scaleX), float64(d.p.Y[i]*d.scaleY)
	row := [columns]float64{1, u, v, float64(u * u), float64(v * v), float64(u * v)}
	if d.ring(d.p.X[i], d.p.Y[i]) {
		row[columnRing] = 1
	}
	return row
}

// residuals is what a fit leaves: sum of squares, smallest and largest with the first reading that has it, and Aᵀ times what
// is left.
type residuals struct {
	sum, least, most float64
	lowest, highest  int
	right            [columns]float64
}

// left measures what the fit leaves.
func (d *design) left(f *fit) residuals {
	each := make([]residuals, blocks(d.p.Len()))
	share(d.p.Len(), func(lo, hi int) {
		for ; lo < hi; lo += block {
			each[lo/block] = d.leftOf(f, lo, min(lo+block, hi))
		}
	})
	all := each[0]
	for _, r := range each[1:] {
		if r.least < all.least {
			all.least, all.lowest = r.least, r.lowest
		}
		if r.most > all.most {
			all.most, all.highest = r.most, r.highest
		}
		all.sum += r.sum
		for c, x := range r.right {
			all.right[c] += x
		}
	}
	return all
}

// leftOf measures what the fit leaves at the readings lo to hi−1.
func (d *design) leftOf(f *fit, lo, hi int) residuals {
	var square, one, su, sv, suu, svv, suv, ring float64
	c, cu, cv, cuu, cvv, cuv, cring := f.x[0], f.x[1], f.x[2], f.x[3], f.x[4], f.x[5], f.x[6]
	withRing := f.width == columns
	left := residuals{least: math.Inf(1), most: math.Inf(-1)}
	for i := lo; i < hi; i++ {
		x, y := d.p.X[i], d.p.Y[i]
		u, v := float64(x*d.scaleX), float64(y*d.scaleY)
		r := d.p.Z[i] - d.z0 - c - float64(cu*u) - float64(cv*v) -
			float64(cuu*u*u) - float64(cvv*v*v) - float64(cuv*u*v)
		if withRing && d.ring(x, y) {
			r -= cring
			ring += r
		}
		if r < left.least {
			left.least, left.lowest = r, i
		}
		if r > left.most {
			left.most, left.highest = r, i
		}
		ur, vr := u*r, v*r
		square += float64(r * r)
		one += r
		su += float64(u * r)
		sv += float64(v * r)
		suu += float64(ur * u)
		svv += float64(vr * v)
		suv += float64(ur * v)
	}
	left.sum, left.right = square, [columns]float64{one, su, sv, suu, svv, suv, ring}
	return left
}

// refine improves the fit once by fitting what it leaves, which makes up for the squaring of the condition in the normal
// equations (Björck, Numerical Methods for Least Squares Problems, §2.9), and returns what is left then.
func (d *design) refine(f *fit) residuals {
	r := d.left(f)
	step := f.back(r.right)
	for c := range f.x {
		f.x[c] += step[c]
	}
	return d.left(f)
}

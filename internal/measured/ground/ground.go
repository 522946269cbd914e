// Package ground knows the surface between the readings of a face: how high it is at a place, over the cells of a grid, and under a line,
// and how a rigid straightedge would lie on it there. What was not read stays not a number: nothing is made up beyond it.
//
// The surface is a mesh of package contour, taken as flat triangles. The package measures no flatness, knows no pieces, gravity or
// doubt, and a straightedge of its own weight and bending is beyond it.
package ground

import (
	"math"

	"slatewright/internal/picture/contour"
)

// triangle is half of a mesh cell with all corners read.
type triangle [3]corner

type corner struct{ x, y, z float64 }

// triangles calls each with every triangle of a mesh: two for each cell whose four corners were read.
func triangles(m contour.Mesh, each func(triangle)) {
	at := func(i, j int) corner {
		k := i*m.NY + j
		return corner{m.X[k], m.Y[k], m.Z[k]}
	}
	for i := range m.NX - 1 {
		for j := range m.NY - 1 {
			a, b, c, d := at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)
			if math.IsNaN(a.z + b.z + c.z + d.z) {
				continue
			}
			each(triangle{a, b, c})
			each(triangle{a, c, d})
		}
	}
}

// height is the height of the triangle's plane at a place; ok is false outside of it.
func (t triangle) height(x, y float64) (z float64, ok bool) {
	a, b, c := t[0], t[1], t[2]
	area := (b.x-a.x)*(c.y-a.y) - (b.y-a.y)*(c.x-a.x)
	if area == 0 {
		return 0, false
	}
	u := ((x-a.x)*(c.y-a.y) - (y-a.y)*(c.x-a.x)) / area // share of b
	v := ((b.x-a.x)*(y-a.y) - (b.y-a.y)*(x-a.x)) / area // share of c
	const rounding = 1e-9
	if u < -rounding || v < -rounding || u+v > 1+rounding {
		return 0, false
	}
	return a.z + u*(b.z-a.z) + v*(c.z-a.z), true
}

// span is the triangle's rectangle.
func (t triangle) span() Box {
	return Box{min(t[0].x, t[1].x, t[2].x), max(t[0].x, t[1].x, t[2].x), min(t[0].y, t[1].y, t[2].y), max(t[0].y, t[1].y, t[2].y)}
}

// HeightAt is the height of a mesh at one place, NaN where it was not read.
func HeightAt(m contour.Mesh, x, y float64) float64 {
	found := math.NaN()
	triangles(m, func(t triangle) {
		if s := t.span(); x < s.MinX-1e-6 || x > s.MaxX+1e-6 || y < s.MinY-1e-6 || y > s.MaxY+1e-6 {
			return
		}
		if z, ok := t.height(x, y); ok {
			found = z
		}
	})
	return found
}

// Box is where the edges of a piece are, mm.
type Box struct{ MinX, MaxX, MinY, MaxY float64 }

// Grid is equal cells over a box, counted from its −x −y corner; cell (i, j) is number i·NY + j.
type Grid struct {
	Box
	NX, NY int
}

// Cell is the size of a cell.
func (g Grid) Cell() (w, h float64) {
	return (g.MaxX - g.MinX) / float64(g.NX), (g.MaxY - g.MinY) / float64(g.NY)
}

// Middle is the middle of a cell.
func (g Grid) Middle(i, j int) (x, y float64) {
	w, h := g.Cell()
	return g.MinX + (float64(i)+0.5)*w, g.MinY + (float64(j)+0.5)*h
}

// Number is the cell that holds a place, −1 outside.
func (g Grid) Number(x, y float64) int {
	if !(x >= g.MinX && x <= g.MaxX && y >= g.MinY && y <= g.MaxY) {
		return -1
	}
	w, h := g.Cell()
	return min(g.NX-1, int((x-g.MinX)/w))*g.NY + min(g.NY-1, int((y-g.MinY)/h))
}

// Sampled is the height of a mesh in the middle of each cell, NaN where it was not read.
func (g Grid) Sampled(m contour.Mesh) []float64 {
	z := make([]float64, g.NX*g.NY)
	for k := range z {
		z[k] = math.NaN()
	}
	w, h := g.Cell()
	first := func(v, low, step float64) int { return max(0, int(math.Ceil((v-low)/step-0.5-1e-9))) }
	last := func(v, low, step float64, n int) int { return min(n-1, int(math.Floor((v-low)/step-0.5+1e-9))) }
	triangles(m, func(t triangle) {
		s := t.span()
		for i := first(s.MinX, g.MinX, w); i <= last(s.MaxX, g.MinX, w, g.NX); i++ {
			for j := first(s.MinY, g.MinY, h); j <= last(s.MaxY, g.MinY, h, g.NY); j++ {
				if height, ok := t.height(g.Middle(i, j)); ok {
					z[i*g.NY+j] = height
				}
			}
		}
	})
	return z
}

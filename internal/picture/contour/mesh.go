package contour

import (
	"fmt"
	"math"

	"slatewright/trouble"
)

// Points are readings of one piece: three lists of equal length, mm.
type Points struct{ X, Y, Z []float64 }

// Mesh is a sheet of NX by NY nodes, x growing with the first index and y with the second. Node (i, j) stands at index
// i·NY + j. A height of NaN means: not read here.
type Mesh struct {
	NX, NY  int
	X, Y, Z []float64
	Method  string // how heights between the readings were found, as a phrase for the paper
}

// The phrases that say how heights between readings were found.
const (
	MethodColumns = "monotone cubic curves, nowhere higher or lower than the readings around"
	MethodCells   = "means of the readings in square cells"
	MethodPlanes  = "a weighted plane through the readings nearby, exact at each reading"
)

// A piece with more readings than these is drawn by the means of cells: a grid when it has more readings than the map has
// nodes, scattered readings earlier, because the weighted planes look at all readings for every node.
const (
	denseGrid      = 20_000
	denseScattered = 5_000
)

// Interpolate makes the mesh of one piece from its readings, with nodes at most about spacing mm apart.
//
//  1. At a reading of a column or row the surface is that reading; on a grid a node stands on it.
//  2. Between columns of one length no height lies outside the heights of the four readings around it.
//  3. A plane comes out as that plane.
//  4. No node lies outside the convex hull of the readings.
//
// Readings in columns or rows (a grid, with or without joint rows) use monotone cubics; very many readings use the means of
// cells; anything else a weighted plane. Fewer than four readings, or all on one line, is an error.
func Interpolate(p Points, spacing float64) (Mesh, error) {
	if err := p.check(); err != nil {
		return Mesh{}, err
	}
	if !(spacing > 0) {
		return Mesh{}, trouble.Own("bad-spacing", "contour", fmt.Sprintf("a node spacing of %g mm", spacing), "give a positive spacing")
	}
	if len(p.Z) <= denseGrid {
		if cols, ok := columns(p.X, p.Y, p.Z); ok {
			return sheet(cols, spacing), nil
		}
		if rows, ok := columns(p.Y, p.X, p.Z); ok {
			return sheet(rows, spacing).turned(), nil
		}
	}
	if len(p.Z) > denseScattered {
		return cells(p, spacing), nil
	}
	return planes(p, spacing), nil
}

func (p Points) check() error {
	if len(p.X) != len(p.Z) || len(p.Y) != len(p.Z) {
		return trouble.Own("bad-points", "contour", fmt.Sprintf("%d, %d and %d coordinates", len(p.X), len(p.Y), len(p.Z)), "give as many x as y as z")
	}
	for i := range p.Z {
		if s := p.X[i] + p.Y[i] + p.Z[i]; math.IsNaN(s) || math.IsInf(s, 0) {
			return trouble.Own("bad-points", "contour", fmt.Sprintf("reading %d is not a finite number", i), "leave gaps out of the readings")
		}
	}
	if len(p.Z) < 4 || p.onOneLine() {
		return trouble.Data("too-few-points", "contour", fmt.Sprintf("%d readings that span no area make no map", len(p.Z)), "read at least four places that are not on one line")
	}
	return nil
}

// onOneLine says whether the readings span no area: all lie on the line from the first to the one farthest from it.
func (p Points) onOneLine() bool {
	first, far := Point{p.X[0], p.Y[0]}, Point{p.X[0], p.Y[0]}
	for i := range p.X {
		if q := (Point{p.X[i], p.Y[i]}); dist(first, q) > dist(first, far) {
			far = q
		}
	}
	for i := range p.X {
		if cross(first, far, Point{p.X[i], p.Y[i]}) != 0 {
			return false
		}
	}
	return true
}

// turned exchanges x and y.
func (m Mesh) turned() Mesh {
	out := Mesh{NX: m.NY, NY: m.NX, Method: m.Method, X: make([]float64, len(m.X)), Y: make([]float64, len(m.X)), Z: make([]float64, len(m.X))}
	for i := range m.NX {
		for j := range m.NY {
			from, to := i*m.NY+j, j*out.NY+i
			out.X[to], out.Y[to], out.Z[to] = m.Y[from], m.X[from], m.Z[from]
		}
	}
	return out
}

// Range returns the lowest and highest node; NaN, NaN when nothing was read.
func (m Mesh) Range() (low, high float64) {
	low, high = math.NaN(), math.NaN()
	for _, z := range m.Z {
		if !math.IsNaN(z) {
			low, high = math.Min(orSelf(low, z), z), math.Max(orSelf(high, z), z)
		}
	}
	return low, high
}

func orSelf(v, z float64) float64 {
	if math.IsNaN(v) {
		return z
	}
	return v
}

// Lowest and Highest return where the mesh is lowest and highest; ok is false when nothing was read.
func (m Mesh) Lowest() (at Point, z float64, ok bool) { return m.extreme(-1) }

// Highest returns where the mesh is highest; see Lowest.
func (m Mesh) Highest() (at Point, z float64, ok bool) { return m.extreme(1) }

func (m Mesh) extreme(sign float64) (at Point, z float64, ok bool) {
	for k, v := range m.Z {
		if !math.IsNaN(v) && (!ok || sign*v > sign*z) {
			at, z, ok = Point{m.X[k], m.Y[k]}, v, true
		}
	}
	return at, z, ok
}

package seating

import (
	"math"
	"sort"

	"slatewright/stations"
)

const (
	stationTolerance = 1.0  // mm: readings of an edge within this of each other stand at one station
	cell             = 25.0 // mm: scans are taken as means over cells of this size
	reach            = 40.0 // mm: how far beyond the outermost station a height is still given
)

// lattice is a face as heights at the crossings of stations, for reading between them. A grid keeps its readings; a scan
// becomes means of 25 mm cells.
type lattice struct {
	xs, ys []float64 // ascending
	z      []float64 // len(xs)·len(ys), NaN where nothing was read; row of one x after the other
	scan   bool
}

func newLattice(x, y, z []float64) lattice {
	grid, ok := stations.Find(x, y)
	l := lattice{xs: grid.X, ys: grid.Y, scan: !ok}
	if l.scan {
		l.xs, l.ys = cells(x), cells(y)
	}
	l.z = make([]float64, len(l.xs)*len(l.ys))
	count := make([]int, len(l.z))
	for i := range z {
		c := 0
		if l.scan {
			c = nearest(l.xs, x[i])*len(l.ys) + nearest(l.ys, y[i])
		} else if c = grid.At[i]; c < 0 {
			continue // a reading beside the grid
		}
		l.z[c] += z[i]
		count[c]++
	}
	for c, n := range count {
		if n == 0 {
			l.z[c] = math.NaN()
			continue
		}
		l.z[c] /= float64(n)
	}
	return l
}

// cells returns the middles of cells that cover the extent of v.
func cells(v []float64) []float64 {
	lo, hi := v[0], v[0]
	for _, x := range v {
		lo, hi = min(lo, x), max(hi, x)
	}
	n := max(1, int(math.Round((hi-lo)/cell)))
	at := make([]float64, n)
	width := (hi - lo) / float64(n)
	for i := range at {
		at[i] = lo + float64((float64(i)+0.5)*width)
	}
	return at
}

// nearest returns the index of the cell that x lies in; the middles are evenly spaced.
func nearest(at []float64, x float64) int {
	n := len(at)
	if n < 2 {
		return 0
	}
	i := int(math.Round((x - at[0]) / (at[n-1] - at[0]) * float64(n-1)))
	return min(max(i, 0), n-1)
}

// height reads between the crossings, bilinearly; ok is false where the face was not read.
func (l lattice) height(x, y float64) (z float64, ok bool) {
	i, u := between(l.xs, x)
	j, v := between(l.ys, y)
	if i < 0 || j < 0 {
		return 0, false
	}
	n := len(l.ys)
	i1, j1 := min(i+1, len(l.xs)-1), min(j+1, n-1)
	a := lerp(l.z[i*n+j], l.z[i1*n+j], u)
	b := lerp(l.z[i*n+j1], l.z[i1*n+j1], u)
	z = lerp(a, b, v)
	return z, z == z
}

func lerp(a, b, t float64) float64 {
	switch t {
	case 0:
		return a
	case 1:
		return b
	}
	return float64((1-t)*a) + float64(t*b)
}

// between returns the station before x and the share of the way to the next; −1 when x lies out of reach. Beyond the last
// station the line is carried on.
func between(at []float64, x float64) (i int, t float64) {
	n := len(at)
	if x < at[0]-reach || x > at[n-1]+reach {
		return -1, 0
	}
	if n == 1 {
		return 0, 0
	}
	i = min(max(sort.SearchFloat64s(at, x)-1, 0), n-2)
	return i, (x - at[i]) / (at[i+1] - at[i])
}

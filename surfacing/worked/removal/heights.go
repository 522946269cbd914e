package removal

import (
	"math"
	"slices"
)

// places are where both maps are asked.
type places struct{ x, y []float64 }

// heights are a map's at places, with the variance of their doubt for a reading's standard uncertainty as it is claimed.
type heights struct {
	z        []float64
	variance []float64 // mm²
}

// assumedU is taken for a map that does not say the uncertainty of a reading; only its size against that of the other map matters, since the
// maps themselves tell how far they scatter.
const assumedU = 0.005

func (m Map) u() float64 {
	if m.U > 0 {
		return m.U
	}
	return assumedU
}

// near is the distance at which a reading stands on a station, mm: marks are met by hand.
const near = 1.0

// stations are those of the map that has fewer readings, or a lattice where both are scans.
func (q Question) stations() places {
	if len(q.Before.X) > dense && len(q.After.X) > dense {
		const nx, ny = 11, 15
		x0, x1 := common(q.Before.X, q.After.X)
		y0, y1 := common(q.Before.Y, q.After.Y)
		var s places
		for i := range nx {
			for j := range ny {
				s.x = append(s.x, x0+(x1-x0)*(float64(i)+0.5)/nx)
				s.y = append(s.y, y0+(y1-y0)*(float64(j)+0.5)/ny)
			}
		}
		return s
	}
	if len(q.Before.X) < len(q.After.X) {
		return places{q.Before.X, q.Before.Y}
	}
	return places{q.After.X, q.After.Y}
}

// common is the stretch that both reach.
func common(a, b []float64) (from, to float64) {
	return math.Max(slices.Min(a), slices.Min(b)), math.Min(slices.Max(a), slices.Max(b))
}

// free are the heights with gravity taken off.
func (m Map) free() []float64 {
	z := slices.Clone(m.Z)
	if m.Sag != nil {
		for i := range z {
			z[i] -= m.Sag(m.X[i], m.Y[i])
		}
	}
	return z
}

// at returns the heights of the map at the places: its readings where they stand there, or planes through the readings nearby of a scan. It is false
// where only a field between the readings could tell.
func (m Map) at(s places, q Question) (heights, bool) {
	free := m.free()
	if on, ok := m.onto(s); ok {
		h := heights{make([]float64, len(on)), make([]float64, len(on))}
		for i, k := range on {
			h.z[i], h.variance[i] = free[k], m.u()*m.u()
		}
		return h, true
	}
	if len(m.X) > dense {
		return m.planes(s, free, q), true
	}
	return heights{}, false
}

// onto pairs each place with the reading that stands on it.
func (m Map) onto(s places) ([]int, bool) {
	if len(m.X) > 4*len(s.x)+dense {
		return nil, false
	}
	on := make([]int, len(s.x))
	for i := range s.x {
		best := math.Inf(1)
		for k := range m.X {
			if d := math.Hypot(m.X[k]-s.x[i], m.Y[k]-s.y[i]); d < best {
				best, on[i] = d, k
			}
		}
		if best > near {
			return nil, false
		}
	}
	return on, true
}

// planes evaluates a scan at the places by planes through at least so many readings nearby.
func (m Map) planes(s places, free []float64, q Question) heights {
	const least, most = 12, 64
	n := len(s.x)
	h := heights{make([]float64, n), make([]float64, n)}
	grid := newCells(m.X, m.Y, math.Sqrt(q.SizeX*q.SizeY*least/float64(len(m.X))))
	for i := range n {
		x, y := s.x[i], s.y[i]
		near := grid.around(x, y, least, most)
		var a [9]float64
		var b [3]float64
		for _, k := range near {
			c := [3]float64{1, m.X[k] - x, m.Y[k] - y}
			for r := range 3 {
				b[r] += c[r] * free[k]
				for t := range 3 {
					a[r*3+t] += c[r] * c[t]
				}
			}
		}
		f, ok := factorise(3, a[:])
		if !ok { // readings on one line: their mean
			h.z[i] = b[0] / float64(len(near))
			h.variance[i] = m.u() * m.u()
			continue
		}
		lever := [3]float64{1, 0, 0}
		f.half(b[:])
		f.half(lever[:])
		h.z[i] = dot(b[:], lever[:])
		// errors of neighbours in a scan hang together: no more than a fourth is taken off by taking many
		h.variance[i] = m.u() * m.u() * math.Max(dot(lever[:], lever[:]), 1.0/16)
	}
	return h
}

// cells sort readings into squares.
type cells struct {
	x, y         []float64
	x0, y0, side float64
	nx, ny       int
	in           [][]int32
}

func newCells(x, y []float64, side float64) *cells {
	g := &cells{x: x, y: y, x0: slices.Min(x), y0: slices.Min(y), side: side}
	const most = 2000 // a side, however far a stray reading lies
	g.nx, g.ny = min(int((slices.Max(x)-g.x0)/side)+1, most), min(int((slices.Max(y)-g.y0)/side)+1, most)
	g.in = make([][]int32, g.nx*g.ny)
	for k := range x {
		i, j := g.cell(x[k], y[k])
		g.in[i*g.ny+j] = append(g.in[i*g.ny+j], int32(k))
	}
	return g
}

func (g *cells) cell(x, y float64) (i, j int) {
	clip := func(v float64, n int) int { return min(max(int(math.Floor(v/g.side)), 0), n-1) }
	return clip(x-g.x0, g.nx), clip(y-g.y0, g.ny)
}

// around are the nearest readings of a place, at least and at most so many where there are as many.
func (g *cells) around(x, y float64, least, most int) (list []int) {
	ci, cj := g.cell(x, y)
	for r := 0; r <= max(g.nx, g.ny); r++ {
		list = list[:0]
		for i := max(ci-r, 0); i <= min(ci+r, g.nx-1); i++ {
			for j := max(cj-r, 0); j <= min(cj+r, g.ny-1); j++ {
				for _, k := range g.in[i*g.ny+j] {
					list = append(list, int(k))
				}
			}
		}
		if len(list) >= least && r > 0 {
			break
		}
	}
	d := func(k int) float64 { return math.Hypot(g.x[k]-x, g.y[k]-y) }
	slices.SortFunc(list, func(a, b int) int {
		switch da, db := d(a), d(b); {
		case da < db:
			return -1
		case da > db:
			return 1
		}
		return a - b
	})
	return list[:min(len(list), most)]
}

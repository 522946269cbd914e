package flatness

import (
	"math"
	"sync"
)

// band is what a scan of all points asks: which points have r = c − a·x − b·y outside low to high? c is the coordinate that
// the normal leans to most, x and y are the other two, so that |a| and |b| are at most 1.
type band struct {
	axis, i, j int // c is coordinate axis; x and y are coordinates i and j
	a, b       float64
	low, high  float64
	stretch    float64 // distance normal to the planes for a difference of 1 in r

	x0, y0, dx, dy float64 // corner of the first cell, cells per mm
}

// cells is how many cells the face is cut into each way. A scan brings out the highest and the lowest point of each, so
// that the planes can still turn a little without new points coming to the top.
const cells = 32

// bandAlong returns the band of the given normal that just holds the sample, in the arithmetic of the scan itself.
func (s *sample) bandAlong(n vector) band {
	axis := 0
	for k := 1; k < 3; k++ {
		if math.Abs(n[k]) > math.Abs(n[axis]) {
			axis = k
		}
	}
	t := band{axis: axis, i: (axis + 1) % 3, j: (axis + 2) % 3, stretch: math.Abs(n[axis])}
	t.a, t.b = -n[t.i]/n[axis], -n[t.j]/n[axis]
	t.low, t.high = math.Inf(1), math.Inf(-1)
	t.x0, t.y0 = math.Inf(1), math.Inf(1)
	x1, y1 := math.Inf(-1), math.Inf(-1)
	for _, k := range s.index {
		v := s.of.at(k)
		r := v[axis] - float64(t.a*v[t.i]) - float64(t.b*v[t.j])
		t.low, t.high = min(t.low, r), max(t.high, r)
		t.x0, x1 = min(t.x0, v[t.i]), max(x1, v[t.i])
		t.y0, y1 = min(t.y0, v[t.j]), max(y1, v[t.j])
	}
	t.dx, t.dy = cells/(x1-t.x0), cells/(y1-t.y0)
	return t
}

// The band of the first scan is narrowed until it leaves out no more than a 64th of the sample, and by no more than a
// tenth of its width on each side. What is left out is enough to hold the planes, and little enough to cost no time.
const (
	firstCut  = 0.1
	firstLess = 64
)

// narrowed returns the band that the first scan looks through: the sample's zone is a little too small and a little askew,
// so the points that hold the true zone lie outside the sample's or just inside.
func (s *sample) narrowed(t band) band {
	for cut := firstCut; ; cut /= 2 {
		n := t
		n.low += float64(cut * (t.high - t.low))
		n.high -= float64(cut * (t.high - t.low))
		out := 0
		for _, k := range s.index {
			v := s.of.at(k)
			if r := v[t.axis] - float64(t.a*v[t.i]) - float64(t.b*v[t.j]); r < n.low || r > n.high {
				out++
			}
		}
		if out <= len(s.index)/firstLess || cut < 1e-6 {
			return n
		}
	}
}

// extremes holds, for each cell, the number of its highest point above the band and of its lowest below, or −1.
type extremes struct {
	high, low    [cells * cells]int
	most, least  [cells * cells]float64
	broken       int // first point with a coordinate that is not a number, or −1
	above, below float64
}

// scan looks at all points, on all cores.
func (t *band) scan(p Points) *extremes {
	columns := [3][]float64{p.X, p.Y, p.Z}
	x, y, c := columns[t.i], columns[t.j], columns[t.axis]
	all := t.nothing()
	var one sync.Mutex
	share(p.Len(), func(lo, hi int) {
		e := t.nothing()
		t.look(x[lo:hi], y[lo:hi], c[lo:hi], lo, e)
		one.Lock()
		defer one.Unlock()
		all.merge(e)
	})
	for k := range all.high {
		all.above = max(all.above, (all.most[k]-t.high)*t.stretch)
		all.below = max(all.below, (t.low-all.least[k])*t.stretch)
	}
	return all
}

// nothing is what has been seen before a scan.
func (t *band) nothing() *extremes {
	e := &extremes{broken: -1}
	for k := range e.high {
		e.high[k], e.low[k], e.most[k], e.least[k] = -1, -1, t.high, t.low
	}
	return e
}

// look goes through points that lie one after the other, the first being number first. Four points share one branch that
// is hardly ever taken; a NaN takes it too.
func (t *band) look(x, y, c []float64, first int, e *extremes) {
	a, b, low, high := t.a, t.b, t.low, t.high
	n := len(c)
	x, y = x[:n], y[:n]
	k := 0
	for ; k+4 <= n; k += 4 {
		x4, y4, c4 := x[k:k+4:k+4], y[k:k+4:k+4], c[k:k+4:k+4]
		r0 := c4[0] - float64(a*x4[0]) - float64(b*y4[0])
		r1 := c4[1] - float64(a*x4[1]) - float64(b*y4[1])
		r2 := c4[2] - float64(a*x4[2]) - float64(b*y4[2])
		r3 := c4[3] - float64(a*x4[3]) - float64(b*y4[3])
		if !(r0 <= high) || !(r0 >= low) || !(r1 <= high) || !(r1 >= low) ||
			!(r2 <= high) || !(r2 >= low) || !(r3 <= high) || !(r3 >= low) {
			for m := k; m < k+4; m++ {
				t.note(x[m], y[m], c[m], first+m, e)
			}
		}
	}
	for ; k < n; k++ {
		t.note(x[k], y[k], c[k], first+k, e)
	}
}

// note keeps point i if it lies outside the band and farther out than what its cell has shown; the first of equals stays.
func (t *band) note(x, y, c float64, i int, e *extremes) {
	r := c - float64(t.a*x) - float64(t.b*y)
	if r >= t.low && r <= t.high {
		return
	}
	if r != r {
		if e.broken < 0 {
			e.broken = i
		}
		return
	}
	cell := along((x-t.x0)*t.dx)*cells + along((y-t.y0)*t.dy)
	if r > e.most[cell] {
		e.most[cell], e.high[cell] = r, i
	} else if r < e.least[cell] {
		e.least[cell], e.low[cell] = r, i
	}
}

// along is the number of the cell at q cells from the first corner; what lies beside the face goes to the nearest cell.
func along(q float64) int {
	if !(q > 0) {
		return 0
	}
	if q >= cells {
		return cells - 1
	}
	return int(q)
}

// merge takes over what other points have shown. Of equals the first point stays, so the order of merging does not matter.
func (e *extremes) merge(o *extremes) {
	if o.broken >= 0 && (e.broken < 0 || o.broken < e.broken) {
		e.broken = o.broken
	}
	for k := range e.high {
		if o.high[k] >= 0 && (o.most[k] > e.most[k] || o.most[k] == e.most[k] && o.high[k] < e.high[k]) {
			e.most[k], e.high[k] = o.most[k], o.high[k]
		}
		if o.low[k] >= 0 && (o.least[k] < e.least[k] || o.least[k] == e.least[k] && o.low[k] < e.low[k]) {
			e.least[k], e.low[k] = o.least[k], o.low[k]
		}
	}
}

package cleanup

import (
	"math"
	"sync"

	"slatewright/cores"
)

// cells is how many cells a face is cut into each way. A pass brings out the reading of each that reaches farthest into the stone, so that the
// planes can still turn a little without new readings coming up.
const cells = 32

// stretch is how many readings are summed at a time; the sums are added in their order, so that the number of cores does not show.
const stretch = 8192

// sweep is what a pass asks of all readings: which reach farther into the stone than the planes do, or, of each cell, which reaches farthest?
type sweep struct {
	n              vector
	lift           Lift // of the bottom
	origin         vector
	limit          [2]float64 // the planes over the origin; a sweep for the farthest of each cell has none
	beside         [2]float64 // heights that are within three uncertainties of the planes end here
	x0, y0, dx, dy float64    // corner of the first cell, cells per mm
}

// extremes are what a pass brought out of all readings.
type extremes struct {
	at           [2][cells * cells]int // of each side and cell the reading farthest inside the limit, or −1
	far          [2][cells * cells]float64
	least, most  [2]float64 // heights of each side over the origin
	sum          [2]float64
	count, near  [2]int  // readings, and those that are close to the planes: one at least, which holds them
	upper, lower float64 // the planes when the pass was made
	broken       *place  // the first reading that is not finite
}

// inside is by how much the readings farthest inside the planes lie inside them, together.
func (e *extremes) inside() float64 {
	return max(0, e.upper-e.least[0]) + max(0, e.most[1]-e.lower)
}

func (e *extremes) mean(side int) float64 { return e.sum[side] / float64(e.count[side]) }

// scan makes one pass over all readings; all asks for the farthest of each cell, planes or not.
func (w *work) scan(n vector, all bool) *extremes {
	e := &extremes{}
	e.upper, e.lower = w.between(n)
	t := w.sweep(n)
	t.limit = [2]float64{e.upper, e.lower}
	if all {
		t.limit = [2]float64{math.Inf(1), math.Inf(-1)}
	}
	t.beside = [2]float64{e.upper + 3*w.of.U.Top, e.lower - 3*w.of.U.Bottom}
	for side := range sides {
		t.side(w.of.face(side), side, e)
	}
	return e
}

// sweep lays the cells over the readings at hand.
func (w *work) sweep(n vector) sweep {
	t := sweep{n: n, lift: w.of.Lift, origin: w.origin, x0: math.Inf(1), y0: math.Inf(1)}
	x1, y1 := math.Inf(-1), math.Inf(-1)
	for _, c := range w.centre {
		t.x0, x1 = min(t.x0, c[0]), max(x1, c[0])
		t.y0, y1 = min(t.y0, c[1]), max(y1, c[1])
	}
	t.dx, t.dy = cells/(x1-t.x0), cells/(y1-t.y0)
	return t
}

// seen is what one stretch or several have shown of a side.
type seen struct {
	at     [cells * cells]int
	far    [cells * cells]float64
	near   int
	broken int
}

func (t *sweep) side(p Points, side int, e *extremes) {
	blocks := (p.Len() + stretch - 1) / stretch
	least, most, sum := make([]float64, blocks), make([]float64, blocks), make([]float64, blocks)
	all := t.nothing(side)
	var one sync.Mutex
	cores.Share(blocks, 1, func(from, to int) {
		s := t.nothing(side)
		for b := from; b < to; b++ {
			least[b], most[b], sum[b] = t.look(p, b*stretch, min((b+1)*stretch, p.Len()), side, s)
		}
		one.Lock()
		defer one.Unlock()
		all.merge(s, side)
	})
	e.at[side], e.far[side], e.count[side], e.near[side] = all.at, all.far, p.Len(), max(1, all.near)
	e.least[side], e.most[side] = math.Inf(1), math.Inf(-1)
	for b := range blocks {
		e.least[side], e.most[side] = min(e.least[side], least[b]), max(e.most[side], most[b])
		e.sum[side] += sum[b]
	}
	if all.broken >= 0 && e.broken == nil {
		e.broken = &place{side, all.broken}
	}
}

func (t *sweep) nothing(side int) *seen {
	s := &seen{broken: -1}
	for k := range s.at {
		s.at[k], s.far[k] = -1, t.limit[side]
	}
	return s
}

// look goes through readings lo to hi.
func (t *sweep) look(p Points, lo, hi, side int, s *seen) (least, most, sum float64) {
	least, most = math.Inf(1), math.Inf(-1)
	nx, ny, nz, z0, limit, beside := t.n[0], t.n[1], t.n[2], t.origin[2], t.limit[side], t.beside[side]
	if side == 1 { // a plane that is added to the heights leans the normal
		nx, ny, z0 = nx+nz*t.lift.Along, ny+nz*t.lift.Across, z0-t.lift.At(t.origin[0], t.origin[1])
	}
	for i := lo; i < hi; i++ {
		x, y := p.X[i]-t.origin[0], p.Y[i]-t.origin[1]
		h := nx*x + ny*y + nz*(p.Z[i]-z0)
		if h-h != 0 {
			if s.broken < 0 {
				s.broken = i
			}
			continue
		}
		least, most, sum = min(least, h), max(most, h), sum+h
		if side == 0 && h < beside || side == 1 && h > beside {
			s.near++
		}
		if side == 0 && h < limit || side == 1 && h > limit {
			cell := along((x-t.x0)*t.dx)*cells + along((y-t.y0)*t.dy)
			if side == 0 && h < s.far[cell] || side == 1 && h > s.far[cell] {
				s.at[cell], s.far[cell] = i, h
			}
		}
	}
	return least, most, sum
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

// merge takes over what other stretches have shown. Of equals the first reading stays, so the order of merging does not matter.
func (s *seen) merge(o *seen, side int) {
	if o.broken >= 0 && (s.broken < 0 || o.broken < s.broken) {
		s.broken = o.broken
	}
	s.near += o.near
	for k, i := range o.at {
		if i < 0 {
			continue
		}
		farther := o.far[k] < s.far[k]
		if side == 1 {
			farther = o.far[k] > s.far[k]
		}
		if s.at[k] < 0 || farther || o.far[k] == s.far[k] && i < s.at[k] {
			s.at[k], s.far[k] = i, o.far[k]
		}
	}
}

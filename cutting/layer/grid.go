package layer

import (
	"math"
	"math/bits"
	"slices"

	"slatewright/cores"
)

// hair is less than anything that is cut, and more than the rounding of a place; mm.
const hair = 1e-6

// grid says of each cell of a frame in which samples something that no block may hold reaches into it. A careful grid has everything that is kept off in it,
// and a block must keep off every cell that it touches: what fits fits. A hopeful one has less in it than is kept off, a block need keep off only the cells that it surely
// covers, and places are rounded to its good: no plan of runs is worth more than the best on it.
type grid struct {
	f          *frame
	d          *draws
	cell, step float64
	ratio      int // cell over step
	rows, cols int
	mask       []uint64
	hopeful    bool
}

func newGrid(f *frame, d *draws, cell float64, ratio int, hopeful bool) *grid {
	g := &grid{f: f, d: d, cell: cell, step: cell / float64(ratio), ratio: ratio, hopeful: hopeful,
		rows: int(math.Ceil(f.h/cell - hair)), cols: int(math.Ceil(f.w/cell - hair))}
	g.mask = make([]uint64, g.rows*g.cols)
	cores.Share(g.rows, 8, func(from, to int) {
		for r := from; r < to; r++ {
			f.closed(float64(r)*cell+hair, float64(r+1)*cell-hair, g.kept(1), func(a, b float64) { g.fill(g.row(r), a, b, d.all, false) })
		}
		for i := range f.joints {
			g.lay(i, from, to)
		}
	})
	return g
}

// kept is how much of what is kept off counts.
func (g *grid) kept(r float64) float64 {
	if g.hopeful {
		return r * math.Sqrt2 / 2
	}
	return r
}

func (g *grid) row(r int) []uint64 { return g.mask[r*g.cols : (r+1)*g.cols] }

// fill marks what a stretch reaches into. A stretch without a width on the border of two cells reaches into neither, but where it must count.
func (g *grid) fill(row []uint64, from, to float64, bit uint64, must bool) {
	if from+2*hair > to {
		middle := (from + to) / 2
		if !must && math.Abs(middle-g.cell*math.Round(middle/g.cell)) <= 2*hair {
			return
		}
		from, to = middle-hair, middle+hair
	}
	a, b := math.Floor((from+hair)/g.cell), math.Floor((to-hair)/g.cell)
	for c := int(max(0, a)); c <= int(min(b, float64(len(row)-1))); c++ {
		row[c] |= bit
	}
}

// lay marks one joint in some rows.
func (g *grid) lay(i, first, last int) {
	if g.d.there[i] == 0 {
		return
	}
	t := &g.f.joints[i]
	r := g.kept(t.clear)
	for _, body := range t.parts {
		low, high := heights(body)
		g.eachPlace(i, func(shift Point, bit uint64) {
			from := max(first, int(math.Floor((low+shift.Y-r)/g.cell)))
			to := min(last, int(math.Floor((high+shift.Y+r)/g.cell))+1)
			for k := from; k < to; k++ {
				below := hair // a careful row has its lower border: what lies on it must count once
				if !g.hopeful {
					below = -hair
				}
				a, b, ok := reach(body, r, float64(k)*g.cell+below-shift.Y, float64(k+1)*g.cell-hair-shift.Y)
				if ok {
					g.fill(g.row(k), a+shift.X, b+shift.X, bit, !g.hopeful)
				}
			}
		})
	}
}

func heights(body []Point) (low, high float64) {
	low, high = body[0].Y, body[0].Y
	for _, p := range body[1:] {
		low, high = min(low, p.Y), max(high, p.Y)
	}
	return low, high
}

// eachPlace calls with every place of a joint and the samples in which it is there.
func (g *grid) eachPlace(i int, call func(shift Point, bit uint64)) {
	there, off := g.d.there[i], g.d.off[i]
	if off == nil {
		call(Point{}, there)
		return
	}
	for s := range g.d.n {
		if bit := there & (1 << s); bit != 0 {
			call(g.f.joints[i].normal.times(off[s]), bit)
		}
	}
}

// lot is a size as it lies in a frame.
type lot struct {
	size   int
	turned bool    // across the grid's own direction
	along  float64 // the run
	high   float64
	value  float64
}

// lots lays the sizes into a frame, each worth what it is worth less a price; across a run what is long lies high.
func lots(sizes []Size, prices []float64, across bool) (list []lot) {
	for i, s := range sizes {
		value := s.Value - prices[i]
		if value <= 0 {
			continue
		}
		one := lot{i, false, s.Length, s.Width, value}
		two := lot{i, true, s.Width, s.Length, value}
		if across {
			one.along, one.high, two.along, two.high = one.high, one.along, two.high, two.along
		}
		list = append(list, one)
		if s.Turn && s.Length != s.Width {
			list = append(list, two)
		}
	}
	return list
}

// run is a saw run with its blocks from left to right.
type run struct {
	y, high float64
	blocks  []placed
}

// placed is a block in a run.
type placed struct {
	lot
	x, gain float64
}

// span is which cells a block at position p keeps off.
func (g *grid) span(p int, size float64) (from, to int) {
	at := float64(p) * g.step
	if g.hopeful {
		return int(math.Ceil((at+g.step)/g.cell - hair)), int(math.Floor((at+size)/g.cell + hair))
	}
	return int(math.Floor(at/g.cell + hair)), int(math.Ceil((at+size)/g.cell - hair))
}

// advance is how many positions a block and a kerf take.
func (g *grid) advance(size, kerf float64) int {
	if g.hopeful {
		return max(1, int(math.Floor((size+kerf)/g.step+hair)))
	}
	return max(1, int(math.Ceil((size+kerf)/g.step-hair)))
}

// strips is the value of each run of one height, by its first row and how many rows it keeps off.
type strips struct {
	high  float64
	lots  []lot
	least int // number of rows of the first list
	value [][]float64
}

func (s *strips) at(from, n int) float64 {
	return s.value[n-s.least][max(0, min(from, len(s.value[n-s.least])-1))]
}

// all values every run.
func (g *grid) all(list []lot, kerf, least float64) []strips {
	var out []strips
	for _, l := range list {
		i := slices.IndexFunc(out, func(s strips) bool { return s.high == l.high })
		if i < 0 {
			i, out = len(out), append(out, strips{high: l.high})
		}
		out[i].lots = append(out[i].lots, l)
	}
	most := 0
	for i := range out {
		s := &out[i]
		for p := range g.ratio {
			from, to := g.span(p, s.high)
			n := max(0, to-from)
			if p == 0 || n < s.least {
				s.value = append(make([][]float64, max(0, s.least-n)), s.value...)
				s.least = n
			}
			for len(s.value) <= n-s.least {
				s.value = append(s.value, nil)
			}
			most = max(most, n)
		}
	}
	level := slices.Clone(g.mask)
	for size := 1; ; size *= 2 {
		for i := range out {
			for k := range out[i].value {
				if n := out[i].least + k; n >= size && n < 2*size || n == 0 && size == 1 {
					out[i].value[k] = g.column(level, size, n, out[i].lots, kerf, least)
				}
			}
		}
		if 2*size > most {
			return out
		}
		for r := 0; r+size < g.rows; r++ {
			above := level[(r+size)*g.cols : (r+size+1)*g.cols]
			for c, m := range level[r*g.cols : (r+1)*g.cols] {
				level[r*g.cols+c] = m | above[c]
			}
		}
	}
}

// column values the runs of n rows, from each row; level holds size rows together in each row.
func (g *grid) column(level []uint64, size, n int, list []lot, kerf, least float64) []float64 {
	out := make([]float64, max(1, g.rows-n+1))
	if n > g.rows {
		return out
	}
	cores.Share(len(out), 16, func(from, to int) {
		w := g.newWork(list, kerf, least)
		col := make([]uint64, g.cols)
		for r := from; r < to; r++ {
			if n > 0 {
				a, b := level[r*g.cols:(r+1)*g.cols], level[(r+n-size)*g.cols:(r+n-size+1)*g.cols]
				for c := range col {
					col[c] = a[c] | b[c]
				}
			}
			out[r] = w.fit(col)
		}
	})
	return out
}

// best is the plan of runs of the greatest value on this grid.
func (g *grid) best(list []lot, kerf, least float64) (value float64, runs []run) {
	all := g.all(list, kerf, least)
	n := int(math.Floor(g.f.h/g.step+hair)) + 1
	table := make([]float64, n+1)
	choice := make([]int, n)
	for p := n - 1; p >= 0; p-- {
		table[p], choice[p] = table[p+1], -1
		for i := range all {
			if float64(p)*g.step+all[i].high > g.f.h+hair {
				continue
			}
			from, to := g.span(p, all[i].high)
			here := all[i].at(from, max(0, to-from))
			v := here + table[min(n, p+g.advance(all[i].high, kerf))]
			if v > table[p] || v == table[p] && choice[p] < 0 && here > 0 { // among equals the run that begins first
				table[p], choice[p] = v, i
			}
		}
	}
	if g.hopeful {
		return table[0], nil
	}
	for p := 0; p < n; {
		i := choice[p]
		if i < 0 {
			p++
			continue
		}
		from, to := g.span(p, all[i].high)
		col := make([]uint64, g.cols)
		for r := from; r < min(to, g.rows); r++ {
			for c, m := range g.row(r) {
				col[c] |= m
			}
		}
		w := g.newWork(all[i].lots, kerf, least)
		if w.fit(col) > 0 {
			runs = append(runs, run{float64(p) * g.step, all[i].high, w.blocks()})
		}
		p += g.advance(all[i].high, kerf)
	}
	return table[0], runs
}

// count is in how many samples nothing reaches in.
func (g *grid) count(mask uint64) int { return g.d.n - bits.OnesCount64(mask&g.d.all) }

package layer

import (
	"math"
	"math/bits"
)

// work fills one run after the other; it holds the tables that they share.
type work struct {
	g       *grid
	n       int // positions
	lots    []fitted
	windows [][]uint64 // by power of two: the cells from here on, so many of them together
	best    []float64  // the most from a position on; 0 beyond the last
}

// fitted is a lot with what it keeps off from each position of a cell.
type fitted struct {
	lot
	last    int   // position
	advance int   // positions
	first   []int // cells after the position's own, by place in the cell
	wide    []int // cells, by place in the cell
	kinds   []int // different widths
	kind    []int // of them, by place in the cell
	gain    [][]float64
	at      [][]float64 // gain by place in the cell
	worth   [65]float64 // by the number of samples in which it is clear
}

func (g *grid) newWork(list []lot, kerf, least float64) *work {
	w := &work{g: g, n: int(math.Floor(g.f.w/g.step+hair)) + 1}
	widest, furthest := 1, 0
	for _, l := range list {
		if l.along > g.f.w+hair {
			continue
		}
		f := fitted{lot: l, last: int(math.Floor((g.f.w-l.along)/g.step + hair)), advance: g.advance(l.along, kerf)}
		for p := range g.ratio {
			from, to := g.span(p, l.along)
			wide := max(0, to-from)
			k := 0
			for k < len(f.kinds) && f.kinds[k] != wide {
				k++
			}
			if k == len(f.kinds) {
				f.kinds = append(f.kinds, wide)
				f.gain = append(f.gain, make([]float64, g.cols+2))
			}
			f.first, f.wide, f.kind = append(f.first, from), append(f.wide, wide), append(f.kind, k)
			widest = max(widest, wide)
		}
		for p := range g.ratio {
			f.at = append(f.at, f.gain[f.kind[p]][f.first[p]:])
		}
		for clear := range f.worth {
			f.worth[clear] = l.value * float64(clear) / float64(g.d.n)
			if clear > g.d.n || float64(clear) < least*float64(g.d.n)-hair {
				f.worth[clear] = 0
			}
		}
		furthest = max(furthest, f.advance)
		w.lots = append(w.lots, f)
	}
	w.best = make([]float64, w.n+furthest+g.ratio+1)
	for size := 1; size <= widest; size *= 2 {
		w.windows = append(w.windows, make([]uint64, g.cols))
	}
	return w
}

// fit finds the most that a run gives whose cells are reached into in these samples.
func (w *work) fit(col []uint64) float64 {
	copy(w.windows[0], col)
	for j := 1; j < len(w.windows); j++ {
		half := 1 << (j - 1)
		for c, m := range w.windows[j-1] {
			if c+half < len(col) {
				m |= w.windows[j-1][c+half]
			}
			w.windows[j][c] = m
		}
	}
	for i := range w.lots {
		w.lots[i].weigh(w)
	}
	if len(w.lots) == 1 {
		w.one(&w.lots[0])
		return w.best[0]
	}
	best := w.best
	for p := w.n - 1; p >= 0; p-- {
		v := best[p+1]
		c, place := p/w.g.ratio, p%w.g.ratio
		for i := range w.lots {
			l := &w.lots[i]
			if p > l.last {
				continue
			}
			if t := l.gain[l.kind[place]][c+l.first[place]] + best[p+l.advance]; t > v {
				v = t
			}
		}
		best[p] = v
	}
	return best[0]
}

// one is the walk for a single lot, which is most of the work.
func (w *work) one(l *fitted) {
	n := l.last + 1
	clear(w.best[n:])
	next := w.best[n]
	for c := l.last / w.g.ratio; c >= 0; c-- {
		from := c * w.g.ratio
		here := w.best[from : from+w.g.ratio]
		then := w.best[from+l.advance : from+l.advance+w.g.ratio]
		for place := min(w.g.ratio, n-from) - 1; place >= 0; place-- {
			next = max(next, l.at[place][c]+then[place])
			here[place] = next
		}
	}
}

// weigh says what a block is worth from each cell on.
func (l *fitted) weigh(w *work) {
	for k, wide := range l.kinds {
		gain := l.gain[k]
		if wide == 0 {
			for c := range gain {
				gain[c] = l.value
			}
			continue
		}
		j := bits.Len(uint(wide)) - 1
		n := max(0, w.g.cols-wide+1)
		clear(gain[n:])
		if n == 0 {
			continue
		}
		a, b := w.windows[j][:n], w.windows[j][wide-1<<j:]
		for c, m := range a {
			gain[c] = l.worth[w.g.count(m|b[c])]
		}
	}
}

// blocks walks through the run that was fitted last.
func (w *work) blocks() (list []placed) {
	for p := 0; p < w.n; {
		taken := -1
		var gain float64
		c, place := p/w.g.ratio, p%w.g.ratio
		for i := range w.lots {
			l := &w.lots[i]
			if p > l.last {
				continue
			}
			if here := l.gain[l.kind[place]][c+l.first[place]]; here > 0 && here+w.best[p+l.advance] == w.best[p] {
				taken, gain = i, here
				break
			}
		}
		if taken < 0 {
			p++
			continue
		}
		list = append(list, placed{w.lots[taken].lot, float64(p) * w.g.step, gain})
		p += w.lots[taken].advance
	}
	return list
}

package layer

import (
	"cmp"
	"math"
	"slices"
)

// capped tells whether some size is wanted in a limited number.
func (s *search) capped() bool {
	return slices.ContainsFunc(s.Sizes, func(z Size) bool { return z.Most > 0 })
}

// setPrices finds, on the coarse grid of the best frames, a price of each size that is wanted in a limited number: of those tried, the prices with the best plan,
// whose frame comes first then.
func (s *search) setPrices(ranked []*frame) {
	if !s.capped() {
		return
	}
	best, kept, first := -1.0, s.prices, 0
	from := s.prices
	for n, f := range ranked[:min(3, len(ranked))] {
		from = s.move(f, from, priceRounds, func(g *grid, prices []float64, runs []run) float64 {
			s.prices = prices
			v := worth(s.fill(g, s.within(runs)), s.Sizes)
			if v > best {
				best, kept, first = v, slices.Clone(prices), n
			}
			return best
		})
	}
	s.prices = kept
	f := ranked[first]
	copy(ranked[1:first+1], ranked[:first])
	ranked[0] = f
}

func numbers(runs []run, sizes int) []int {
	counts := make([]int, sizes)
	for _, r := range runs {
		for _, b := range r.blocks {
			counts[b.size]++
		}
	}
	return counts
}

// worth is the mean value of a plan over the draws, prices left aside.
func worth(runs []run, sizes []Size) (value float64) {
	for _, r := range runs {
		for _, b := range r.blocks {
			value += b.gain / b.value * sizes[b.size].Value
		}
	}
	return value
}

// within drops what is more than wanted: of each size whole runs first, those in which it is worth least.
func (s *search) within(runs []run) []run {
	for i, z := range s.Sizes {
		if z.Most == 0 {
			continue
		}
		order := make([]int, len(runs))
		gain := make([]float64, len(runs))
		for r := range runs {
			order[r] = r
			for _, b := range runs[r].blocks {
				if b.size == i {
					gain[r] += b.gain
				}
			}
		}
		slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(gain[b], gain[a]) })
		left := z.Most
		for _, r := range order {
			runs[r].blocks = slices.DeleteFunc(runs[r].blocks, func(p placed) bool {
				if p.size == i {
					left--
				}
				return p.size == i && left < 0
			})
		}
	}
	return slices.DeleteFunc(runs, func(r run) bool { return len(r.blocks) == 0 })
}

// free lays those sizes that are wanted without limit.
func (s *search) free(f *frame) []lot {
	return slices.DeleteFunc(lots(s.Sizes, s.prices, f.across), func(l lot) bool { return s.Sizes[l.size].Most > 0 })
}

// fill puts what is wanted without limit where a limit has left room: beside the blocks of a run, and in runs of its own between them.
func (s *search) fill(g *grid, runs []run) []run {
	free := s.free(g.f)
	if len(free) == 0 {
		return runs
	}
	for i := range runs {
		runs[i].blocks = s.beside(g, runs[i], free)
	}
	rest := &grid{f: g.f, d: g.d, cell: g.cell, step: g.step, ratio: g.ratio, rows: g.rows, cols: g.cols, mask: slices.Clone(g.mask)}
	for _, r := range runs {
		from, to := int(math.Floor((r.y-s.Saw.Kerf)/g.cell+hair)), int(math.Ceil((r.y+r.high+s.Saw.Kerf)/g.cell-hair))
		for k := max(0, from); k < min(g.rows, to); k++ {
			for c := range rest.row(k) {
				rest.row(k)[c] = g.d.all
			}
		}
	}
	_, more := rest.best(free, s.Saw.Kerf, s.Least)
	runs = append(runs, more...)
	slices.SortStableFunc(runs, func(a, b run) int { return cmp.Compare(a.y, b.y) })
	return runs
}

// beside fills a run around its blocks.
func (s *search) beside(g *grid, r run, free []lot) []placed {
	free = ofHeight(free, r.high)
	if len(free) == 0 {
		return r.blocks
	}
	n := s.narrow(g.f, r, 2.5*fineCell)
	n.every(s, r)
	for _, b := range r.blocks {
		n.fill(n.mask, b.x-s.Saw.Kerf, b.x+b.along+s.Saw.Kerf, n.d.all, true)
	}
	w := n.newWork(free, s.Saw.Kerf, max(s.Least, 1e-9))
	w.fit(n.mask)
	all := append(slices.Clone(r.blocks), w.blocks()...)
	slices.SortStableFunc(all, func(a, b placed) int { return cmp.Compare(a.x, b.x) })
	return all
}

// bound reckons what no plan can pass: in every direction the best on a hopeful grid, whose blocks have at least the chance that they have in a plan, and for any
// plan whatever what its area allows. Where numbers are limited, each direction whose bound is the highest has prices of its own looked for.
func (s *search) bound(p *Plan, value float64) {
	p.Area = s.areaBound()
	p.Proven = true
	for i := range s.frames {
		if p.Proven = p.Proven && !s.stopped(); !p.Proven {
			p.Bound = p.Area
			return
		}
		_, second, _ := cells(s.frames[i])
		p.Directions[i].Bound = min(s.ceiling(s.frames[i], s.prices, second), p.Area)
		s.moved(1)
	}
	s.tighten(p, value)
}

// tighten looks at the direction of the highest bound again, with prices of its own and on a finer grid, as long as the layer allows one.
func (s *search) tighten(p *Plan, value float64) {
	cell := make([]float64, len(s.frames))
	for i, f := range s.frames {
		_, cell[i], _ = cells(f)
	}
	prices := make([][]float64, len(s.frames))
	last := s.prices
	for {
		high := 0
		for i, d := range p.Directions {
			if d.Bound > p.Directions[high].Bound {
				high = i
			}
		}
		f := s.frames[high]
		p.Bound = p.Directions[high].Bound
		if finer := cell[high] / 2; prices[high] != nil || !s.capped() {
			if math.Sqrt(f.w*f.h)/finer > mostAcross {
				return
			}
			cell[high] = finer
		}
		if s.stopped() || p.Bound <= value*(1+enough) {
			return
		}
		if prices[high] == nil {
			prices[high] = s.move(f, last, priceRounds/2, func(*grid, []float64, []run) float64 { return value })
			last = prices[high]
		}
		p.Directions[high].Bound = min(p.Directions[high].Bound, s.ceiling(f, prices[high], cell[high]))
	}
}

// Where tightening ends: so many cells across a layer, and so small a gap.
const (
	mostAcross = 1600
	enough     = 0.002
)

// ceiling is what no plan of runs in a frame can pass. With prices it still holds: what they take from the value comes back as price × number (H. Everett,
// Generalized Lagrange multiplier method for solving problems of optimum allocation of resources, Operations Research 11, 1963, 399).
func (s *search) ceiling(f *frame, prices []float64, cell float64) float64 {
	g := newGrid(f, &s.d, cell, ratio, true)
	v, _ := g.best(lots(s.Sizes, prices, f.across), s.Saw.Kerf, s.Least)
	return v + s.back(prices)
}

// back is the price of all blocks that are wanted in a limited number.
func (s *search) back(prices []float64) (sum float64) {
	for i, z := range s.Sizes {
		sum += prices[i] * float64(z.Most)
	}
	return sum
}

// move looks for prices with a low bound on the coarse grid of a frame, from some on: against what the best plan at the prices takes too much of, in steps by
// the gap to the value of a plan, which seen gives for each (B. T. Polyak, Minimization of unsmooth functionals, USSR Computational Mathematics and
// Mathematical Physics 9, 1969, 14).
func (s *search) move(f *frame, from []float64, rounds int, seen func(g *grid, prices []float64, runs []run) float64) []float64 {
	first, _, _ := cells(f)
	g := newGrid(f, &s.d, first, ratio, false)
	now, best := slices.Clone(from), slices.Clone(from)
	least, scale := math.Inf(1), 1.0
	for range rounds {
		v, runs := g.best(lots(s.Sizes, now, f.across), s.Saw.Kerf, s.Least)
		if v += s.back(now); v < least {
			least = v
			copy(best, now)
		} else {
			scale /= 2
		}
		counts := numbers(runs, len(s.Sizes))
		value := seen(g, now, runs)
		var norm float64
		for i, z := range s.Sizes {
			if over := float64(counts[i] - z.Most); z.Most > 0 && (over > 0 || now[i] > 0) {
				norm += over * over
			}
		}
		if norm == 0 || s.stopped() {
			break
		}
		step := scale * max(v-value, v/1000) / norm
		for i, z := range s.Sizes {
			if z.Most > 0 {
				now[i] = max(0, min(z.Value, now[i]+step*float64(counts[i]-z.Most)))
			}
		}
	}
	return best
}

// priceRounds is how often prices are moved in a frame; half as often where they were good in another.
const priceRounds = 12

// areaBound fills the outline with the sizes that give most for their area.
func (s *search) areaBound() float64 {
	order := slices.Clone(s.Sizes)
	slices.SortStableFunc(order, func(a, b Size) int { return cmp.Compare(b.Value/(b.Length*b.Width), a.Value/(a.Length*a.Width)) })
	left, value := area(s.Outline), 0.0
	for _, z := range order {
		n := left / (z.Length * z.Width)
		if z.Most > 0 {
			n = min(n, float64(z.Most))
		}
		value += n * z.Value
		left = math.Max(0, left-n*z.Length*z.Width)
	}
	return value
}

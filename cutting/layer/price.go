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

// setPrices finds, on the coarse grid of one frame, a price of each size that is wanted in a limited number: of those tried, the prices with the best plan. With
// prices the bound still holds: what they take from the value comes back as price × number (H. Everett, Operations Research 11, 1963).
func (s *search) setPrices(f *frame) {
	if !s.capped() {
		return
	}
	first, _, _ := cells(f)
	g := newGrid(f, &s.d, first, ratio, false)
	best, kept := -1.0, slices.Clone(s.prices)
	for range 10 {
		_, runs := g.best(lots(s.Sizes, s.prices, f.across), s.Saw.Kerf, s.Least)
		counts := numbers(runs, len(s.Sizes))
		if v := worth(s.fill(g, s.within(runs)), s.Sizes); v > best {
			best, kept = v, slices.Clone(s.prices)
		}
		settled := true
		for i, z := range s.Sizes {
			if z.Most == 0 {
				continue
			}
			over := float64(counts[i]-z.Most) / float64(z.Most)
			if over > 0 || s.prices[i] > 0 && over < 0 {
				s.prices[i] = max(0, min(z.Value, s.prices[i]+0.3*z.Value*max(-1, min(1, over))))
				settled = false
			}
		}
		if settled || s.stopped() {
			break
		}
	}
	s.prices = kept
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
// plan whatever what its area allows.
func (s *search) bound(p *Plan) {
	p.Area = s.areaBound()
	p.Bound, p.Proven = 0, true
	var back float64
	for i, z := range s.Sizes {
		back += s.prices[i] * float64(z.Most)
	}
	for i, f := range s.frames {
		_, second, _ := cells(f)
		if p.Proven = p.Proven && !s.stopped(); !p.Proven {
			break
		}
		g := newGrid(f, &s.d, second, ratio, true)
		v, _ := g.best(lots(s.Sizes, s.prices, f.across), s.Saw.Kerf, s.Least)
		v = min(v+back, p.Area)
		p.Directions[i].Bound = v
		p.Bound = max(p.Bound, v)
		s.moved(1)
	}
	if !p.Proven {
		p.Bound = p.Area
	}
}

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

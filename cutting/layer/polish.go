package layer

import (
	"cmp"
	"slices"
)

// The last look: every run may move this far up or down in steps, its cross cuts found with every joint as it is; mm.
const (
	polishReach = 60.0
	polishStep  = 5.0
)

// polish moves the runs a little and finds their cross cuts for good. What is found stays a plan of runs: of all that could be, those are taken that are worth most
// and lie a kerf apart, as in any row of intervals with weights.
func (s *search) polish(f *frame, runs []run) []run {
	var could []run
	list := lots(s.Sizes, s.prices, f.across)
	for _, r := range runs {
		could = append(could, r)
		for dy := -polishReach; dy <= polishReach; dy += polishStep {
			if moved := (run{r.y + dy, r.high, nil}); moved.y >= 0 && moved.y+moved.high <= f.h && !s.stopped() {
				could = append(could, run{moved.y, moved.high, s.cross(f, moved, list)})
			}
		}
		s.moved(0)
	}
	slices.SortStableFunc(could, func(a, b run) int { return cmp.Compare(a.y+a.high, b.y+b.high) })
	best := make([]float64, len(could)+1) // of the first so many
	before := make([]int, len(could))
	for i, r := range could {
		before[i], _ = slices.BinarySearchFunc(could[:i], r.y-s.Saw.Kerf+hair, func(o run, y float64) int { return cmp.Compare(o.y+o.high, y) })
		best[i+1] = max(best[i], best[before[i]]+gain(r))
	}
	var out []run
	for i := len(could); i > 0; {
		if best[i] == best[i-1] {
			i--
			continue
		}
		out = append(out, could[i-1])
		i = before[i-1]
	}
	slices.Reverse(out)
	return out
}

func gain(r run) (sum float64) {
	for _, b := range r.blocks {
		sum += b.gain
	}
	return sum
}

// recut finds the cross cuts for good of those runs in which nothing lies that is wanted in a limited number.
func (s *search) recut(f *frame, runs []run) {
	list := s.free(f)
	for i, r := range runs {
		limited := slices.ContainsFunc(r.blocks, func(b placed) bool { return s.Sizes[b.size].Most > 0 })
		if limited || s.stopped() {
			continue
		}
		if again := (run{r.y, r.high, s.cross(f, r, list)}); gain(again) > gain(r) {
			runs[i] = again
		}
	}
}

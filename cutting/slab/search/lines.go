package search

import "sort"

// ruling are the lines along one axis at which parts may end. A part begins at the border (left line 0) or behind the cut at a line i ≥ 1, and ends at
// a line or at the far border (the last line). Exact parts begin a kerf behind the line; loose ones as if the cut were anywhere after the line before,
// so that they overlap what lies before them, and whatever a cut between two lines gives, they give too.
type ruling struct {
	at    []int // at[0] is the border, at[n] the far border; ascending
	kerf  int
	loose bool
}

// left is where a part begins that lies behind line i.
func (r *ruling) left(i int) int {
	switch {
	case i == 0:
		return r.at[0]
	case r.loose && i > 1: // before the first line no cut leaves anything on its left
		return r.at[i-1] + 1 + r.kerf
	}
	return r.at[i] + r.kerf
}

// n is the number of stretches.
func (r *ruling) n() int { return len(r.at) - 1 }

// before is the first line at or after a place.
func (r *ruling) before(at int) int { return sort.SearchInts(r.at, at) }

// newLines rules an axis, a step between two lines. For loose parts a step must be less than the narrowest piece and a kerf, so that one that lies between
// two lines holds nothing.
func newLines(from, to, least, kerf, step int) []int {
	lines := []int{from}
	first, last := from+least, to-least-kerf // no cut elsewhere leaves something on both sides
	if first <= last {
		for c := first; c < last; c += max(1, step) {
			lines = append(lines, c)
		}
		lines = append(lines, last)
	}
	return append(lines, to)
}

// halved adds a line in the middle of every stretch but the first and the last.
func halved(lines []int) (out []int) {
	for i, c := range lines {
		if i > 1 && i+1 < len(lines) && c-lines[i-1] > 1 {
			out = append(out, (c+lines[i-1])/2)
		}
		out = append(out, c)
	}
	return out
}

// widest is the largest step between two lines but at the borders.
func widest(lines []int) (step int) {
	for i := 2; i+1 < len(lines); i++ {
		step = max(step, lines[i]-lines[i-1])
	}
	return step
}

// parents gives for each of some lines the first of the coarser ones that does not lie before it.
func parents(lines, coarse []int) []int {
	out := make([]int, len(lines))
	k := 0
	for i, c := range lines {
		for coarse[k] < c {
			k++
		}
		out[i] = k
	}
	return out
}

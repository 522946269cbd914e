package search

import (
	"slices"

	"slatewright/cutting/slab/ground"
)

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

// add puts a line among others; false when it stands already or is none between the borders.
func add(lines *[]int, c int) bool {
	l := *lines
	if c <= l[0] || c >= l[len(l)-1] {
		return false
	}
	i, there := slices.BinarySearch(l, c)
	if there {
		return false
	}
	*lines = slices.Insert(l, i, c)
	return true
}

// ends are, for one type, the leftmost right edges: reach[(a·ny + j1)·(ny+1) + j2] is the least right edge of a piece that stands right of left line a,
// above lower line j1 and below line j2; none when there is no such place.
type ends []int32

// ends tables where types fit between the lines. Types are in the order of kinds.
func tableEnds(kinds [][]*ground.Stance, x, y *ruling) []ends {
	nx, ny := x.n(), y.n()
	out := make([]ends, len(kinds))
	for k, stances := range kinds {
		e := make(ends, nx*ny*(ny+1))
		for i := range e {
			e[i] = ground.None
		}
		for _, s := range stances {
			e.enter(s, x, y)
		}
		out[k] = e
	}
	return out
}

// enter enters a stance.
func (e ends) enter(s *ground.Stance, x, y *ruling) {
	nx, ny := x.n(), y.n()
	first := make([]int32, len(s.Rows))
	at := make([]int32, len(s.Rows)) // run of each row that was looked at last
	for a := range nx {
		left := int32(x.left(a))
		for i, row := range s.Rows {
			k := at[i]
			for int(k) < len(row) && row[k].To < left {
				k++
			}
			at[i] = k
			first[i] = ground.None
			if int(k) < len(row) {
				first[i] = max(row[k].From, left) + int32(s.W)
			}
		}
		for j1 := range ny {
			out := e[(a*ny+j1)*(ny+1):][:ny+1]
			r := max(y.left(j1)-s.Y0, 0)
			least := int32(ground.None)
			for j2 := j1 + 1; j2 <= ny; j2++ {
				for end := min(y.at[j2]-s.H-s.Y0, len(s.Rows)-1); r <= end; r++ {
					least = min(least, first[r])
				}
				out[j2] = min(out[j2], least)
			}
		}
	}
}

// Package stations says whether the readings of a face were taken on a grid, and where its lines stand.
//
// A hand with a dial reads at the crossings of marked lines; a scanner reads anywhere. Whoever reads between the readings, or
// along lines of them, must know which it was, and all must find the same: so it is decided here and nowhere else.
//
// The package looks at places only. It knows no heights, pieces or joints, and moves no reading.
package stations

import (
	"math"
	"slices"
)

const (
	// width is how far apart, in mm, readings of one line may lie: lines are set by stops, pencil or a bridge (common practice, no
	// source). A hair more is allowed, so that a millimetre stays a millimetre when the piece is moved.
	width = 1 + 1e-6
	// most is the largest number of lines in one direction. More are a scan, however regular: lines closer than 25 mm over a piece
	// of 1.6 m, where single readings show noise and roughness that means over cells do not (common practice, no source).
	most = 64
	// full is the share of the crossings that must have been read, and of the readings that must stand at crossings: every second
	// crossing is still a grid, read in a staggered pattern; less is not (common practice, no source).
	full = 0.5
)

// Same tells whether two coordinates, mm, are those of one line: they lie within 1 mm.
func Same(a, b float64) bool { return math.Abs(a-b) <= width }

// Grid is where the lines of a grid stand, and which reading stands at which crossing.
type Grid struct {
	X, Y []float64 // mm, rising: the x of the lines that run along y (its columns), and the y of those along x (its rows)
	// At has the crossing of each reading, number of the column · len(Y) + number of the row, or −1 for a reading beside the
	// grid. A crossing may have several readings, or none.
	At []int
}

// Find finds the grid that readings at the places x, y were taken on; ok is false if there is none, which makes them a scan.
//
// The coordinates of a grid fall into lines no wider than 1 mm with wider gaps between, at most 64 in a direction. At least two
// columns and two rows, and half of their crossings, must have been read. A line with less than half as many crossings as the
// fullest of its direction is none of the grid's: its readings stand beside it (a high spot that was looked at more closely). At
// least half of the readings must stand at crossings.
//
// x and y have equal length. The order of the readings does not matter. Places that are not finite make no grid.
func Find(x, y []float64) (g Grid, ok bool) {
	xs, okX := lines(x)
	ys, okY := lines(y)
	if !okX || !okY {
		return Grid{}, false
	}
	at := crossings(x, y, xs, ys)
	read := make([]bool, len(xs)*len(ys))
	for _, c := range at {
		read[c] = true
	}
	columns, rows := kept(read, len(ys))
	g = Grid{X: chosen(xs, columns), Y: chosen(ys, rows), At: at}
	on, left := 0, make([]bool, len(g.X)*len(g.Y))
	for i, c := range at {
		column, row := columns[c/len(ys)], rows[c%len(ys)]
		g.At[i] = -1
		if column >= 0 && row >= 0 {
			g.At[i] = column*len(g.Y) + row
			left[g.At[i]] = true
			on++
		}
	}
	enough := float64(count(left)) >= float64(full*float64(len(left))) && float64(on) >= float64(full*float64(len(x)))
	if len(g.X) < 2 || len(g.Y) < 2 || !enough {
		return Grid{}, false
	}
	return g, true
}

// span is the smallest and the largest coordinate of a line.
type span struct{ low, high float64 }

// lines parts the coordinates v at gaps of more than the width; ok is false if a line is wider, or if there are too many.
func lines(v []float64) (all []span, ok bool) {
	bins := map[float64]span{} // by whole millimetre; ordered below
	for _, c := range v {
		mm := math.Floor(c)
		b, known := bins[mm]
		if !known {
			b = span{c, c}
			if len(bins) == 2*most { // a line lies in two bins at most
				return nil, false
			}
		}
		bins[mm] = span{min(b.low, c), max(b.high, c)}
	}
	sorted := make([]span, 0, len(bins))
	for _, b := range bins {
		sorted = append(sorted, b)
	}
	slices.SortFunc(sorted, func(a, b span) int {
		if a.low < b.low {
			return -1
		}
		return 1
	})
	for _, b := range sorted {
		if n := len(all); n > 0 && Same(all[n-1].high, b.low) {
			all[n-1].high = b.high
		} else {
			all = append(all, b)
		}
		if last := all[len(all)-1]; !Same(last.low, last.high) { // also for NaN
			return nil, false
		}
	}
	return all, len(all) <= most
}

// crossings returns the crossing of each reading among all lines.
func crossings(x, y []float64, xs, ys []span) []int {
	at := make([]int, len(x))
	for i := range x {
		at[i] = lineOf(xs, x[i])*len(ys) + lineOf(ys, y[i])
	}
	return at
}

// lineOf returns the number of the line that holds v.
func lineOf(all []span, v float64) int {
	i, _ := slices.BinarySearchFunc(all, v, func(l span, v float64) int {
		switch {
		case l.high < v:
			return -1
		case l.low > v:
			return 1
		}
		return 0
	})
	return i
}

// kept numbers the columns and rows that are the grid's, −1 for the others; rows is the number of rows.
func kept(read []bool, rows int) (column, row []int) {
	perColumn, perRow := make([]int, len(read)/max(rows, 1)), make([]int, rows)
	for c, r := range read {
		if r {
			perColumn[c/rows]++
			perRow[c%rows]++
		}
	}
	return numbered(perColumn), numbered(perRow)
}

// numbered numbers the lines with at least half as many crossings as the fullest.
func numbered(crossings []int) []int {
	number, fullest, next := make([]int, len(crossings)), 0, 0
	for _, n := range crossings {
		fullest = max(fullest, n)
	}
	for i, n := range crossings {
		number[i] = -1
		if 2*n >= fullest {
			number[i] = next
			next++
		}
	}
	return number
}

// chosen returns the middles of the lines that have a number.
func chosen(all []span, number []int) []float64 {
	var out []float64
	for i, l := range all {
		if number[i] >= 0 {
			out = append(out, l.low+float64((l.high-l.low)/2))
		}
	}
	return out
}

func count(marks []bool) int {
	n := 0
	for _, m := range marks {
		if m {
			n++
		}
	}
	return n
}

package assignment

// way is the search of one row for a column: how far each column is from the row, over exchanges.
type way[N int64 | float64] struct {
	far  []N
	from []int // column before it on the way; −1: the row itself
	done []bool
}

func newWay[N int64 | float64](columns int) way[N] {
	return way[N]{make([]N, columns), make([]int, columns), make([]bool, columns)}
}

// begin forgets the last row; nowhere is farther than any column.
func (w *way[N]) begin(nowhere N) {
	for c := range w.far {
		w.far[c], w.from[c], w.done[c] = nowhere, -1, false
	}
}

// reprice lets the prices follow a way of the given length, so that no reduced cost is below 0 and those on the way are 0. taken is the row of each column, −1
// for none, before the exchanges.
func (w *way[N]) reprice(row int, length N, taken []int, rowPrice, columnPrice []N) {
	rowPrice[row] += length
	for c, done := range w.done {
		if done && taken[c] >= 0 {
			rowPrice[taken[c]] += length - w.far[c]
			columnPrice[c] -= length - w.far[c]
		}
	}
}

// exchange moves the rows on the way to a column one column on, and the row that entered into the first; −1: there is no way.
func (w *way[N]) exchange(row, column int, taken []int) {
	for column >= 0 {
		before := w.from[column]
		if before < 0 {
			taken[column] = row
		} else {
			taken[column] = taken[before]
		}
		column = before
	}
}

package assignment

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"slatewright/trouble"
)

// Short is why no assignment can be: the rows, ascending, have only the columns, fewer of them, between them.
type Short struct{ Rows, Columns []int }

// Error says it with the numbers of rows and columns counted from 0.
func (s *Short) Error() string {
	return fmt.Sprintf("%s (%s) have only %s between them (%s)", trouble.Count(len(s.Rows), "row", "rows"), list(s.Rows),
		trouble.Count(len(s.Columns), "column", "columns"), list(s.Columns))
}

func list(of []int) string {
	if len(of) == 0 {
		return "none"
	}
	words := make([]string, len(of))
	for i, n := range of {
		words[i] = strconv.Itoa(n)
	}
	return strings.Join(words, ", ")
}

// Least gives every row a column of its own so that the sum of cost[row][column] is the least. There are at most as many rows as columns; a cost of +Inf
// forbids, other costs are finite and may be negative. sum adds the chosen costs in the order of rows.
//
// The prices prove it: rowPrice[r] + columnPrice[c] is cost[r][c] where c was chosen for r, and nowhere more than the cost; no columnPrice is above 0, and
// that of a column which stays free is 0. So no assignment costs less than the sum of all prices. All this holds exactly for costs that are whole
// numbers (below 2⁵⁰), and within the rounding of the sums otherwise: [Bound] is below every assignment in any case.
//
// The error is a Data trouble: a table that is no table, or, with a [Short] as its cause, that some rows have too few columns between them.
//
// Rows enter one after another by a shortest way of exchanges (N. Tomizawa, On some techniques useful for solution of transportation network problems,
// Networks 1, 1971, 173; R. Jonker and A. Volgenant, Computing 38, 1987, 325); of equal ways the first column is taken.
func Least(cost [][]float64) (column []int, sum float64, rowPrice, columnPrice []float64, err error) {
	columns, err := shape(cost)
	if err != nil {
		return nil, 0, nil, nil, err
	}
	f := &filler{cost: cost, rowPrice: make([]float64, len(cost)), columnPrice: make([]float64, columns), row: make([]int, columns),
		way: newWay[float64](columns)}
	for c := range f.row {
		f.row[c] = -1
	}
	for r := range cost {
		if short := f.enter(r); short != nil {
			return nil, 0, nil, nil, refuse(short)
		}
	}
	column = make([]int, len(cost))
	for c, r := range f.row {
		if r >= 0 {
			column[r] = c
		}
	}
	for r, c := range column {
		sum += cost[r][c]
	}
	return column, sum, f.rowPrice, f.columnPrice, nil
}

func refuse(short *Short) error {
	return &trouble.Trouble{Kind: trouble.KindData, Code: "no-assignment", Err: short,
		What: "the rows cannot all have a column: " + short.Error(), Next: "leave rows out, or allow them more columns"}
}

// shape holds the table against what a table must be, and counts its columns.
func shape(cost [][]float64) (columns int, err error) {
	if len(cost) == 0 {
		return 0, nil
	}
	columns = len(cost[0])
	for r, row := range cost {
		if len(row) != columns {
			return 0, trouble.Data("assignment-table", "row "+strconv.Itoa(r), fmt.Sprintf("%d costs, the first row has %d", len(row), columns),
				"give every row a cost for every column")
		}
		for c, x := range row {
			if math.IsNaN(x) || math.IsInf(x, -1) {
				return 0, trouble.Data("assignment-table", fmt.Sprintf("row %d, column %d", r, c), fmt.Sprintf("%v is no cost", x),
					"give a number, or +Inf where the two may not go together")
			}
		}
	}
	if len(cost) > columns {
		rows, all := make([]int, len(cost)), make([]int, columns)
		for r := range rows {
			rows[r] = r
		}
		for c := range all {
			all[c] = c
		}
		return 0, refuse(&Short{Rows: rows, Columns: all})
	}
	return columns, nil
}

// filler gives rows columns one after another. Reduced costs (cost − rowPrice − columnPrice) are never below 0 but for rounding, and 0 where a row sits.
type filler struct {
	way[float64]
	cost                  [][]float64
	rowPrice, columnPrice []float64
	row                   []int // of each column; −1: free
}

// enter gives a row a column by the cheapest way of exchanges, or says which rows have too few.
func (f *filler) enter(row int) *Short {
	f.begin(math.Inf(1))
	least := math.Inf(1)
	for c, x := range f.cost[row] {
		least = min(least, x-f.columnPrice[c])
	}
	if math.IsInf(least, 1) {
		return f.short(row)
	}
	f.rowPrice[row] = least // so that no reduced cost is below 0
	r, at, length := row, -1, 0.0
	for {
		next := f.look(r, at, length)
		if next < 0 {
			return f.short(row)
		}
		at, length = next, f.far[next]
		f.done[at] = true
		if f.row[at] < 0 {
			break
		}
		r = f.row[at]
	}
	f.reprice(row, length, f.row, f.rowPrice, f.columnPrice)
	f.exchange(row, at, f.row)
	return nil
}

// look follows the costs of row r, which sits at the given column, length from the row that enters, and returns the nearest column not yet done; −1: none
// can be reached. Of columns as near as each other a free one is taken first, then the first.
func (f *filler) look(r, at int, length float64) (next int) {
	next = -1
	costs := f.cost[r]
	for c, done := range f.done {
		if done {
			continue
		}
		// A reduced cost below 0 is rounding.
		if d := length + max(costs[c]-f.rowPrice[r]-f.columnPrice[c], 0); d < f.far[c] {
			f.far[c], f.from[c] = d, at
		}
		if math.IsInf(f.far[c], 1) {
			continue
		}
		if next < 0 || f.far[c] < f.far[next] || f.far[c] == f.far[next] && f.row[c] < 0 && f.row[next] >= 0 {
			next = c
		}
	}
	return next
}

// short names the row that cannot enter with all rows it could have taken a column from, and their columns.
func (f *filler) short(row int) *Short {
	s := &Short{Rows: []int{row}}
	for c, done := range f.done {
		if done {
			s.Columns = append(s.Columns, c)
			s.Rows = append(s.Rows, f.row[c])
		}
	}
	slices.Sort(s.Rows)
	return s
}

// Bound returns a number that no assignment of the rows costs less than, whatever the prices of columns are (those above 0 count as 0): the sum of
// the prices and of every row's least cost less price. Every operation is rounded down, so the bound holds for the costs as they stand.
// +Inf: a row is forbidden everywhere. The table is as for [Least], with one price a column.
func Bound(cost [][]float64, columnPrice []float64) float64 {
	sum := 0.0
	for _, price := range columnPrice {
		sum = below(sum + min(price, 0))
	}
	for _, row := range cost {
		least := math.Inf(1)
		for c, x := range row {
			least = min(least, x-min(columnPrice[c], 0))
		}
		sum = below(sum + below(least))
	}
	return sum
}

// below is a number under x by more than the rounding that made x.
func below(x float64) float64 {
	if x == 0 || math.IsInf(x, 0) {
		return x
	}
	return math.Nextafter(x, math.Inf(-1))
}

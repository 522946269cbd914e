// Package matching gives each row of a table at most one column so that the sum is the most, each column to no more rows than it has room for.
//
// It is exact, and meant for tables of a few hundred rows. It knows nothing of what rows and columns stand for; the same table gives the same answer.
package matching

import "math"

// Best returns the column of each row, −1 for none, and the sum. Worth[r][c] ≤ 0 is never chosen; room[c] is how many rows column c may have.
//
// Rows enter one after another, each by a shortest way of exchanges (R. Jonker and A. Volgenant, A shortest augmenting path algorithm for dense and
// sparse linear assignment problems, Computing 38, 1987, 325).
func Best(worth [][]int64, room []int) (chosen []int, sum int64) {
	rows := len(worth)
	chosen = make([]int, rows)
	var of []int // column of each seat; the last rows are seats of their own, for none
	for c, n := range room {
		for range min(n, rows) {
			of = append(of, c)
		}
	}
	for range rows {
		of = append(of, -1)
	}
	cost := func(r, seat int) int64 {
		if of[seat] < 0 {
			return 0
		}
		if w := worth[r][of[seat]]; w > 0 {
			return -w
		}
		return 0 // as good as none, and taken for it
	}
	seats := len(of)
	taken := make([]int, seats) // row of each seat
	for i := range taken {
		taken[i] = -1
	}
	rowPrice, seatPrice := make([]int64, rows), make([]int64, seats)
	for r := range rows {
		seatOne(r, seats, cost, taken, rowPrice, seatPrice)
	}
	for seat, r := range taken {
		if r >= 0 {
			chosen[r] = -1
			if c := of[seat]; c >= 0 && worth[r][c] > 0 {
				chosen[r] = c
				sum += worth[r][c]
			}
		}
	}
	return chosen, sum
}

// seatOne gives a row a seat by the cheapest way of exchanges.
func seatOne(row, seats int, cost func(r, seat int) int64, taken []int, rowPrice, seatPrice []int64) {
	far := make([]int64, seats)
	from := make([]int, seats) // seat before on the way; −1: the row itself
	done := make([]bool, seats)
	for s := range far {
		far[s], from[s] = math.MaxInt64, -1
	}
	r, at, length := row, -1, int64(0)
	for {
		next := -1
		for s := range seats {
			if done[s] {
				continue
			}
			if d := length + cost(r, s) - rowPrice[r] - seatPrice[s]; d < far[s] {
				far[s], from[s] = d, at
			}
			if next < 0 || far[s] < far[next] {
				next = s
			}
		}
		at, length = next, far[next]
		done[at] = true
		if taken[at] < 0 {
			break
		}
		r = taken[at]
	}
	rowPrice[row] += length
	for s := range seats {
		if done[s] && s != at {
			rowPrice[taken[s]] += length - far[s]
			seatPrice[s] -= length - far[s]
		}
	}
	for at >= 0 {
		before := from[at]
		if before < 0 {
			taken[at] = row
		} else {
			taken[at] = taken[before]
		}
		at = before
	}
}

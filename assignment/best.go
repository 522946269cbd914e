package assignment

import "math"

// Best returns the column of each row, −1 for none, and the sum. Worth[r][c] ≤ 0 is never chosen; room[c] is how many rows column c may have.
//
// Rows enter one after another, each by a shortest way of exchanges (R. Jonker and A. Volgenant, A shortest augmenting path algorithm for dense and
// sparse linear assignment problems, Computing 38, 1987, 325).
func Best(worth [][]int64, room []int) (chosen []int, sum int64) {
	m := matcher{worth: worth, rowPrice: make([]int64, len(worth))}
	for c, n := range room {
		for range min(n, len(worth)) {
			m.column = append(m.column, c)
			m.taken = append(m.taken, -1)
		}
	}
	m.seatPrice, m.way = make([]int64, len(m.column)), newWay[int64](len(m.column))
	for r := range worth {
		m.seat(r)
	}
	chosen = make([]int, len(worth))
	for r := range chosen {
		chosen[r] = -1
	}
	for seat, r := range m.taken {
		if r < 0 {
			continue
		}
		if c := m.column[seat]; worth[r][c] > 0 {
			chosen[r] = c
			sum += worth[r][c]
		}
	}
	return chosen, sum
}

// matcher seats rows. A seat is one place of a column; a row may also stay without one, at no cost and no price.
type matcher struct {
	way[int64]
	worth               [][]int64
	column              []int // of each seat
	taken               []int // row of each seat; −1: none
	rowPrice, seatPrice []int64
}

func (m *matcher) cost(r, seat int) int64 {
	return -max(m.worth[r][m.column[seat]], 0)
}

// seat gives a row a seat, or leaves one row without, by the cheapest way of exchanges.
func (m *matcher) seat(row int) {
	m.begin(math.MaxInt64)
	r, at, length := row, -1, int64(0)
	out, outAt := int64(math.MaxInt64), -1 // the cheapest way to leave a row without, and the seat that it frees
	for {
		if d := length - m.rowPrice[r]; d < out {
			out, outAt = d, at
		}
		next := -1
		for s := range m.far {
			if m.done[s] {
				continue
			}
			if d := length + m.cost(r, s) - m.rowPrice[r] - m.seatPrice[s]; d < m.far[s] {
				m.far[s], m.from[s] = d, at
			}
			if next < 0 || m.far[s] < m.far[next] {
				next = s
			}
		}
		if next < 0 || m.far[next] >= out {
			length, at = out, outAt
			break
		}
		at, length = next, m.far[next]
		m.done[at] = true
		if m.taken[at] < 0 {
			break
		}
		r = m.taken[at]
	}
	m.reprice(row, length, m.taken, m.rowPrice, m.seatPrice)
	m.exchange(row, at, m.taken)
}

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
	n := len(m.column)
	m.seatPrice, m.far, m.from, m.done = make([]int64, n), make([]int64, n), make([]int, n), make([]bool, n)
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
	worth               [][]int64
	column              []int // of each seat
	taken               []int // row of each seat; −1: none
	rowPrice, seatPrice []int64
	far                 []int64 // of each seat from the row that enters
	from                []int   // seat before it on the way; −1: the row itself
	done                []bool
}

func (m *matcher) cost(r, seat int) int64 {
	return -max(m.worth[r][m.column[seat]], 0)
}

// seat gives a row a seat, or leaves one row without, by the cheapest way of exchanges.
func (m *matcher) seat(row int) {
	for s := range m.far {
		m.far[s], m.from[s], m.done[s] = math.MaxInt64, -1, false
	}
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
	m.rowPrice[row] += length
	for s, done := range m.done {
		if done && m.taken[s] >= 0 {
			m.rowPrice[m.taken[s]] += length - m.far[s]
			m.seatPrice[s] -= length - m.far[s]
		}
	}
	for at >= 0 {
		before := m.from[at]
		if before < 0 {
			m.taken[at] = row
		} else {
			m.taken[at] = m.taken[before]
		}
		at = before
	}
}

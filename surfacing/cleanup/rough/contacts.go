package rough

import "math"

// contacts are stations that can hold two parallel planes: weights of each face that add to 1 and have the same middle. The thickness along z that they
// leave is the weighted height of the top less that of the bottom.
type contacts struct{ weight [2][stations]float64 }

// stations are the ones of either face.
func (c *contacts) stations() (top, bottom []int) {
	for k := range stations {
		if c.weight[0][k] > 0 {
			top = append(top, k)
		}
		if c.weight[1][k] > 0 {
			bottom = append(bottom, k)
		}
	}
	return top, bottom
}

// lost is what the faces lose at the contacts when they drop.
func (c *contacts) lost(drop [2][stations]float64) (sum float64) {
	for side := range 2 {
		for k, w := range c.weight[side] {
			sum += w * drop[side][k]
		}
	}
	return sum
}

// ways are all sets of contacts of which none is a mixture of others: the same station on both faces, a station and two or three around it, and two pairs
// that cross.
func ways() (list []contacts) {
	for i := range stations {
		list = append(list, weighted([]int{i}, []int{i})...)
		for j := range i {
			for k := range stations {
				list = append(list, weighted([]int{k}, []int{i, j})...)
				list = append(list, weighted([]int{i, j}, []int{k})...)
				for l := range k {
					list = append(list, weighted([]int{i, j}, []int{k, l})...)
				}
				if k < j {
					for l := range stations {
						list = append(list, weighted([]int{l}, []int{i, j, k})...)
						list = append(list, weighted([]int{i, j, k}, []int{l})...)
					}
				}
			}
		}
	}
	return list
}

// weighted gives the stations their weights, where there is one way to and all are above 0.
func weighted(top, bottom []int) []contacts {
	n := len(top) + len(bottom)
	m := make([][]float64, 4) // Σλ = 1, Σμ = 1, and the same middle both ways
	for row := range m {
		m[row] = make([]float64, n+1)
	}
	m[0][n], m[1][n] = 1, 1
	for c := range n {
		side, k := 0, 0
		if c < len(top) {
			k = top[c]
		} else {
			side, k = 1, bottom[c-len(top)]
		}
		x, y := place(k)
		sign := float64(1 - 2*side)
		m[side][c], m[2][c], m[3][c] = 1, sign*x, sign*y
	}
	w, ok := only(m, n)
	if !ok {
		return nil
	}
	var out contacts
	for c, v := range w {
		if !(v > 1e-9) {
			return nil
		}
		if c < len(top) {
			out.weight[0][top[c]] = v
		} else {
			out.weight[1][bottom[c-len(top)]] = v
		}
	}
	return []contacts{out}
}

// only solves four equations in n ≤ 4 unknowns, if there is one solution.
func only(m [][]float64, n int) ([]float64, bool) {
	for k := range n {
		p := k
		for i := k + 1; i < 4; i++ {
			if math.Abs(m[i][k]) > math.Abs(m[p][k]) {
				p = i
			}
		}
		if math.Abs(m[p][k]) < 1e-9 {
			return nil, false
		}
		m[k], m[p] = m[p], m[k]
		for i := range 4 {
			if i == k {
				continue
			}
			f := m[i][k] / m[k][k]
			for j := k; j <= n; j++ {
				m[i][j] -= f * m[k][j]
			}
		}
	}
	w := make([]float64, n)
	for k := range n {
		w[k] = m[k][n] / m[k][k]
	}
	for i := n; i < 4; i++ {
		if math.Abs(m[i][n]) > 1e-9 {
			return nil, false
		}
	}
	return w, true
}

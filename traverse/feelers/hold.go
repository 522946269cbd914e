package feelers

import "math"

// hold takes planes out of the unknowns of the edges' lines: the least-squares plane of the mean edges over the stations is kept at 0.
// Each of its rows gives one unknown by the others. No shape changes with a plane, so nothing is lost; and since the faces that agree
// with the readings are then near 0, the boxes are small.
type hold struct {
	given []int       // unknowns that are given by the others
	by    [][]float64 // coefficients of all unknowns in each, 0 for the given ones
	n     int         // unknowns in all
}

func (p *problem) hold() hold {
	h := hold{n: 2 * len(p.set.Lines)}
	for _, e := range p.frame.Basis {
		row := make([]float64, h.n)
		for i, place := range p.stations {
			for _, k := range p.at[place] {
				p.edge(row, k, e[i]/float64(len(p.at[place])))
			}
		}
		h.take(row)
	}
	return h
}

// take adds the row · unknowns = 0, solved for the unknown of its largest coefficient.
func (h *hold) take(row []float64) {
	h.insert(row)
	j := 0
	for i, v := range row {
		if math.Abs(v) > math.Abs(row[j]) {
			j = i
		}
	}
	if math.Abs(row[j]) < 1e-9 {
		return
	}
	by := make([]float64, h.n)
	for i, v := range row {
		if i != j {
			by[i] = -v / row[j]
		}
	}
	for _, other := range h.by {
		c := other[j]
		other[j] = 0
		for i, v := range by {
			other[i] += c * v
		}
	}
	h.given, h.by = append(h.given, j), append(h.by, by)
}

// insert puts what the given unknowns are into a row.
func (h *hold) insert(row []float64) {
	for k, j := range h.given {
		c := row[j]
		row[j] = 0
		if c == 0 {
			continue
		}
		for i, v := range h.by[k] {
			row[i] += c * v
		}
	}
}

// free is how many unknowns are left.
func (h *hold) free() int { return h.n - len(h.given) }

// row is a row in the unknowns that are left, with room for more behind them. The wide row is changed.
func (h *hold) row(wide []float64, more int) []float64 {
	h.insert(wide)
	row := make([]float64, 0, h.free()+more)
	for i, v := range wide {
		given := false
		for _, j := range h.given {
			given = given || i == j
		}
		if !given {
			row = append(row, v)
		}
	}
	return row[:h.free()+more]
}

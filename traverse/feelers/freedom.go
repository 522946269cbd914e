package feelers

import "math"

// freedoms is how many ways the edges can move stations, by any amount, without a strip that notices and without being a plane: what the ties
// between the lines leave open of where the edges are above the stations. Rays of single bounds are not counted; the linear programs see them.
func (p *problem) freedoms() int {
	var rows [][]float64
	wide := make([]float64, 2*len(p.set.Lines))
	for _, t := range p.ties {
		clear(wide)
		p.edge(wide, t[0], 1)
		p.edge(wide, t[1], -1)
		rows = append(rows, p.held.row(wide, 0))
	}
	tied := rank(rows, p.held.free())
	for _, place := range p.stations {
		for _, k := range p.at[place] {
			clear(wide)
			p.edge(wide, k, 1)
			rows = append(rows, p.held.row(wide, 0))
		}
	}
	return rank(rows, p.held.free()) - tied
}

// rank is that of rows of n numbers, by elimination; the rows are changed, their span is not.
func rank(rows [][]float64, n int) (rank int) {
	for j := range n {
		best := -1
		for i := rank; i < len(rows); i++ {
			if math.Abs(rows[i][j]) > loosest && (best < 0 || math.Abs(rows[i][j]) > math.Abs(rows[best][j])) {
				best = i
			}
		}
		if best < 0 {
			continue
		}
		rows[rank], rows[best] = rows[best], rows[rank]
		for i := rank + 1; i < len(rows); i++ {
			f := rows[i][j] / rows[rank][j]
			for k := j; k < n; k++ {
				rows[i][k] -= f * rows[rank][k]
			}
		}
		rank++
	}
	return rank
}

// loosest is the pivot below which a tie holds nothing; places are counted in lengths of the line.
const loosest = 1e-9

// twist tells whether the only freedom is the twist that lines in two directions leave.
func (p *problem) twist() bool {
	var ways [][2]float64
	for _, l := range p.set.Lines {
		known := false
		for _, w := range ways {
			sine := (w[0]*l.along[1] - w[1]*l.along[0]) / math.Hypot(w[0], w[1]) / math.Hypot(l.along[0], l.along[1])
			known = known || math.Abs(sine) < 1e-6
		}
		if !known {
			ways = append(ways, l.along)
		}
	}
	return len(ways) == 2 && p.freedoms() == 1
}

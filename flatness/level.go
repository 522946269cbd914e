package flatness

import (
	"slatewright/lowlp"
)

// level is the one place where the zone meets lowlp: two planes t = p·u + q·v + top and … + bottom above and below all heights
// w over a plane, as close as can be measured along w.
//
//	minimise top − bottom subject to w − p·u − q·v ≤ top and w − p·u − q·v ≥ bottom
//
// The unknowns are p, q, top, bottom; each point gives two rows.
type level struct{ u, v, w []float64 }

// levelBlock is how many points report one row for the top and one for the bottom. Small, so that a few scans bring in
// all that matters; a small share, so that the working set stays small.
const levelBlock = 64

// Dim returns the number of unknowns.
func (l *level) Dim() int { return 4 }

// rowOf numbers the rows so that the tops of a block come first and its bottoms after them.
func rowOf(i int, upper bool) int {
	row := i/levelBlock*2*levelBlock + i%levelBlock
	if !upper {
		row += levelBlock
	}
	return row
}

// pointOf is the inverse of rowOf.
func pointOf(row int) (i int, upper bool) {
	within := row % (2 * levelBlock)
	return row/(2*levelBlock)*levelBlock + within%levelBlock, within < levelBlock
}

// Row writes a row's coefficients.
func (l *level) Row(row int, a []float64) float64 {
	i, upper := pointOf(row)
	if upper {
		a[0], a[1], a[2], a[3] = -l.u[i], -l.v[i], -1, 0
		return -l.w[i]
	}
	a[0], a[1], a[2], a[3] = l.u[i], l.v[i], 0, 1
	return l.w[i]
}

// Worst reports, block by block, the point farthest above the top and the one farthest below the bottom.
func (l *level) Worst(x []float64, ray bool, yield func(int, float64)) {
	p, q, top, bottom := x[0], x[1], x[2], x[3]
	keep := 1.0
	if ray {
		keep = 0
	}
	for lo := 0; lo < len(l.w); lo += levelBlock {
		high, low := -1, -1
		most, least := top, bottom
		for i := lo; i < min(lo+levelBlock, len(l.w)); i++ {
			r := float64(keep*l.w[i]) - float64(p*l.u[i]) - float64(q*l.v[i])
			if r > most {
				high, most = i, r
			}
			if r < least {
				low, least = i, r
			}
		}
		if high >= 0 {
			yield(rowOf(high, true), most-top)
		}
		if low >= 0 {
			yield(rowOf(low, false), bottom-least)
		}
	}
}

// contact is a point that holds one of the two planes, with its weight in the proof: the weights of each side sum to 1.
type contact struct {
	i      int // in the sample
	upper  bool
	weight float64
}

// solve returns the tilt and what it rests on. warm lists contacts that are likely to be there again.
func (l *level) solve(warm []contact) (p, q float64, on []contact, err error) {
	problem := lowlp.Problem{Cost: []float64{0, 0, 1, -1}, Rows: l, Warm: make([]int, 0, 12+len(warm))}
	// The outermost points show how wide and how high the face is: from them the solver takes its scale, and a tilt that
	// the contacts leave free ends at another point.
	for _, i := range l.outermost() {
		problem.Warm = append(problem.Warm, rowOf(i, true), rowOf(i, false))
	}
	for _, c := range warm {
		problem.Warm = append(problem.Warm, rowOf(c.i, c.upper))
	}
	s, err := lowlp.Solve(problem)
	if err != nil {
		return 0, 0, nil, err
	}
	if s.Status != lowlp.Optimal {
		return 0, 0, nil, lost("the zone of points that are all finite came back " + s.Status.String())
	}
	for k, row := range s.Active {
		i, upper := pointOf(row)
		on = append(on, contact{i: i, upper: upper, weight: s.Multipliers[k]})
	}
	return s.V[0], s.V[1], on, nil
}

// outermost returns the points of smallest and largest u, v and w.
func (l *level) outermost() (out [6]int) {
	for k, column := range [3][]float64{l.u, l.v, l.w} {
		least, most := 0, 0
		for i, x := range column {
			if x < column[least] {
				least = i
			}
			if x > column[most] {
				most = i
			}
		}
		out[2*k], out[2*k+1] = least, most
	}
	return out
}

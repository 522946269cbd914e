package threes

import (
	"math"
	"slices"
)

// generate solves the program over all threes: it takes in whatever has a negative reduced cost, truly priced, until nothing has,
// and raises the bound by what the prices prove on the way. False: it was stopped.
func (st *stage) generate() (done bool, err error) {
	p := st.p
	p.dual(math.Inf(1))
	for {
		p.primal()
		if st.halt() {
			return false, st.wrong
		}
		q := p.pricesOf()
		found, least := q.scan(st.t, p, -tiny, 2)
		st.last = proof{p, q, p.proven(q.y, min(least, p.least(q.y, len(p.groups))))}
		if st.raise(st.last.bound); len(found) == 0 || st.over() {
			return true, nil
		}
		patterns := len(st.t.patterns)
		list := pick(found, st.t.n, 3)
		columns, priced := len(p.cols), st.t.priced
		if err := st.learn(list); err != nil {
			return false, err
		}
		if st.again = len(st.t.patterns) != patterns; st.again {
			return false, nil
		}
		for _, c := range list {
			p.enter(c)
		}
		if len(p.cols) == columns && st.t.priced == priced { // what is left is rounding
			return true, nil
		}
	}
}

// sound are the program's prices with 0 in place of those whose sign is wrong: what they prove holds whatever rounding did to the pivots.
func (p *program) sound() []float64 {
	y := slices.Clone(p.y)
	p.clip(y)
	return y
}

// clip lets no row that need not be tight have a price above 0.
func (p *program) clip(y []float64) {
	for r, v := range y {
		if v > 0 && !p.tight[r] {
			y[r] = 0
		}
	}
}

// proven is what sound prices prove of the program's value when no reduced cost is below least: the threes and the shortages of a
// solution add up to the sets that are wanted.
func (p *program) proven(y []float64, least float64) float64 {
	sum, size := 0.0, 0.0
	for r, v := range y {
		sum += p.b[r] * v
		size += math.Abs(p.b[r] * v)
	}
	return sum + float64(p.total)*min(0, least) - 1e-14*size
}

// least is the least reduced cost by prices y of the first so many columns that need not be 0; 0 if none is negative.
func (p *program) least(y []float64, columns int) float64 {
	least := 0.0
	for j := range columns {
		if !p.dead[j] {
			least = min(least, p.cols[j].cost-priceOf(p.cols[j].rows, y))
		}
	}
	return least
}

// enter takes a priced three in if its reduced cost is negative for the best group that it serves.
func (p *program) enter(c three) {
	place := p.t.at(int(c[0]), int(c[1]), int(c[2]))
	if math.IsInf(p.t.low[place], 1) {
		return
	}
	if g, _ := p.best(p.t.served(place)); g >= 0 {
		p.take(c, g)
	}
}

// pick takes the candidates of least reduced cost, each thing at most most times.
func pick(found []candidate, n, most int) []three {
	slices.SortFunc(found, byReduced)
	times := make([]int, n)
	var list []three
	for _, f := range found {
		c := f.three
		if times[c[0]] < most || times[c[1]] < most || times[c[2]] < most {
			list = append(list, c)
			for _, i := range c {
				times[i]++
			}
		}
	}
	return list
}

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
		if st.raise(p.proven(least)); len(found) == 0 || st.over() {
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

// proven is what the prices prove of the program's value when no reduced cost is below least: a solution has at most as many
// threes as there are sets wanted.
func (p *program) proven(least float64) float64 {
	b := p.bound()
	size := 0.0
	for r, y := range p.y {
		size += math.Abs(p.b[r] * y)
	}
	return b + float64(p.total)*min(0, least) - 1e-14*size
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

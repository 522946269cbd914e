package threes

import (
	"math"
	"slices"

	"slatewright/sets/threes/known"
)

// proof is prices that prove a bound, kept for saying in the end why threes needed no true price.
type proof struct {
	p      *program // for how costs count
	prices *known.Prices
	bound  float64 // of the program's value
	y      []float64
	least  float64 // no reduced cost by y is below it
}

// costly counts the threes that were never truly priced because a plan with one of them costs at least so much: the bound and its reduced cost
// together.
func (q *proof) costly(t *known.Table, cost float64) int {
	return q.prices.Costly(t, cost-float64(q.p.total)*q.p.scale.Shift-q.bound)
}

// generate solves the program over all threes: it takes in whatever has a negative reduced cost, truly priced, until nothing has,
// and raises the bound by what the prices prove on the way. False: it was stopped.
func (st *stage) generate() (done bool, err error) {
	p := st.p
	p.Dual(math.Inf(1))
	for {
		p.Primal()
		if st.halt() {
			return false, st.wrong
		}
		y := p.Sound()
		q := p.prices(y)
		found, least := q.Scan(st.t, -tiny, 2)
		least = min(least, p.Least(y, len(p.groups)))
		st.last = &proof{p, q, p.proven(y, least), y, least}
		if st.raise(st.last.bound); len(found) == 0 || st.over() {
			return true, nil
		}
		patterns := len(st.t.Patterns)
		list := pick(found, st.t.N, 3)
		columns, priced := p.Columns(), st.t.Priced
		if err := st.learn(list); err != nil {
			return false, err
		}
		if st.again = len(st.t.Patterns) != patterns; st.again {
			return false, nil
		}
		for _, c := range list {
			p.enter(q, c)
		}
		if p.Columns() == columns && st.t.Priced == priced { // what is left is rounding
			return true, nil
		}
	}
}

// proven is what sound prices prove of the program's value when no reduced cost is below least: the threes and the shortages of a
// solution add up to the sets that are wanted.
func (p *program) proven(y []float64, least float64) float64 {
	return p.Proven(y, float64(p.total), least)
}

// pick takes the candidates of least reduced cost, each thing at most most times.
func pick(found []known.Candidate, n, most int) []three {
	slices.SortFunc(found, known.ByReduced)
	times := make([]int, n)
	var list []three
	for _, f := range found {
		c := f.Three
		if times[c[0]] < most || times[c[1]] < most || times[c[2]] < most {
			list = append(list, c)
			for _, i := range c {
				times[i]++
			}
		}
	}
	return list
}

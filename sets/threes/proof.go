package threes

import "math"

// proof is prices that prove a bound, kept for saying in the end why threes needed no true price.
type proof struct {
	p      *program // for how costs count
	prices *prices
	bound  float64 // of the program's value
}

// count is how many threes were never truly priced because a plan with one of them costs at least as much as the plan found: the
// bound and its reduced cost together.
func (q *proof) count(t *table, cost float64) int {
	save, n := cost-float64(q.p.total)*q.p.shift-q.bound, 0
	work := make([]float64, q.prices.n)
	for i := range q.prices.n {
		for j := i + 1; j < q.prices.n-1; j++ {
			off := q.prices.one[i] + q.prices.one[j] + q.prices.top
			if q.prices.two != nil {
				off += q.prices.two[i*q.prices.n+j]
			}
			first := t.at(i, j, j+1)
			low := t.row(i, j)
			for r, d := range q.prices.reduced(t, q.p, i, j, off, work) {
				if d >= save && !math.IsInf(low[r], 1) && !t.isKnown(first+int32(r)) {
					n++
				}
			}
		}
	}
	return n
}

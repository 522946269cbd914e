package known

import (
	"cmp"
	"math"
	"slices"

	"slatewright/cores"
)

// Candidate is a three with its reduced cost.
type Candidate struct {
	Three Three
	D     float64
}

// Scan passes over all threes, on all cores, and returns those whose reduced cost by what is known is below most, at most keep of each row {i, j, …},
// and the least reduced cost of all; +Inf where there are none.
func (q *Prices) Scan(t *Table, most float64, keep int) ([]Candidate, float64) {
	found, least := make([][]Candidate, q.n), make([]float64, q.n)
	cores.Share(q.n, 16, func(from, to int) {
		work := make([]float64, q.n)
		for a := from; a < to; a++ {
			i := spread(a, q.n)
			found[i], least[i] = q.rows(t, i, most, keep, work)
		}
	})
	return slices.Concat(found...), slices.Min(append(least, math.Inf(1)))
}

// rows scans the threes whose first thing is i.
func (q *Prices) rows(t *Table, i int, most float64, keep int, work []float64) (found []Candidate, least float64) {
	least = math.Inf(1)
	for j := i + 1; j < q.n-1; j++ {
		off := q.one[i] + q.one[j] + q.top
		if q.two != nil {
			off += q.two[i*q.n+j]
		}
		if q.two == nil && q.scale.Of(t.RowLow(i, j))-off-q.most[j+1] >= max(most, least) {
			continue
		}
		begin, bar := len(found), most // what is not below the bar is not kept
		for r, d := range q.reduced(t, i, j, off, work) {
			if d >= bar && d >= least {
				continue
			}
			c := Three{int32(i), int32(j), int32(j + 1 + r)}
			if d = q.exact(t, c, d); d < least {
				least = d
			}
			if d >= bar {
				continue
			}
			if len(found)-begin < keep {
				found = append(found, Candidate{c, d})
			} else {
				found[begin+worst(found[begin:])] = Candidate{c, d}
			}
			if len(found)-begin == keep {
				bar = found[begin+worst(found[begin:])].D
			}
		}
	}
	return found, least
}

// worst is the place of the candidate of largest reduced cost, of those alike the last.
func worst(list []Candidate) (at int) {
	for a := range list {
		if ByReduced(list[a], list[at]) > 0 {
			at = a
		}
	}
	return at
}

// reduced are the reduced costs of {i, j, k} for every k > j, every three taken to serve the best group.
func (q *Prices) reduced(t *Table, i, j int, off float64, work []float64) []float64 {
	low, one := t.Row(i, j), q.one[j+1:]
	row := work[:len(low)]
	one = one[:len(low)]
	if q.scale.plain() {
		off += q.scale.Shift
		for r, f := range low {
			row[r] = f - off - one[r]
		}
	} else {
		for r, f := range low {
			if row[r] = f; f < math.Inf(1) {
				row[r] = q.scale.Of(f) - off - one[r]
			}
		}
	}
	if q.two == nil {
		return row
	}
	a, b := q.two[i*q.n+j+1:], q.two[j*q.n+j+1:]
	a, b = a[:len(row)], b[:len(row)]
	for r := range row {
		row[r] -= a[r] + b[r]
	}
	for _, e := range q.whole[int32(i*q.n+j)] {
		for _, k := range e.list {
			row[int(k)-j-1] -= e.less
		}
	}
	return row
}

// ByReduced orders candidates by their reduced costs, those alike by their things.
func ByReduced(a, b Candidate) int {
	if c := cmp.Compare(a.D, b.D); c != 0 {
		return c
	}
	return slices.Compare(a.Three[:], b.Three[:])
}

// Costly is how many threes were never truly priced, may be sets by their floors, and have a reduced cost of save or more.
func (q *Prices) Costly(t *Table, save float64) (n int) {
	work := make([]float64, q.n)
	for i := range q.n {
		for j := i + 1; j < q.n-1; j++ {
			off := q.one[i] + q.one[j] + q.top
			if q.two != nil {
				off += q.two[i*q.n+j]
			}
			first := t.At(i, j, j+1)
			low := t.Row(i, j)
			for r, d := range q.reduced(t, i, j, off, work) {
				if d >= save && !math.IsInf(low[r], 1) && !t.IsKnown(first+int32(r)) {
					n++
				}
			}
		}
	}
	return n
}

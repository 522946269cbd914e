package threes

import (
	"cmp"
	"math"
	"slices"

	"slatewright/cores"
)

// prices are the prices of a program in the form in which a pass over all threes wants them: the reduced cost of {i, j, k} is its
// cost less one[i] + one[j] + one[k], less the pairs' two[…] and less what the cuts say of three things that all stand in them.
type prices struct {
	n     int
	y     []float64 // of the rows, sound
	one   []float64
	two   []float64          // n·n, symmetrical; nil: none
	whole map[int32][]inside // by pair i·n+j, i < j: what threes wholly inside a cut differ
	top   float64            // the largest price of a group
	most  []float64          // largest one[k] for k ≥ …
}

// inside is what is to be taken off the reduced cost of a three that stands wholly in a cut, on top of the pairs.
type inside struct {
	list []int32 // the cut's things after the pair
	in   []bool  // whether a thing is in the cut
	less float64
}

// candidate is a three with its reduced cost.
type candidate struct {
	three three
	d     float64
}

// pricesOf takes the prices out of the program.
func (p *program) pricesOf() *prices {
	n := p.t.n
	y := p.sound()
	q := &prices{n: n, y: y, one: slices.Clone(y[:n]), most: make([]float64, n+1), top: math.Inf(-1)}
	for g := range p.groups {
		q.top = max(q.top, y[n+g])
	}
	q.cuts(p)
	q.most[n] = math.Inf(-1)
	for k := n - 1; k >= 0; k-- {
		q.most[k] = max(q.most[k+1], q.one[k])
	}
	return q
}

// cuts adds what the cuts' prices do: by[1] to the things, the rest to pairs, and what threes inside S differ from three pairs.
func (q *prices) cuts(p *program) {
	base := q.n + len(p.groups)
	for c := range p.cuts {
		y, cut := q.y[base+c], &p.cuts[c]
		if y == 0 {
			continue
		}
		if q.two == nil {
			q.two, q.whole = make([]float64, q.n*q.n), map[int32][]inside{}
		}
		pair, all := cut.by[2]-2*cut.by[1], cut.by[3]-3*cut.by[2]+3*cut.by[1]
		for a, i := range cut.list {
			q.one[i] += y * cut.by[1]
			for _, j := range cut.list[:a] {
				q.two[int(i)*q.n+int(j)] += y * pair
				q.two[int(j)*q.n+int(i)] += y * pair
				if all != 0 {
					q.whole[j*int32(q.n)+i] = append(q.whole[j*int32(q.n)+i], inside{cut.list[a+1:], cut.in, y * all})
				}
			}
		}
	}
}

// scan passes over all threes and returns those whose reduced cost by floors is below most, at most keep of each row {i, j, …},
// and the least reduced cost of all.
func (q *prices) scan(t *table, p *program, most float64, keep int) ([]candidate, float64) {
	found, least := make([][]candidate, q.n), make([]float64, q.n)
	cores.Share(q.n, 16, func(from, to int) {
		work := make([]float64, q.n)
		for a := from; a < to; a++ {
			i := spread(a, q.n)
			found[i], least[i] = q.rows(t, p, i, most, keep, work)
		}
	})
	return slices.Concat(found...), slices.Min(least)
}

// rows scans the threes whose first thing is i.
func (q *prices) rows(t *table, p *program, i int, most float64, keep int, work []float64) (found []candidate, least float64) {
	least = math.Inf(1)
	for j := i + 1; j < q.n-1; j++ {
		off := q.one[i] + q.one[j] + q.top
		if q.two != nil {
			off += q.two[i*q.n+j]
		}
		if q.two == nil && p.scaled(t.rowLow[i*q.n+j])-off-q.most[j+1] >= max(most, least) {
			continue
		}
		begin := len(found)
		row := q.reduced(t, p, i, j, off, work)
		for r, d := range row {
			if d >= most && d >= least {
				continue
			}
			c := three{int32(i), int32(j), int32(j + 1 + r)}
			if d = q.exact(t, p, c, d); d < least {
				least = d
			}
			if d < most {
				found = append(found, candidate{c, d})
			}
		}
		found = keepBest(found, begin, keep)
	}
	return found, least
}

// reduced are the reduced costs of {i, j, k} for every k > j, every three taken to serve the best group.
func (q *prices) reduced(t *table, p *program, i, j int, off float64, work []float64) []float64 {
	low, one := t.row(i, j), q.one[j+1:]
	row := work[:len(low)]
	one = one[:len(low)]
	if p.scale == wholeCost {
		off += p.shift
		for r, f := range low {
			row[r] = f - off - one[r]
		}
	} else {
		for r, f := range low {
			if row[r] = f; f < math.Inf(1) {
				row[r] = p.scaled(f) - off - one[r]
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

// exact mends the reduced cost of a three that is known not to serve every group.
func (q *prices) exact(t *table, p *program, c three, d float64) float64 {
	place := t.at(int(c[0]), int(c[1]), int(c[2]))
	if len(p.groups) == 1 || !t.isKnown(place) {
		return d
	}
	g, y := p.best(t.serves[place])
	if g < 0 {
		return math.Inf(1)
	}
	return d + q.top - y
}

// keepBest leaves at most keep of found[begin:], those of least reduced cost.
func keepBest(found []candidate, begin, keep int) []candidate {
	if len(found)-begin <= keep {
		return found
	}
	slices.SortFunc(found[begin:], byReduced)
	return found[:begin+keep]
}

func byReduced(a, b candidate) int {
	if c := cmp.Compare(a.d, b.d); c != 0 {
		return c
	}
	return slices.Compare(a.three[:], b.three[:])
}

package lowlp

import "math"

// rayTolerance is how much a unit ray must gain, as a share of the cost's size, to count as one.
const rayTolerance = 1e-9

// unbounded looks for a ray along which the objective falls for ever, and a feasible point to start it from.
func (c *core) unbounded(p Problem) (Solution, bool) {
	r := newCore(c.rows, c.cost, nil, true)
	r.stop = c.stop
	r.take(c.ids())
	if r.run() != settled {
		return Solution{}, false
	}
	ray := r.point()
	size := 0.0
	for _, x := range c.cost {
		size = max(size, math.Abs(x))
	}
	if dot(c.cost, ray) > -rayTolerance*size {
		return Solution{}, false
	}
	least, err := Solve(relax(p, c.ids()))
	if err != nil || least.Status != Optimal {
		return Solution{}, false
	}
	if least.Value > least.slackOf(p) {
		return c.refused(least), true
	}
	return Solution{Status: Unbounded, V: least.V[:c.d], Ray: ray, Value: math.Inf(-1), Bound: math.Inf(-1),
		Scans: c.scans + r.scans + least.Scans, Pivots: c.pivots + r.pivots + least.Pivots, inner: &least}, true
}

// infeasible shows that the rows contradict each other: the least t for which a·v ≤ b + t can be met is positive. Which
// rows forbid a smaller t is the Farkas combination.
func (c *core) infeasible(p Problem) (Solution, bool) {
	if _, again := p.Rows.(relaxed); again {
		return Solution{}, false
	}
	least, err := Solve(relax(p, c.ids()))
	if err != nil || least.Status != Optimal || least.Value <= least.slackOf(p) {
		return Solution{}, false
	}
	return c.refused(least), true
}

func (c *core) refused(least Solution) Solution {
	s := Solution{Status: Infeasible, Value: least.Value, Bound: math.Inf(-1), Scans: c.scans + least.Scans,
		Pivots: c.pivots + least.Pivots, Exact: least.Exact, inner: &least}
	s.fromRelaxed()
	return s
}

// fromRelaxed takes the Farkas rows out of the relaxed optimum.
func (s *Solution) fromRelaxed() {
	s.Farkas, s.Multipliers = nil, nil
	for k, i := range s.inner.Active {
		if i > 0 {
			s.Farkas = append(s.Farkas, i-1)
			s.Multipliers = append(s.Multipliers, s.inner.Multipliers[k])
		}
	}
}

// slackOf returns how large a relaxation of p's rows is still rounding, from the sizes of the active rows' terms.
func (s *Solution) slackOf(p Problem) float64 {
	a := make([]float64, p.Rows.Dim())
	size := 0.0
	for _, i := range s.Active {
		if i == 0 {
			continue
		}
		b := p.Rows.Row(i-1, a)
		size = max(size, math.Abs(b)+sizeOf(a, s.V[:len(a)]))
	}
	return 64 * eps * size
}

// ids returns the caller's rows of the working set.
func (c *core) ids() []int { return c.id[2*c.d:] }

// relaxed is the system a·v − t ≤ b, t ≥ 0, in d+1 unknowns. Row 0 is t ≥ 0; row i+1 is the caller's row i.
type relaxed struct{ rows Rows }

// relax is the problem of the least t for which every row can be met to within t. It always has an optimum.
func relax(p Problem, warm []int) Problem {
	d := p.Rows.Dim()
	q := Problem{Rows: relaxed{p.Rows}, Cost: make([]float64, d+1), Start: make([]float64, d+1), Warm: []int{0}, Stop: p.Stop}
	copy(q.Start, p.Start)
	q.Cost[d] = 1
	for _, i := range warm {
		q.Warm = append(q.Warm, i+1)
	}
	return q
}

func (r relaxed) Dim() int { return r.rows.Dim() + 1 }

func (r relaxed) Row(i int, a []float64) float64 {
	d := r.rows.Dim()
	if i == 0 {
		clear(a)
		a[d] = -1
		return 0
	}
	b := r.rows.Row(i-1, a[:d])
	a[d] = -1
	return b
}

func (r relaxed) Worst(v []float64, ray bool, yield func(int, float64)) {
	d := r.rows.Dim()
	t := v[d]
	if t < 0 {
		yield(0, -t)
	}
	r.rows.Worst(v[:d], ray, func(i int, excess float64) {
		if excess > t {
			yield(i+1, excess-t)
		}
	})
}

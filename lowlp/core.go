package lowlp

import (
	"math"

	"slatewright/trouble"
)

const (
	eps   = 0x1p-52
	slack = 8 * eps // an excess below this share of a row's terms is rounding
)

// core is the working set of one solve: rows scaled by powers of two, centred on start, and boxed in.
//
// The unknowns of the inside are δ with v = start + scale·δ. A box |δⱼ| ≤ half gives the dual simplex method a basis to
// begin with; it is widened when it turns out to matter.
type core struct {
	rows  Rows
	d     int
	ray   bool // right sides count as 0, and the unit box is part of the problem
	cost  []float64
	start []float64
	scale []float64 // powers of two
	half  float64   // half the side of the box, a power of two

	a      []float64 // scaled coefficients, d for each working row; the first 2d rows are the box
	b      []float64
	own    []float64   // the caller's right sides, not centred
	id     []int       // number of the caller's row; the box's are negative
	place  map[int]int // caller's row → working row
	basis  []int       // d working rows
	inside []bool      // working row is in the basis

	f      *lu
	delta  []float64
	lambda []float64
	weight []float64
	scans  int
	pivots int
	exact  bool
	stop   func() bool
}

func (c *core) stopped() bool { return c.stop != nil && c.stop() }

func newCore(rows Rows, cost, start []float64, ray bool) *core {
	d := rows.Dim()
	c := &core{rows: rows, d: d, ray: ray, cost: cost, start: start, place: map[int]int{}, f: newLU(d),
		delta: make([]float64, d), lambda: make([]float64, d), weight: make([]float64, d)}
	if start == nil {
		c.start = make([]float64, d)
	}
	c.scale = make([]float64, d)
	for j := range c.scale {
		c.scale[j] = 1
	}
	c.reserveBox()
	return c
}

// take brings rows into the working set; rows that are there already are passed over. It reports whether any was new.
func (c *core) take(ids []int) bool {
	grew := false
	a := make([]float64, c.d)
	for _, i := range ids {
		if _, ok := c.place[i]; ok {
			continue
		}
		b := c.rows.Row(i, a)
		if c.ray {
			b = 0
		}
		c.place[i] = len(c.b)
		c.id = append(c.id, i)
		c.b = append(c.b, b-dot(a, c.start))
		c.own = append(c.own, b)
		for j, x := range a {
			c.a = append(c.a, x*c.scale[j])
		}
		c.inside = append(c.inside, false)
		grew = true
	}
	return grew
}

// reserveBox puts the 2d rows of the box first; setBox sets their right sides.
func (c *core) reserveBox() {
	for j := range c.d {
		for _, sign := range []float64{1, -1} {
			row := make([]float64, c.d)
			row[j] = sign
			c.a = append(c.a, row...)
			c.b = append(c.b, 0)
			c.own = append(c.own, 0)
			c.id = append(c.id, -1-len(c.id))
			c.inside = append(c.inside, false)
		}
	}
}

func (c *core) isBox(row int) bool { return row < 2*c.d }

func (c *core) row(i int) []float64 { return c.a[i*c.d : (i+1)*c.d] }

// rescale chooses the columns' powers of two from the rows at hand, so that the largest coefficient of each is about 1.
func (c *core) rescale() {
	for j := range c.d {
		most := 0.0
		for i := 2 * c.d; i < len(c.b); i++ {
			most = max(most, math.Abs(c.a[i*c.d+j]))
		}
		if most == 0 {
			continue
		}
		_, e := math.Frexp(most)
		factor := math.Ldexp(1, -e)
		c.scale[j] *= factor
		for i := 2 * c.d; i < len(c.b); i++ {
			c.a[i*c.d+j] *= factor
		}
	}
}

// setBox sets the half side of the box and starts from the box's own dual feasible basis.
func (c *core) setBox(half float64) {
	c.half = half
	for i := range 2 * c.d {
		c.b[i] = half
	}
	c.basis = c.basis[:0]
	for i := range c.inside {
		c.inside[i] = false
	}
	for j := range c.d {
		row := 2 * j
		if c.cost[j] > 0 {
			row++
		}
		c.basis = append(c.basis, row)
		c.inside[row] = true
	}
}

// firstBox returns a power of two well above the right sides.
func (c *core) firstBox() float64 {
	if c.ray {
		return 1
	}
	most := 0.0
	for i := 2 * c.d; i < len(c.b); i++ {
		most = max(most, math.Abs(c.b[i]))
	}
	if most == 0 {
		return 1024
	}
	_, e := math.Frexp(most)
	return math.Ldexp(1024, e)
}

// point returns the caller's v for the present δ.
func (c *core) point() []float64 {
	v := make([]float64, c.d)
	for j := range v {
		v[j] = c.start[j] + float64(c.scale[j]*c.delta[j])
	}
	return v
}

// scan makes one pass over all rows at v and brings in the worst of each block, unless its excess is rounding. It reports
// whether the set grew.
func (c *core) scan(v []float64) bool {
	var found []int
	c.scans++
	a := make([]float64, c.d)
	c.rows.Worst(v, c.ray, func(i int, excess float64) {
		b := c.rows.Row(i, a)
		if c.ray {
			b = 0
		}
		if excess > float64(slack*(math.Abs(b)+sizeOf(a, v))) {
			found = append(found, i)
		}
	})
	return c.take(found)
}

// verdict is what the simplex says of the working set.
type verdict int

const (
	settled verdict = iota // an optimum inside the box, or on it without leaning on it
	leaning                // the optimum leans on the box
	clash                  // rows contradict each other
	boxed                  // rows contradict each other and the box
	unsure                 // floats did not settle
)

// run alternates between solving the working set and scanning all rows until no row is violated.
func (c *core) run() verdict {
	if len(c.ids()) == 0 { // with rows to begin with, the first point to scan is already a good one
		c.scan(c.start)
	}
	c.rescale()
	return c.within(c.firstBox())
}

// within solves inside a box of the given half side.
func (c *core) within(half float64) verdict {
	c.setBox(half)
	for {
		v := c.simplex()
		if (v != settled && v != leaning) || !c.scan(c.point()) {
			return v
		}
		c.refit()
	}
}

// muchLarger is the size of a scaled coefficient at which the scale no longer fits.
const muchLarger = 1 << 10

// refit scales and boxes anew, and begins again from the box, when rows came in that the present scale or box does not fit.
func (c *core) refit() {
	half := max(c.half, c.firstBox())
	for i := 2 * c.d * c.d; i < len(c.a); i++ {
		if math.Abs(c.a[i]) > muchLarger {
			c.rescale()
			c.setBox(half)
			return
		}
	}
	if half > c.half && !c.ray {
		c.setBox(half)
	}
}

// The box is widened 2¹²-fold at most ten times: the rows at hand may say little of how far away the answer lies.
const (
	widening  = 4096
	mostWiden = 10
)

// solve climbs the ladder: floats in a box, wider boxes, exact rationals.
func (c *core) solve(p Problem) (Solution, error) {
	v := c.run()
	for range mostWiden {
		if v != leaning && v != boxed {
			break
		}
		if v == leaning {
			if s, ok := c.unbounded(p); ok {
				return s, nil
			}
		}
		v = c.within(c.half * widening)
	}
	if v == clash {
		if s, ok := c.infeasible(p); ok {
			return s, nil
		}
		v = unsure
	}
	if v != unsure && v != boxed {
		c.polish()
		return c.solution(p), nil
	}
	v, err := c.climb()
	for range mostWiden {
		if err != nil || v != boxed {
			break
		}
		c.setBox(c.half * widening)
		v, err = c.climb()
	}
	switch {
	case err != nil:
		return Solution{}, err
	case v == boxed:
		return Solution{}, lost("rows contradict each other only inside the widest box")
	case v == clash: // by less than floats can tell
		least, err := Solve(relax(p, c.ids()))
		return c.refused(least), err
	}
	return c.solution(p), nil
}

// climb settles the working set in exact rationals, and all rows with it; clash when its rows contradict each other, boxed when
// they do so inside this box.
func (c *core) climb() (verdict, error) {
	for {
		_, v, err := c.settleExactly()
		if err != nil || v != settled || !c.scan(c.point()) {
			return v, err
		}
	}
}

func lost(what string) error {
	return trouble.Own("lowlp-lost", "lowlp", what, "report this with the input")
}

// polish improves δ by one step of refinement with residuals taken on the caller's own rows.
func (c *core) polish() {
	c.load()
	if !c.f.factor() {
		return
	}
	v := c.point()
	r := make([]float64, c.d)
	a := make([]float64, c.d)
	for k, i := range c.basis {
		if c.isBox(i) {
			continue
		}
		b := c.rows.Row(c.id[i], a)
		if c.ray {
			b = 0
		}
		r[k] = b - dot(a, v)
	}
	c.f.solve(r)
	for j := range r {
		c.delta[j] += r[j]
	}
}

// solution gathers what the optimum rests on.
func (c *core) solution(p Problem) Solution {
	v := c.point()
	s := Solution{Status: Optimal, V: v, Value: dot(p.Cost, v), Scans: c.scans, Pivots: c.pivots, Exact: c.exact, core: c}
	s.Bound, s.Violation = math.Inf(-1), math.Inf(1)
	for k, i := range c.basis {
		if !c.isBox(i) && c.lambda[k] > 0 {
			s.Active = append(s.Active, c.id[i])
			s.Multipliers = append(s.Multipliers, c.lambda[k])
		}
	}
	s.Working = append(s.Working, c.ids()...)
	return s
}

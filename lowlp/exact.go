package lowlp

import (
	"math"
	"math/big"
	"slices"
)

// exactBasis is a basis solved in exact rationals.
type exactBasis struct {
	delta  []*big.Rat // Aδ = b
	lambda []*big.Rat // Aᵀλ = −cost
}

// rationals solves the d×d system m·x = r exactly by fraction-free elimination (Bareiss 1968). It returns nil when m is singular.
// m and r are taken over and destroyed.
func rationals(m [][]*big.Int, r []*big.Int) []*big.Rat {
	d := len(m)
	for i := range m {
		m[i] = append(m[i], r[i])
	}
	previous := big.NewInt(1)
	t := new(big.Int)
	for k := range d {
		p := k
		for p < d && m[p][k].Sign() == 0 {
			p++
		}
		if p == d {
			return nil
		}
		m[k], m[p] = m[p], m[k]
		for i := k + 1; i < d; i++ {
			for j := k + 1; j <= d; j++ {
				x := m[i][j]
				x.Mul(x, m[k][k])
				x.Sub(x, t.Mul(m[i][k], m[k][j]))
				x.Quo(x, previous)
			}
		}
		previous = m[k][k]
	}
	x := make([]*big.Rat, d)
	for k := d - 1; k >= 0; k-- {
		s := new(big.Rat).SetInt(m[k][d])
		for j := k + 1; j < d; j++ {
			s.Sub(s, new(big.Rat).Mul(new(big.Rat).SetInt(m[k][j]), x[j]))
		}
		x[k] = s.Quo(s, new(big.Rat).SetInt(m[k][k]))
	}
	return x
}

// integers multiplies a row of floats by the power of two that makes all of them whole numbers.
func integers(row []float64) []*big.Int {
	low := 0
	for _, x := range row {
		if x != 0 {
			low = min(low, lowBit(x))
		}
	}
	out := make([]*big.Int, len(row))
	for j, x := range row {
		out[j] = scaled(x, -low)
	}
	return out
}

// lowBit is the exponent of the last bit of x.
func lowBit(x float64) int {
	_, e := math.Frexp(x)
	return e - 53
}

// scaled is x·2ᵏ, which must be a whole number.
func scaled(x float64, k int) *big.Int {
	f, e := math.Frexp(x)
	n := big.NewInt(int64(f * 0x1p53))
	return n.Lsh(n, uint(e-53+k))
}

// solveExactly solves a basis of rows a with right sides b for δ and λ; nil when the rows are not independent.
func solveExactly(d int, a, b, cost []float64) *exactBasis {
	rows := make([][]*big.Int, d)
	right := make([]*big.Int, d)
	for k := range d {
		whole := integers(append(append([]float64{}, a[k*d:(k+1)*d]...), b[k]))
		rows[k], right[k] = whole[:d:d], whole[d]
	}
	delta := rationals(rows, right)
	if delta == nil {
		return nil
	}
	for j := range d {
		column := make([]float64, d+1)
		for k := range d {
			column[k] = a[k*d+j]
		}
		column[d] = -cost[j]
		whole := integers(column)
		rows[j], right[j] = whole[:d:d], whole[d]
	}
	return &exactBasis{delta: delta, lambda: rationals(rows, right)}
}

// settleExactly runs the dual simplex method in exact rationals on the working set, by the smallest row number (Bland's
// rule), from the box's own basis when the floats' basis is not dual feasible. It ends on every input.
func (c *core) settleExactly() (*exactBasis, verdict, error) {
	c.exact = true
	basis := c.repaired()
	if basis == nil {
		c.setBox(c.half)
		basis = c.exactBasis()
	}
	for {
		if c.stopped() {
			return nil, unsure, stopped()
		}
		enter := c.firstViolated(basis.delta)
		if enter < 0 {
			c.adopt(basis)
			return basis, settled, nil
		}
		leave, ownRows := c.leavingExactly(basis, enter)
		switch {
		case leave < 0 && ownRows:
			return nil, clash, nil
		case leave < 0:
			return nil, boxed, nil
		}
		c.exchange(leave, enter)
		if basis = c.exactBasis(); basis == nil {
			return nil, unsure, lost("an exact exchange made the basis singular")
		}
	}
}

// repaired pivots on multipliers that are negative only by what floats could not see, until the basis is dual feasible. It
// gives up, with nil, when that does not come to an end soon.
func (c *core) repaired() *exactBasis {
	basis := c.exactBasis()
	for range 4 * c.d {
		if basis == nil || c.stopped() {
			return nil
		}
		out := slices.IndexFunc(basis.lambda, func(x *big.Rat) bool { return x.Sign() < 0 })
		if out < 0 {
			return basis
		}
		in := c.blocking(basis, out)
		if in < 0 {
			return nil
		}
		c.exchange(out, in)
		basis = c.exactBasis()
	}
	return nil
}

// blocking returns the working row that is met first when row out of the basis is left behind and the others are kept, or
// −1. Floats pass over rows that are met clearly later.
func (c *core) blocking(basis *exactBasis, out int) int {
	rows := make([][]*big.Int, c.d)
	right := make([]*big.Int, c.d)
	for k, i := range c.basis {
		whole := integers(append(slices.Clone(c.row(i)), 0))
		if k == out {
			whole = integers(append(slices.Clone(c.row(i)), -1))
		}
		rows[k], right[k] = whole[:c.d:c.d], whole[c.d]
	}
	direction := rationals(rows, right)
	near, way := nearest64(basis.delta), nearest64(direction)
	best := math.Inf(1)
	step := func(i int) float64 {
		if c.inside[i] {
			return math.Inf(1)
		}
		speed := dot(c.row(i), way)
		if !(speed > 1e-12*sizeOf(c.row(i), way)) {
			return math.Inf(1)
		}
		return (c.right(i) - dot(c.row(i), near)) / speed
	}
	for i := range c.b {
		best = min(best, step(i))
	}
	in := -1
	var least *big.Rat
	for i := range c.b {
		if t := step(i); t > best+float64(1e-6*math.Abs(best))+1e-9 {
			continue
		}
		speed := inner(c.row(i), direction)
		if speed.Sign() <= 0 {
			continue
		}
		t := c.excessExactly(i, basis.delta)
		t.Neg(t).Quo(t, speed)
		if in < 0 || t.Cmp(least) < 0 {
			in, least = i, t
		}
	}
	return in
}

// nearest64 rounds exact numbers to floats.
func nearest64(xs []*big.Rat) []float64 {
	out := make([]float64, len(xs))
	for j, x := range xs {
		out[j], _ = x.Float64()
	}
	return out
}

// sizeOf is the sum of the sizes of the products that make a·v.
func sizeOf(a, v []float64) float64 {
	s := 0.0
	for j, x := range a {
		s += math.Abs(float64(x * v[j]))
	}
	return s
}

func inner(a []float64, v []*big.Rat) *big.Rat {
	s := new(big.Rat)
	for j, x := range a {
		s.Add(s, new(big.Rat).Mul(rat(x), v[j]))
	}
	return s
}

// exactBasis solves the present basis on the caller's own rows, centred on 0: δ = v/scale, nothing rounded.
func (c *core) exactBasis() *exactBasis {
	a := make([]float64, 0, c.d*c.d)
	b := make([]float64, c.d)
	costs := make([]float64, c.d)
	for k, i := range c.basis {
		a = append(a, c.row(i)...)
		b[k] = c.right(i)
		costs[k] = c.costOf(k)
	}
	return solveExactly(c.d, a, b, costs)
}

// right is the right side of working row i about 0.
func (c *core) right(i int) float64 {
	if !c.isBox(i) {
		return c.own[i]
	}
	shift := c.start[i/2] / c.scale[i/2]
	if i%2 == 1 {
		shift = -shift
	}
	return c.half + shift
}

func allNonNegative(xs []*big.Rat) bool {
	for _, x := range xs {
		if x.Sign() < 0 {
			return false
		}
	}
	return true
}

// firstViolated returns the first working row that δ violates, or −1. Floats pass over rows that clearly hold.
func (c *core) firstViolated(delta []*big.Rat) int {
	near := nearest64(delta)
	for i := range c.b {
		if c.inside[i] {
			continue
		}
		size := math.Abs(c.right(i)) + sizeOf(c.row(i), near)
		if dot(c.row(i), near)-c.right(i) < -float64(c.d+4)*eps*size {
			continue
		}
		if c.excessExactly(i, delta).Sign() > 0 {
			return i
		}
	}
	return -1
}

func (c *core) excessExactly(i int, delta []*big.Rat) *big.Rat {
	s := inner(c.row(i), delta)
	return s.Sub(s, rat(c.right(i)))
}

func rat(x float64) *big.Rat { return new(big.Rat).SetFloat64(x) }

// leavingExactly is the ratio test in rationals. Without a row to leave, it reports whether the caller's own rows
// contradict each other, without help from the box.
func (c *core) leavingExactly(basis *exactBasis, enter int) (leave int, contradiction bool) {
	rows := make([][]*big.Int, c.d)
	right := make([]*big.Int, c.d)
	for j := range c.d {
		column := make([]float64, c.d+1)
		for k, i := range c.basis {
			column[k] = c.row(i)[j]
		}
		column[c.d] = c.row(enter)[j]
		whole := integers(column)
		rows[j], right[j] = whole[:c.d:c.d], whole[c.d]
	}
	weight := rationals(rows, right)
	leave, contradiction = -1, !c.isBox(enter)
	var least *big.Rat
	for k, w := range weight {
		if w.Sign() < 0 && c.isBox(c.basis[k]) {
			contradiction = false
		}
		if w.Sign() <= 0 {
			continue
		}
		ratio := new(big.Rat).Quo(basis.lambda[k], w)
		switch cmp := compare(ratio, least); {
		case cmp < 0, cmp == 0 && c.basis[k] < c.basis[leave]:
			leave, least = k, ratio
		}
	}
	return leave, contradiction
}

func compare(x, y *big.Rat) int {
	if y == nil {
		return -1
	}
	return x.Cmp(y)
}

// adopt rounds the exact δ, centred again, and λ into the float fields.
func (c *core) adopt(basis *exactBasis) {
	for j := range c.d {
		centred := new(big.Rat).Sub(basis.delta[j], new(big.Rat).Quo(rat(c.start[j]), rat(c.scale[j])))
		c.delta[j], _ = centred.Float64()
		c.lambda[j], _ = basis.lambda[j].Float64()
	}
}

// bound is the objective of the basis, −Σ λ·b, and whether it leans on the box, so that it holds only inside it.
func (c *core) bound(basis *exactBasis) (value *big.Rat, leans bool) {
	value = new(big.Rat)
	for k, i := range c.basis {
		if basis.lambda[k].Sign() == 0 {
			continue
		}
		leans = leans || c.isBox(i)
		value.Sub(value, new(big.Rat).Mul(basis.lambda[k], rat(c.right(i))))
	}
	return value, leans && !c.ray
}

// box is half the side of the box in the caller's unknowns.
func (c *core) box() []float64 {
	out := make([]float64, c.d)
	for j := range out {
		out[j] = c.half * c.scale[j]
	}
	return out
}

// floor returns the largest float64 that is not above x.
func floor(x *big.Rat) float64 {
	f, exact := x.Float64()
	if !exact && rat(f).Cmp(x) > 0 {
		f = math.Nextafter(f, math.Inf(-1))
	}
	return f
}

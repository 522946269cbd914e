package lowlp

import (
	"math"
	"math/big"
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
	basis := c.exactBasis()
	if basis == nil || !allNonNegative(basis.lambda) {
		c.setBox(c.half)
		basis = c.exactBasis()
	}
	for {
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
			return nil, boxed, lost("rows contradict each other only inside the widest box")
		}
		c.exchange(leave, enter)
		if basis = c.exactBasis(); basis == nil {
			return nil, unsure, lost("an exact exchange made the basis singular")
		}
	}
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
	near := make([]float64, c.d)
	for j, x := range delta {
		near[j], _ = x.Float64()
	}
	for i := range c.b {
		if c.inside[i] {
			continue
		}
		size := math.Abs(c.right(i))
		for j, x := range c.row(i) {
			size += math.Abs(float64(x * near[j]))
		}
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
	s := rat(-c.right(i))
	for j, x := range c.row(i) {
		s.Add(s, new(big.Rat).Mul(rat(x), delta[j]))
	}
	return s
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

// floor returns the largest float64 that is not above x.
func floor(x *big.Rat) float64 {
	f, exact := x.Float64()
	if !exact && rat(f).Cmp(x) > 0 {
		f = math.Nextafter(f, math.Inf(-1))
	}
	return f
}

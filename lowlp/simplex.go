package lowlp

import "math"

// simplex is the dual simplex method on the working set, from the present basis.
//
// A basis is d rows with aᵢ·δ = bᵢ and multipliers λ ≥ 0, Σ λᵢ·aᵢ = −cost. The most violated row comes in; the row whose
// multiplier reaches 0 first goes out; the objective never falls. After many steps without gain the smallest row number
// decides (Bland's rule, which cannot cycle in exact arithmetic); after many more the floats give up.
func (c *core) simplex() verdict {
	stalled, last := 0, math.Inf(-1)
	patience := 40 + 4*c.d
	for step := 0; ; step++ {
		if stalled > 4*patience || step > 10000+100*c.d || c.stopped() {
			return unsure
		}
		c.load()
		if !c.f.factor() {
			return unsure
		}
		value := c.evaluate()
		if value > last+float64(64*eps*math.Abs(value)) {
			stalled, last = 0, value
		} else {
			stalled++
		}
		bland := stalled > patience
		enter := c.mostViolated(bland)
		if enter < 0 {
			return c.judge()
		}
		copy(c.weight, c.row(enter))
		c.f.solveT(c.weight)
		leave := c.leaving(bland)
		if leave < 0 {
			return c.contradiction(enter)
		}
		c.exchange(leave, enter)
	}
}

// load fills the factorisation's matrix with the rows of the basis.
func (c *core) load() {
	for k, i := range c.basis {
		copy(c.f.m[k*c.d:(k+1)*c.d], c.row(i))
	}
}

// evaluate computes δ and λ of the present basis and returns the objective.
func (c *core) evaluate() float64 {
	for k, i := range c.basis {
		c.delta[k] = c.b[i]
	}
	c.f.solve(c.delta)
	for j := range c.d {
		c.lambda[j] = -c.costOf(j)
	}
	c.f.solveT(c.lambda)
	value := 0.0
	for j := range c.d {
		value += float64(c.costOf(j) * c.delta[j])
	}
	return value
}

// costOf is the cost of the scaled unknown j.
func (c *core) costOf(j int) float64 { return c.cost[j] * c.scale[j] }

// mostViolated returns the working row outside the basis with the largest excess, or −1; with bland the first violated.
func (c *core) mostViolated(bland bool) int {
	enter, worst := -1, 0.0
	for i := range c.b {
		if c.inside[i] {
			continue
		}
		excess := dot(c.row(i), c.delta) - c.b[i]
		if excess > worst && excess > float64(slack*(math.Abs(c.b[i])+sizeOf(c.row(i), c.delta))) {
			enter, worst = i, excess
			if bland {
				break
			}
		}
	}
	return enter
}

// leaving returns the place in the basis that makes room for the row with the given weights, or −1 if none can.
func (c *core) leaving(bland bool) int {
	most := 0.0
	for _, w := range c.weight {
		most = max(most, math.Abs(w))
	}
	floor := 1e-11 * most
	least := math.Inf(1)
	for k, w := range c.weight {
		if w > floor {
			least = min(least, max(c.lambda[k], 0)/w)
		}
	}
	if math.IsInf(least, 1) {
		return -1
	}
	limit := least + float64(1e-12*least) + float64(eps*c.lambdaSize()/most)
	leave := -1
	for k, w := range c.weight {
		if w <= floor || max(c.lambda[k], 0)/w > limit {
			continue
		}
		if leave < 0 || c.rather(k, leave, bland) {
			leave = k
		}
	}
	return leave
}

// rather reports whether place k should leave sooner than place l, both having reached 0.
func (c *core) rather(k, l int, bland bool) bool {
	i, j := c.basis[k], c.basis[l]
	if c.isBox(i) != c.isBox(j) {
		return c.isBox(i)
	}
	if bland {
		return i < j
	}
	return c.weight[k] > c.weight[l]
}

func (c *core) lambdaSize() float64 {
	most := 0.0
	for _, x := range c.lambda {
		most = max(most, math.Abs(x))
	}
	return most
}

func (c *core) exchange(place, enter int) {
	c.inside[c.basis[place]] = false
	c.basis[place] = enter
	c.inside[enter] = true
	c.pivots++
}

// judge says whether the optimum of the working set leans on the box: whether a multiplier of the box is more than what
// rounding leaves of the terms that balance in its column. A ray problem may lean on it.
func (c *core) judge() verdict {
	if c.ray {
		return settled
	}
	noise := float64(1e-13 * c.lambdaSize()) // of solving for all multipliers together
	for k, i := range c.basis {
		if !c.isBox(i) {
			continue
		}
		j := i / 2
		size := math.Abs(c.costOf(j))
		for l, row := range c.basis {
			if l != k {
				size += math.Abs(float64(c.lambda[l] * c.a[row*c.d+j]))
			}
		}
		if c.lambda[k] > float64(1e-10*size)+noise {
			return leaning
		}
	}
	return settled
}

// contradiction says whether the rows that clash need the box for it.
func (c *core) contradiction(enter int) verdict {
	if c.isBox(enter) {
		return boxed
	}
	floor := 1e-11 * c.weightSize()
	for k, i := range c.basis {
		if c.isBox(i) && c.weight[k] < -floor {
			return boxed
		}
	}
	return clash
}

func (c *core) weightSize() float64 {
	most := 0.0
	for _, x := range c.weight {
		most = max(most, math.Abs(x))
	}
	return most
}

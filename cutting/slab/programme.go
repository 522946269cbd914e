package slab

import "math"

// programme is the dynamic programme over parts between lines: value[a][i] is, for the part from left line a to line i, the most value for each pair of
// lower line j1 and upper line j2, at j1·(ny+1) + j2; nil where the part is too narrow for any piece.
type programme struct {
	x, y   ruling
	ends   []ends
	worth  []int64 // of each type
	order  []int   // types with a worth, the highest first
	dense  float64 // most worth on a square mm
	least  [2]int  // narrowest piece along x and y
	blocks [][]int64
}

func (p *programme) block(a, i int) []int64 { return p.blocks[a*(p.x.n()+1)+i] }

func (p *programme) of(a, i, j1, j2 int) int64 {
	b := p.block(a, i)
	if b == nil {
		return 0
	}
	return b[j1*(p.y.n()+1)+j2]
}

// run fills the programme; false when done says to stop.
func (p *programme) run(done func(steps int) bool) bool {
	nx, ny := p.x.n(), p.y.n()
	p.blocks = make([][]int64, nx*(nx+1))
	for d := 1; d <= nx; d++ {
		for a := 0; a+d <= nx; a++ {
			i := a + d
			if p.x.at[i]-p.x.left(a) < p.least[0] {
				continue
			}
			b := make([]int64, ny*(ny+1))
			p.blocks[a*(nx+1)+i] = b
			steps := p.across(b, a, i) + p.up(b, a, i)
			if done(steps) {
				return false
			}
		}
	}
	return true
}

// across takes what smaller parts along x give, alone or two together.
func (p *programme) across(b []int64, a, i int) (steps int) {
	raise := func(from []int64) {
		for k, v := range from {
			b[k] = max(b[k], v)
		}
		steps += len(b)
	}
	if a < i-1 {
		raise(p.block(a, i-1))
		raise(p.block(a+1, i))
	}
	for c := a + 1; c < i; c++ {
		one, two := p.block(a, c), p.block(c, i)
		if one == nil || two == nil {
			continue
		}
		for k, v := range one {
			b[k] = max(b[k], v+two[k])
		}
		steps += len(b)
	}
	return steps
}

// up takes single pieces and what smaller parts along y give, alone or two together.
func (p *programme) up(b []int64, a, i int) (steps int) {
	ny := p.y.n()
	width := p.x.at[i] - p.x.left(a)
	for e := 1; e <= ny; e++ {
		for j1 := 0; j1+e <= ny; j1++ {
			j2 := j1 + e
			height := p.y.at[j2] - p.y.left(j1)
			if height < p.least[1] {
				continue
			}
			at := j1*(ny+1) + j2
			v := b[at]
			if e > 1 {
				v = max(v, b[at-1], b[at+ny+1])
			}
			for _, k := range p.order {
				if p.worth[k] <= v {
					break
				}
				if p.fits(k, a, i, j1, j2) {
					v = p.worth[k]
				}
			}
			row := b[j1*(ny+1):]
			for c := j1 + 1; c < j2; c++ {
				v = max(v, row[c]+b[c*(ny+1)+j2])
			}
			if p.x.loose {
				v = min(v, int64(math.Ceil(p.dense*float64(width)*float64(height))))
			}
			b[at] = v
			steps += e
		}
	}
	return steps
}

func (p *programme) fits(k, a, i, j1, j2 int) bool {
	ny := p.y.n()
	return p.ends[k][(a*ny+j1)*(ny+1)+j2] <= int32(p.x.at[i])
}

// tree is a plan between lines: a piece of a type in a part, or a cut at a line, across (between left and right) or along (between lower and upper).
type tree struct {
	kind        int
	cut         int
	along       bool
	first, then *tree // nil for a piece
}

// plan finds a tree that gives at least the value of a part; nil for none.
func (p *programme) plan(a, i, j1, j2 int) *tree {
	v := p.of(a, i, j1, j2)
	if v <= 0 {
		return nil
	}
	for _, k := range p.order {
		if p.worth[k] < v {
			break
		}
		if p.fits(k, a, i, j1, j2) {
			return &tree{kind: k}
		}
	}
	switch { // the part is larger than it needs to be
	case i-a > 1 && p.of(a, i-1, j1, j2) >= v:
		return p.plan(a, i-1, j1, j2)
	case i-a > 1 && p.of(a+1, i, j1, j2) >= v:
		return p.plan(a+1, i, j1, j2)
	case j2-j1 > 1 && p.of(a, i, j1, j2-1) >= v:
		return p.plan(a, i, j1, j2-1)
	case j2-j1 > 1 && p.of(a, i, j1+1, j2) >= v:
		return p.plan(a, i, j1+1, j2)
	}
	for c := a + 1; c < i; c++ {
		if p.of(a, c, j1, j2)+p.of(c, i, j1, j2) >= v {
			return &tree{cut: c, first: p.plan(a, c, j1, j2), then: p.plan(c, i, j1, j2)}
		}
	}
	for c := j1 + 1; c < j2; c++ {
		if p.of(a, i, j1, c)+p.of(a, i, c, j2) >= v {
			return &tree{cut: c, along: true, first: p.plan(a, i, j1, c), then: p.plan(a, i, c, j2)}
		}
	}
	panic("own fault: a part of the programme without a plan")
}

package search

import (
	"math"
	"sort"

	"slatewright/cores"
)

// programme is the dynamic programme over parts between lines: block(a, i) holds, for the part from left line a to line i, the most value for each pair
// of lower line j1 and upper line j2, at j1·(ny+1) + j2; it is nil where the part is too narrow for any piece.
type programme struct {
	x, y   ruling
	ends   []ends
	worth  []int32 // of each type, in units
	unit   int64   // of value, so that sums fit
	order  []int   // types with a worth, the highest first
	dense  float64 // most worth on a square mm
	least  [2]int  // narrowest piece along x and y
	first  []int   // for each lower line the first upper line that is high enough for any piece
	sound  *sound  // what parts without flaws give; nil: not known yet
	clean  ends    // of an exact programme: where they are
	blocks [][]int32
}

func (p *programme) block(a, i int) []int32 { return p.blocks[a*(p.x.n()+1)+i] }

func (p *programme) of(a, i, j1, j2 int) int32 {
	b := p.block(a, i)
	if b == nil {
		return 0
	}
	return b[j1*(p.y.n()+1)+j2]
}

// value is that of the whole.
func (p *programme) value() int64 { return int64(p.of(0, p.x.n(), 0, p.y.n())) * p.unit }

// run fills the programme, parts of the same number of stretches at once; false when done says to stop.
func (p *programme) run(done func(steps int) bool) bool {
	nx, ny := p.x.n(), p.y.n()
	p.blocks = make([][]int32, nx*(nx+1))
	p.first = make([]int, ny)
	for j := range p.first {
		p.first[j] = max(j+1, sort.SearchInts(p.y.at, p.y.left(j)+p.least[1]))
	}
	steps := make([]int, nx)
	for d := 1; d <= nx; d++ {
		clear(steps)
		cores.Share(nx-d+1, 4, func(from, to int) {
			for a := from; a < to; a++ {
				if p.x.at[a+d]-p.x.left(a) >= p.least[0] {
					b := make([]int32, ny*(ny+1))
					steps[a] = p.across(b, a, a+d) + p.up(b, a, a+d)
					p.blocks[a*(nx+1)+a+d] = b
				}
			}
		})
		sum := 0
		for _, n := range steps {
			sum += n
		}
		if done(sum) {
			return false
		}
	}
	return true
}

// across takes what smaller parts along x give, alone or two together.
func (p *programme) across(b []int32, a, i int) (steps int) {
	w := p.y.n() + 1
	raise := func(one []int32) {
		for j, from := range p.first {
			if from < w {
				out, v := b[j*w+from:(j+1)*w], one[j*w+from:(j+1)*w]
				for k := range out {
					out[k] = max(out[k], v[k])
				}
			}
		}
		steps += len(b) / 2
	}
	if a < i-1 {
		for _, one := range [][]int32{p.block(a, i-1), p.block(a+1, i)} {
			if one != nil {
				raise(one)
			}
		}
	}
	for c := a + 1; c < i; c++ {
		one, two := p.block(a, c), p.block(c, i)
		if one == nil || two == nil {
			continue
		}
		for j, from := range p.first {
			if from >= w {
				break
			}
			out := b[j*w+from : (j+1)*w]
			u, v := one[j*w+from : (j+1)*w][:len(out)], two[j*w+from : (j+1)*w][:len(out)]
			for k := range out {
				out[k] = max(out[k], u[k]+v[k])
			}
		}
		steps += len(b) / 2
	}
	return steps
}

// up takes single pieces and what smaller parts along y give, alone or two together.
func (p *programme) up(b []int32, a, i int) (steps int) {
	ny := p.y.n()
	w := ny + 1
	for j1 := ny - 1; j1 >= 0; j1-- {
		row := b[j1*w : (j1+1)*w]
		for j2 := p.first[j1]; j2 <= ny; j2++ {
			v := max(row[j2], row[j2-1])
			if j1+1 < j2 {
				v = max(v, b[(j1+1)*w+j2])
			}
			v = p.single(v, a, i, j1, j2)
			for c := p.first[j1]; c < j2 && p.first[c] <= j2; c++ {
				v = max(v, row[c]+b[c*w+j2])
			}
			steps += j2 - j1
			row[j2] = p.capped(v, a, i, j1, j2)
		}
	}
	return steps
}

// single takes one piece in a part, or what a part without flaws gives.
func (p *programme) single(v int32, a, i, j1, j2 int) int32 {
	for _, k := range p.order {
		if p.worth[k] <= v {
			break
		}
		if p.fits(k, a, i, j1, j2) {
			v = p.worth[k]
			break
		}
	}
	if p.clean != nil && p.isClean(a, i, j1, j2) {
		v = max(v, p.soundly(a, i, j1, j2))
	}
	return v
}

// soundly is what a part without flaws certainly gives.
func (p *programme) soundly(a, i, j1, j2 int) int32 {
	return int32(p.sound.least(p.x.at[i]-p.x.left(a), p.y.at[j2]-p.y.left(j1)) / p.unit)
}

// capped lowers a loose value to what a part of the size can give at most.
func (p *programme) capped(v int32, a, i, j1, j2 int) int32 {
	if !p.x.loose {
		return v
	}
	width, height := p.x.at[i]-p.x.left(a), p.y.at[j2]-p.y.left(j1)
	if p.sound == nil {
		return min(v, int32(math.Ceil(p.dense*float64(width)*float64(height))))
	}
	return min(v, int32((p.sound.most(width, height)+p.unit-1)/p.unit))
}

func (p *programme) fits(k, a, i, j1, j2 int) bool {
	ny := p.y.n()
	return p.ends[k][(a*ny+j1)*(ny+1)+j2] <= int32(p.x.at[i])
}

func (p *programme) isClean(a, i, j1, j2 int) bool {
	ny := p.y.n()
	return p.clean[(a*ny+j1)*(ny+1)+j2] >= int32(p.x.at[i])
}

// tree is a plan between lines: a piece of a type in a part, or a cut at a line, across (between left and right) or along (between lower and upper).
type tree struct {
	kind        int
	cut         int
	along       bool
	first, then *tree // nil for a piece
	sound       *part // a part without flaws, laid by its table
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
	if p.clean != nil && p.isClean(a, i, j1, j2) && p.soundly(a, i, j1, j2) >= v {
		return &tree{sound: &part{p.x.left(a), p.y.left(j1), p.x.at[i], p.y.at[j2]}}
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

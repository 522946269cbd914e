package search

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
	for _, k := range p.order {
		if p.worth[k] < v {
			break
		}
		if s, _, _ := place(p.kinds[k], p.part(a, i, j1, j2)); s != nil {
			return &tree{kind: k}
		}
	}
	if p.clean != nil && p.isClean(a, i, j1, j2) && p.soundly(a, i, j1, j2) >= v {
		whole := p.part(a, i, j1, j2)
		return &tree{sound: &whole}
	}
	for c := a + 1; c < i; c++ {
		if one, two := p.of(a, c, j1, j2), p.of(c, i, j1, j2); one+two >= v {
			return both(p.plan(a, c, j1, j2), p.plan(c, i, j1, j2), c, false)
		}
	}
	for c := j1 + 1; c < j2; c++ {
		if one, two := p.of(a, i, j1, c), p.of(a, i, c, j2); one+two >= v {
			return both(p.plan(a, i, j1, c), p.plan(a, i, c, j2), c, true)
		}
	}
	panic("own fault: a part of the programme without a plan")
}

// both joins two trees at a cut; one of them may be empty.
func both(one, two *tree, cut int, along bool) *tree {
	switch {
	case one == nil:
		return two
	case two == nil:
		return one
	}
	return &tree{cut: cut, along: along, first: one, then: two}
}

// count adds the pieces of a tree.
func (t *tree) count(used []int) {
	switch {
	case t == nil:
	case t.first == nil:
		used[t.kind]++
	default:
		t.first.count(used)
		t.then.count(used)
	}
}

package guillotine

// build is a block put together of copies: one copy, or two blocks beside or above each other.
type build struct {
	w, h        int
	value       int64
	used        []uint16 // copies of each item; nil where limits do not matter
	lie         lie      // of one copy
	first, then *build
	up          bool // then lies above first, otherwise to its right
}

func leaf(l lie) *build { return &build{w: l.w, h: l.h, value: l.value, lie: l} }

func beside(a, b *build) *build { return join(a, b, false) }
func above(a, b *build) *build  { return join(a, b, true) }

func join(a, b *build, up bool) *build {
	switch {
	case a == nil:
		return b
	case b == nil:
		return a
	case up:
		return &build{w: max(a.w, b.w), h: a.h + b.h, value: a.value + b.value, first: a, then: b, up: true}
	}
	return &build{w: a.w + b.w, h: max(a.h, b.h), value: a.value + b.value, first: a, then: b}
}

// plan lays the best build into the corner of the stock and lists its cuts.
func (s *search) plan() Plan {
	p := Plan{Value: s.value, Bound: max(s.bound, s.value), Work: s.work}
	p.Proven = p.Bound == p.Value
	if s.best != nil {
		c := cutter{kerf: s.Kerf, plan: &p}
		c.cut(s.best, part{0, 0, s.Length, s.Width})
	}
	return p
}

// part is what lies on the saw: [x1, x2] × [y1, y2].
type part struct{ x1, y1, x2, y2 int }

type cutter struct {
	kerf int
	plan *Plan
}

// cut parts a block from its part, first from waste, then within.
func (c *cutter) cut(b *build, p part) {
	if right := p.x1 + b.w - c.kerf; right < p.x2 {
		c.saw(false, part{right, p.y1, min(right+c.kerf, p.x2), p.y2})
		p.x2 = right
	}
	if top := p.y1 + b.h - c.kerf; top < p.y2 {
		c.saw(true, part{p.x1, top, p.x2, min(top+c.kerf, p.y2)})
		p.y2 = top
	}
	if b.first == nil {
		c.plan.Pieces = append(c.plan.Pieces, Piece{Item: b.lie.item, X: p.x1, Y: p.y1, Turned: b.lie.turned})
		return
	}
	first, then := p, p
	if b.up {
		first.y2 = p.y1 + b.first.h - c.kerf
		then.y1 = first.y2 + c.kerf
		c.saw(true, part{p.x1, first.y2, p.x2, then.y1})
	} else {
		first.x2 = p.x1 + b.first.w - c.kerf
		then.x1 = first.x2 + c.kerf
		c.saw(false, part{first.x2, p.y1, then.x1, p.y2})
	}
	c.cut(b.first, first)
	c.cut(b.then, then)
}

func (c *cutter) saw(along bool, k part) {
	c.plan.Cuts = append(c.plan.Cuts, Cut{along, k.x1, k.y1, k.x2, k.y2})
}

package search

import (
	"slatewright/cutting/slab/ground"
)

// part is a rectangle of the frame in whole mm.
type part struct{ x1, y1, x2, y2 int }

// place finds where a type stands in a part: the least right edge, then the lowest; nil when nowhere.
func place(stances []*ground.Stance, p part) (best *ground.Stance, x, y int) {
	edge := ground.None
	for _, s := range stances {
		for at := p.y1; at+s.H <= p.y2; at++ {
			if from := s.Next(p.x1, at); from != ground.None && from+s.W <= p.x2 && from+s.W < edge {
				best, x, y, edge = s, from, at, from+s.W
			}
			if edge == p.x1+s.W {
				break
			}
		}
	}
	return best, x, y
}

// lowest is the least upper edge of a type in a part; none when it fits nowhere.
func (c *programme) lowest(kind int, p part) int {
	top := ground.None
	for _, s := range c.kinds[kind] {
		for at := p.y1; at+s.H <= min(p.y2, top); at++ {
			if from := s.Next(p.x1, at); from != ground.None && from+s.W <= p.x2 {
				top = at + s.H
				break
			}
		}
	}
	return top
}

// line is where a line stands.
func (c *programme) line(along bool, i int) int {
	if along {
		return c.low.at[i]
	}
	return c.left.at[i]
}

// closest cuts as early as what lies before the cut allows. It gives the cut, or none when what lies before it does not fit before the line.
func (c *programme) closest(t *tree, p part) int {
	line := c.line(t.along, t.cut)
	if !c.left.loose {
		return line
	}
	from := c.line(t.along, t.cut-1) + 1
	before := p
	if t.along {
		before.y2 = min(before.y2, line)
		if top := c.extent(t.first, before, true); top != ground.None {
			return max(top, from)
		}
		return ground.None
	}
	before.x2 = min(before.x2, line)
	if right := c.extent(t.first, before, false); right != ground.None {
		return max(right, from)
	}
	return ground.None
}

// extent is about the least upper (up) or right edge of a tree in a part; none when it was not made to fit.
func (c *programme) extent(t *tree, p part, up bool) int {
	if t.first == nil {
		if up {
			return c.lowest(t.kind, p)
		}
		if s, x, _ := place(c.kinds[t.kind], p); s != nil {
			return x + s.W
		}
		return ground.None
	}
	cut := c.closest(t, p)
	if cut == ground.None {
		return ground.None
	}
	one, two := p.divided(t.along, cut, c.left.kerf)
	a, b := c.extent(t.first, one, up), c.extent(t.then, two, up)
	if a == ground.None || b == ground.None {
		return ground.None
	}
	if up == t.along {
		return b
	}
	return max(a, b)
}

// divided parts a part by a cut.
func (p part) divided(along bool, cut, kerf int) (one, two part) {
	one, two = p, p
	if along {
		one.y2, two.y1 = min(cut, p.y2), cut+kerf
	} else {
		one.x2, two.x1 = min(cut, p.x2), cut+kerf
	}
	return one, two
}

// laid is a plan in whole mm: a piece where it stands, or a cut and what lies on both sides of it.
type laid struct {
	part        part
	stance      *ground.Stance // nil: a cut, or nothing
	x, y        int
	along       bool
	cut         int
	first, then *laid
}

// realise lays a tree into a part, without what does not fit.
func (c *programme) realise(t *tree, p part) *laid {
	if t.sound != nil {
		return c.sound.lay(*t.sound)
	}
	l := &laid{part: p}
	if t.first == nil {
		l.stance, l.x, l.y = place(c.kinds[t.kind], p)
		return l
	}
	l.along = t.along
	if l.cut = c.closest(t, p); l.cut == ground.None {
		l.cut = c.line(t.along, t.cut)
	}
	one, two := p.divided(t.along, l.cut, c.left.kerf)
	l.first, l.then = c.realise(t.first, one), c.realise(t.then, two)
	return l
}

// pieces lists the pieces of a plan.
func (l *laid) pieces(list []*laid) []*laid {
	switch {
	case l == nil:
	case l.first != nil:
		list = l.then.pieces(l.first.pieces(list))
	case l.stance != nil:
		list = append(list, l)
	}
	return list
}

package search

import (
	"slatewright/cutting/slab/ground"
)

// part is a rectangle of the frame in whole mm.
type part struct{ x1, y1, x2, y2 int }

// place finds where a type stands in a part: the least right edge, then the lowest; nil when nowhere.
func (c *site) place(kind int, p part) (best *ground.Stance, x, y int) {
	edge := ground.None
	for _, s := range c.kinds[kind] {
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
func (c *site) lowest(kind int, p part) int {
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

// closest cuts as early as what lies before the cut allows. It gives the cut, or none when what lies before it does not fit before the line.
func (c *site) closest(t *tree, p part) int {
	lines := c.xs
	if t.along {
		lines = c.ys
	}
	line := lines[t.cut]
	if !c.loose {
		return line
	}
	from := lines[t.cut-1] + 1
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
func (c *site) extent(t *tree, p part, up bool) int {
	if t.first == nil {
		if up {
			return c.lowest(t.kind, p)
		}
		if s, x, _ := c.place(t.kind, p); s != nil {
			return x + s.W
		}
		return ground.None
	}
	cut := c.closest(t, p)
	if cut == ground.None {
		return ground.None
	}
	one, two := p.divided(t.along, cut, c.kerf)
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

// realise lays a tree into a part, without what does not fit. Lines that would let more fit are noted in wanted when it is not nil.
func (c *site) realise(t *tree, p part, wanted *[]wish) *laid {
	if t.sound != nil {
		return c.sound.lay(*t.sound)
	}
	l := &laid{part: p}
	if t.first == nil {
		l.stance, l.x, l.y = c.place(t.kind, p)
		return l
	}
	l.along = t.along
	cut := c.closest(t, p)
	lines := c.xs
	if t.along {
		lines = c.ys
	}
	line := lines[t.cut]
	if cut == ground.None {
		cut = line
	} else if wanted != nil {
		_, two := p.divided(t.along, cut, c.kerf)
		if c.extent(t.then, two, t.along) == ground.None {
			*wanted = append(*wanted, wish{t.along, cut - 1}, wish{t.along, cut})
		}
	}
	if wanted != nil && line-lines[t.cut-1] > 1 {
		*wanted = append(*wanted, wish{t.along, (line + lines[t.cut-1]) / 2}) // the last resort
	}
	l.cut = cut
	one, two := p.divided(t.along, cut, c.kerf)
	l.first, l.then = c.realise(t.first, one, wanted), c.realise(t.then, two, wanted)
	return l
}

// wish is a line that is asked for.
type wish struct {
	along bool
	at    int
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

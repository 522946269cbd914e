package slab

import (
	"math"
	"slices"
)

// mostCells is how large a programme may become: the number of its parts.
const mostCells = 24_000_000

// open works out where the pieces may stand in a frame, and rules its first lines.
func (c *search) open(s *site) {
	s.opened = true
	s.ground = newGround(c.Slab, s.degrees)
	s.least = [2]int{none, none}
	s.kinds = make([][]*stance, len(c.Types))
	some := false
	for k, t := range c.Types {
		if t.Value == 0 || t.Most == 0 {
			continue
		}
		for _, st := range s.stances(k, s.degrees) {
			if !st.anywhere() {
				continue
			}
			some = true
			s.kinds[k] = append(s.kinds[k], st)
			s.least = [2]int{min(s.least[0], st.w), min(s.least[1], st.h)}
		}
	}
	if !some {
		s.bound, s.closed = 0, true
		return
	}
	spacing := func(extent int) int { return max(4, extent/24) }
	s.xs = newLines(s.x0, s.x1, s.least[0], s.kerf, spacing(s.x1-s.x0))
	s.ys = newLines(s.y0, s.y1, s.least[1], s.kerf, spacing(s.y1-s.y0))
	s.prices.start(c.Types)
}

func (s *stance) anywhere() bool {
	for _, r := range s.rows {
		if len(r) > 0 {
			return true
		}
	}
	return false
}

// step works on a frame once: a plan, a bound, and then new prices or new lines.
func (c *search) step(s *site) {
	if !s.opened {
		c.open(s)
		if s.closed {
			return
		}
	}
	s.rounds++
	exact := c.programme(s, false)
	if exact == nil {
		return
	}
	if t := exact.plan(0, exact.x.n(), 0, exact.y.n()); t != nil {
		s.loose = false
		c.keep(s, s.realise(t, s.whole(), nil))
	}
	loose := c.programme(s, true)
	if loose == nil {
		return
	}
	top := loose.of(0, loose.x.n(), 0, loose.y.n())
	s.bound = min(s.bound, top+s.prices.rest())
	if s.bound <= c.value {
		return
	}
	var wanted []wish
	t := loose.plan(0, loose.x.n(), 0, loose.y.n())
	if t != nil {
		s.loose = true
		c.keep(s, s.realise(t, s.whole(), &wanted))
	}
	if s.prices.change(t, top, c.value) {
		return
	}
	c.rule(s, wanted)
}

func (s *site) whole() part { return part{s.x0, s.y0, s.x1, s.y1} }

// programme runs the programme of a frame at its prices; nil when it was stopped.
func (c *search) programme(s *site, loose bool) *programme {
	p := &programme{x: ruling{s.xs, s.kerf, loose}, y: ruling{s.ys, s.kerf, loose}, least: s.least, worth: make([]int64, len(c.Types))}
	p.ends = tableEnds(s.kinds, &p.x, &p.y)
	for k, t := range c.Types {
		if len(s.kinds[k]) == 0 {
			continue
		}
		p.worth[k] = t.Value - s.prices.of(k)
		if p.worth[k] > 0 {
			p.order = append(p.order, k)
			st := s.kinds[k][0]
			p.dense = math.Max(p.dense, float64(p.worth[k])/(float64(st.w)*float64(st.h)))
		}
	}
	slices.SortStableFunc(p.order, func(a, b int) int { return int(min(max(p.worth[b]-p.worth[a], -1), 1)) })
	if c.done(p.x.n()*p.y.n()*p.y.n()*len(p.order)) || !p.run(c.done) {
		return nil
	}
	return p
}

// rule adds the lines that are wanted; the frame is closed when there is no room for one more.
func (c *search) rule(s *site, wanted []wish) {
	added := 0
	for _, w := range wanted {
		nx, ny := len(s.xs), len(s.ys)
		if nx*nx*ny*ny/2 > mostCells {
			break
		}
		lines := &s.xs
		if w.along {
			lines = &s.ys
		}
		if add(lines, w.at) {
			added++
		}
	}
	if added == 0 {
		s.closed = true
	}
}

package search

import (
	"math"

	"slatewright/cutting/slab/ground"
)

// Sizes and work.
const (
	mostCells    = 30_000_000 // parts of a programme at most
	firstCells   = 1_000_000  // of a first programme
	mostClean    = 4_000_000  // places in a table of clean parts at most
	firstParts   = 24         // stretches into which a frame is ruled first
	firstKept    = 250_000    // parts that a first pass keeps
	openSteps    = 200_000    // about the work of one type's places in a frame
	countedSteps = 3_000_000  // of counting copies, at one ruling
	tries        = 3          // times that lines are moved for a better plan
)

// far is a gap at which hardly any part can be left out.
const far = 0.15

// open works out where the pieces may stand in a frame, and rules its first lines.
func (c *search) open(s *site) {
	s.opened = true
	s.Ground = ground.New(c.Slab, s.degrees)
	s.least = [2]int{ground.None, ground.None}
	s.kinds = make([][]*ground.Stance, len(c.Types))
	some := false
	for k, t := range c.Types {
		if t.Value == 0 || t.Most == 0 {
			continue
		}
		if c.done(openSteps) {
			s.opened = false
			return
		}
		for _, st := range s.Stances(k, s.degrees) {
			if !anywhere(st) {
				continue
			}
			some = true
			s.kinds[k] = append(s.kinds[k], st)
			s.least = [2]int{min(s.least[0], st.W), min(s.least[1], st.H)}
		}
	}
	if !some {
		s.bound, s.closed = 0, true
		return
	}
	s.keep = c.kept
	s.rule(firstParts, firstCells)
	s.prices.start(c.Types, c.settled)
}

func anywhere(s *ground.Stance) bool {
	for _, r := range s.Rows {
		if len(r) > 0 {
			return true
		}
	}
	return false
}

// rule rules a frame anew into so many stretches each way; false when there is no room for that. A bound needs lines that lie closer than pieces are wide:
// where there is no room for them, and at first where they would be many, the frame is ruled wide, for plans only.
func (s *site) rule(parts, room int) bool {
	lines := func(from, to, least int) []int {
		step := max(1, (to-from)/parts)
		if !s.wide {
			step = min(step, least+s.kerf-1)
		}
		return newLines(from, to, least, s.kerf, step)
	}
	for {
		x, y := lines(s.X0, s.X1, s.least[0]), lines(s.Y0, s.Y1, s.least[1])
		if len(x)*len(x)/2*len(y)*len(y)/2 <= room {
			s.parts = parts
			s.level = newLevel(ruling{x, s.kerf, true}, ruling{y, s.kerf, true}, s.least)
			return true
		}
		if s.wide {
			return false
		}
		s.wide = true
	}
}

// step works on a frame once: a bound, a plan, and then new prices or new lines.
func (c *search) step(s *site) {
	if !s.opened {
		if c.open(s); s.closed || !s.opened {
			return
		}
	}
	s.rounds++
	if s.rounds > 1 && !c.learn(s) {
		return
	}
	if s.wide {
		c.stepWide(s)
		return
	}
	p := c.programme(s, s.level.x, s.level.y, true)
	if !c.fill(p) {
		return
	}
	top := p.top() + s.prices.rest()
	if p.room != nil && p.top() == 0 { // nothing that is left leads to more
		top = 0
	}
	s.bound = max(min(s.bound, max(top, s.passed)), c.value)
	switch {
	case s.bound <= c.value:
		return
	case top <= s.passed:
		s.again()
		return
	}
	if t := p.whole(); t != nil {
		c.keep(s, p.realise(t, s.whole()))
		if s.rounds == 1 && s.prices.limited() {
			c.try(s, nil) // prices take a while
		}
		if s.prices.limited() && c.price(s, t, top) {
			return
		}
	}
	if float64(top-c.value) > far*float64(top) && 16*s.level.size() <= mostCells/4 && s.step() > 1 {
		c.try(s, nil)
		s.finer(true, nil)
		return
	}
	c.sharpen(s, p)
}

// price moves the prices of a frame; false when they have settled.
func (c *search) price(s *site, t *tree, top int64) bool {
	if !s.settling && s.prices.change(t, top, c.value) {
		s.room = nil
		return true
	}
	if !s.settling && s.prices.settle() {
		s.room, s.settling = nil, true
		return true
	}
	s.settling = false
	s.prices.again()
	c.settled = s.prices.now
	return false
}

// try looks for plans with lines moved, as long as that helps; room is what the rest gives beside each part, or nil.
func (c *search) try(s *site, room []int32) {
	for n := range tries {
		x, y, before := s.level.x, s.level.y, c.value
		if n > 0 || c.on == s {
			x, y = c.moved(s)
		}
		p := c.programme(s, x, y, false)
		if p.room = room; room != nil {
			p.floor = c.floor(s, p, c.value)
		}
		if !c.fill(p) {
			return
		}
		if t := p.whole(); t != nil {
			c.keep(s, p.realise(t, s.whole()))
		}
		if n > 0 && c.value == before || s.level.size() > mostCells/64 {
			return
		}
	}
}

// sharpen drops what cannot lead to more than the best plan, and rules finer lines through the rest. Where that is too much, what leads to least is dropped
// as well; a pass comes to an end when nothing is left that leads to more than what was dropped.
func (c *search) sharpen(s *site, p *programme) {
	if g := c.goal(); g > c.value {
		s.passed = max(s.passed, g)
		p.floor = c.floor(s, p, s.passed)
	}
	rest := p.outside(c.done)
	if rest == nil {
		return
	}
	leads := func(cell int32) bool { return p.value[cell] > 0 && p.value[cell]+rest[cell] > p.floor }
	s.level = s.level.trimmed(leads)
	if c.try(s, rest); c.stopped {
		return
	}
	p.floor = c.floor(s, p, max(c.value, s.passed))
	if p.count(rest) > s.keep {
		if s.base == nil {
			s.base, s.baseRoom = s.level.trimmed(leads), rest
			if s.prices.limited() { // they will be others
				s.baseRoom = nil
			}
		}
		p.floor = min(p.quantile(rest, s.keep), p.floor+(p.all()-p.floor)/2)
		s.passed = int64(p.floor)*p.unit + s.prices.rest()
	}
	s.level = s.level.trimmed(leads)
	p.level = s.level
	if s.prices.limited() && c.count(s, p, rest) {
		return
	}
	s.room = rest
	s.finer(false, rest)
}

// step is the widest between two lines.
func (s *site) step() int { return max(widest(s.level.x), widest(s.level.y)) }

// finer rules lines between those of a frame, for both axes or for the one whose lines lie farther apart; room is what was known of the parts, or nil.
func (s *site) finer(both bool, room []int32) {
	x, y := s.level.x, s.level.y
	across := widest(x) >= widest(y)
	switch {
	case s.step() <= 1:
		s.again()
		return
	case 4*s.level.size() > mostCells:
		s.full = true
		return
	}
	if both || across {
		x = halved(x)
	}
	if both || !across {
		y = halved(y)
	}
	s.level, s.room = s.level.refined(x, y, s.least, s.kerf, room)
}

// again begins a new pass, with more parts kept; the frame is closed when nothing was dropped or no more can be kept.
func (s *site) again() {
	if s.keep *= 4; s.base == nil || s.keep > mostCells/4 {
		s.closed = true
		return
	}
	s.level, s.room, s.base, s.passed = s.base, s.baseRoom, nil, 0
}

// stepWide looks for a plan only.
func (c *search) stepWide(s *site) {
	p := c.programme(s, s.level.x, s.level.y, false)
	if !c.fill(p) {
		return
	}
	if t := p.whole(); t != nil {
		c.keep(s, p.realise(t, s.whole()))
	}
	if s.sound != nil {
		s.bound = min(s.bound, s.sound.most(s.X1-s.X0, s.Y1-s.Y0)+s.prices.rest())
	}
	if s.rounds == 2 { // there is a plan; are there lines for a bound?
		s.wide = false
		s.rule(firstParts, mostCells)
		return
	}
	if !s.rule(s.parts*7/5, mostCells) {
		s.closed = s.rounds > 1 // once more, with what parts without flaws give
	}
}

func (s *site) whole() part { return part{s.X0, s.Y0, s.X1, s.Y1} }

// floor is what a programme must exceed to lead to more than a value, in its units.
func (c *search) floor(s *site, p *programme, value int64) int32 {
	return int32(math.Floor(min(max(never/2, float64(value-s.prices.rest())/float64(p.unit)), -never)))
}

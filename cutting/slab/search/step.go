package search

import (
	"math"
	"slices"

	"slatewright/cutting/slab"
	"slatewright/cutting/slab/ground"
)

// mostCells is how large a programme may become: the number of its parts.
const mostCells = 30_000_000

// countedSteps is the work of counting copies at most, at one ruling.
const countedSteps = 10_000_000

// firstParts is into how many stretches a frame is ruled first.
const firstParts = 24

// openSteps is about the work of one type's places in a frame.
const openSteps = 200_000

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
	s.rule(firstParts, false)
	s.prices.start(c.Types)
}

func anywhere(s *ground.Stance) bool {
	for _, r := range s.Rows {
		if len(r) > 0 {
			return true
		}
	}
	return false
}

// step works on a frame once: a plan, a bound, and then new prices or new lines.
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
	exact := c.programme(s, false)
	if exact == nil {
		return
	}
	if t := exact.plan(0, exact.x.n(), 0, exact.y.n()); t != nil {
		s.loose = false
		c.keep(s, s.realise(t, s.whole(), nil))
	}
	if s.sound != nil {
		s.bound = min(s.bound, s.sound.most(s.X1-s.X0, s.Y1-s.Y0)+s.prices.rest())
	}
	if s.wide {
		c.rule(s, nil, fewPieces+1)
		return
	}
	loose := c.programme(s, true)
	if loose == nil {
		return
	}
	top := loose.value()
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
	if s.prices.limited() {
		if k := c.newCounted(s, loose, countedSteps); k != nil {
			if top, better, ok := k.run(); ok {
				s.bound = min(s.bound, max(top, c.value))
				if s.bound <= c.value {
					return
				}
				wanted, t = nil, better
				c.keep(s, s.realise(t, s.whole(), &wanted))
			}
		}
	}
	used := make([]int, len(c.Types))
	t.count(used)
	c.rule(s, wanted, sum(used))
}

func sum(list []int) (n int) {
	for _, v := range list {
		n += v
	}
	return n
}

func (s *site) whole() part { return part{s.X0, s.Y0, s.X1, s.Y1} }

// programme runs the programme of a frame at its prices; nil when it was stopped.
func (c *search) programme(s *site, loose bool) *programme {
	p := &programme{x: ruling{s.xs, s.kerf, loose}, y: ruling{s.ys, s.kerf, loose}, least: s.least, worth: make([]int32, len(c.Types))}
	p.unit = 1 + c.top>>29
	p.ends = tableEnds(s.kinds, &p.x, &p.y)
	for k, t := range c.Types {
		if len(s.kinds[k]) == 0 {
			continue
		}
		p.worth[k] = int32((max(s.worth(t, k), 0) + p.unit - 1) / p.unit)
		if p.worth[k] > 0 {
			p.order = append(p.order, k)
			st := s.kinds[k][0]
			p.dense = math.Max(p.dense, float64(p.worth[k])/(float64(st.W)*float64(st.H)))
		}
	}
	if p.sound = s.sound; s.sound != nil && !loose {
		p.clean = tableClean(s.spotless, &p.x, &p.y)
	}
	slices.SortStableFunc(p.order, func(a, b int) int { return int(p.worth[b] - p.worth[a]) })
	if c.done(p.x.n()*p.y.n()*p.y.n()*len(p.order)) || !p.run(c.done) {
		return nil
	}
	return p
}

func (s *site) worth(t slab.Type, k int) int64 { return t.Value - s.prices.of(k) }

// Steps of the tables of what sound parts give: once, or anew for each change of prices.
const (
	soundSteps  = 100_000_000
	pricedSteps = 8_000_000
)

// learn works out what sound parts give at the frame's prices; false when it was stopped.
func (c *search) learn(s *site) bool {
	worth := make([]int64, len(c.Types))
	for k, t := range c.Types {
		worth[k] = s.worth(t, k)
	}
	if slices.Equal(worth, s.priced) {
		return true
	}
	if s.spotless == nil {
		s.spotless = s.Clean()
	}
	steps := int64(soundSteps)
	if s.prices.limited() {
		steps = pricedSteps
	}
	s.sound, s.priced = newSound(s, worth, steps, c.done), worth
	return !c.stopped
}

// fewPieces is up to how many pieces of a loose plan single lines close the gap sooner than lines all over.
const fewPieces = 10

// rule adds the lines that are wanted, and lines all over; the frame is closed when there is no room for more.
func (c *search) rule(s *site, wanted []wish, pieces int) {
	added := 0
	if pieces <= fewPieces {
		for _, w := range wanted {
			lines := &s.xs
			if w.along {
				lines = &s.ys
			}
			if !s.full() && add(lines, w.at) {
				added++
			}
		}
	}
	s.refined++
	if added > 0 && s.refined%4 != 0 {
		return
	}
	if s.parts += s.parts * 2 / 5; !s.rule(s.parts, pieces <= fewPieces) && added == 0 {
		s.closed = s.rounds > 1 // once more, with what parts without flaws give
	}
}

// rule rules a frame anew into so many stretches each way, and keeps the lines that stand when it is asked to. False when there is no room for that. Where
// pieces are so small that a bound needs more lines than there is room for, the frame is ruled wide: for plans only.
func (s *site) rule(parts int, keep bool) bool {
	rows := func(wide bool) (xs, ys []int) {
		ruled := func(from, to, least int) []int {
			step := max(1, (to-from)/parts)
			if !wide {
				step = min(step, least+s.kerf-1)
			}
			return newLines(from, to, least, s.kerf, step)
		}
		return ruled(s.X0, s.X1, s.least[0]), ruled(s.Y0, s.Y1, s.least[1])
	}
	xs, ys := rows(s.wide)
	if s.xs == nil && cells(xs, ys) > mostCells {
		s.wide = true
		xs, ys = rows(true)
	}
	if keep {
		for _, c := range s.xs {
			add(&xs, c)
		}
		for _, c := range s.ys {
			add(&ys, c)
		}
	}
	if s.xs != nil && (cells(xs, ys) > mostCells || len(xs) == len(s.xs) && len(ys) == len(s.ys)) {
		return false
	}
	s.xs, s.ys, s.parts = xs, ys, parts
	return true
}

// cells counts the parts between lines, about.
func cells(xs, ys []int) int { return len(xs) * len(xs) / 2 * len(ys) * len(ys) / 2 }

// full tells whether the programme of a frame has become as large as it may.
func (s *site) full() bool {
	return cells(s.xs, s.ys) > mostCells
}

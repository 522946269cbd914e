package passes

import "math"

// work is a question made ready for planning.
type work struct {
	*Question
	unit    float64
	cutters []Cutter
	belt    float64 // the one feed of heads in line, mm/s; 0: each pass has its own
	out     float64 // share of a bow that the hold presses out
	need    int     // rounds that are asked
	down    map[float64][2]*descent
	few     bool  // the least and the greatest depth of each stage only
	free    bool  // nothing costs anything: is there any plan at all?
	any     *work // the same with nothing costing anything, once it was asked
	ceiling *cost // nothing dearer is looked for; nil: no ceiling
	relaxed Limit // a limit that is not asked for, to find out what stops a plan
}

func newWork(q *Question) *work {
	w := &work{Question: q, unit: q.unit(), need: q.Rounds, down: map[float64][2]*descent{}}
	for i := range q.Machine.Stages {
		w.cutters = append(w.cutters, NewCutter(q.Machine, i, q.long(), q.wide()))
	}
	return w
}

// cost is what is made least: first the one, then the other. With prices that is money in millionths of the currency, then milliseconds;
// without, milliseconds, then worn bits in cubic micrometres by the thousand million (mm³). Whole numbers: their sums do not depend on an order.
type cost [2]int64

func (c cost) plus(d cost) cost { return cost{c[0] + d[0], c[1] + d[1]} }

func (c cost) less(d cost) bool { return c[0] < d[0] || c[0] == d[0] && c[1] < d[1] }

// whole rounds to a whole number.
func whole(v float64) int64 { return int64(math.Round(v)) }

// use is what an act takes.
type use struct {
	minutes float64
	worn    float64 // height of the bits, mm
	bits    float64 // money for them
	water   float64 // litres
	energy  float64 // kWh
}

// money for an act where it is known: the hour and the bits, and water and power where they have a price.
func (w *work) money(u use) float64 {
	p := w.Machine.Prices
	if !w.Machine.Priced() {
		return 0
	}
	sum := *p.Hour*u.minutes/60 + u.bits
	if p.Water != nil {
		sum += *p.Water * u.water / 1000
	}
	if p.Power != nil {
		sum += *p.Power * u.energy
	}
	return sum
}

// costs turns the minutes of an act that wears no bits into what is made least.
func (w *work) costs(u use) cost {
	ms := whole(u.minutes * 60000)
	switch {
	case w.free:
		return cost{}
	case w.Machine.Priced():
		return cost{whole(w.money(u) * 1e6), ms}
	}
	return cost{ms, 0}
}

// pass is what one pass takes that removes a mean depth over the face at a feed. shared: heads in line make it in the travel of the pass before.
func (w *work) pass(stage int, feed, depth float64, shared bool) use {
	c := &w.cutters[stage]
	u := use{minutes: c.minutes(feed, w.Machine.Times.Turn), worn: c.Taper(depth), energy: c.Energy.Value * depth * c.Area / 3.6e6}
	u.water = u.minutes * c.Head.Water
	if u.minutes += w.Machine.Times.Pass; shared {
		u.minutes = 0
	}
	if d := c.Disc; w.Machine.Priced() { // a ring of bits and the work of putting it on, by the height that has gone
		u.bits = u.worn / d.BitHeight * (float64(d.Bits)**d.Price + w.Machine.Times.Bits/60**w.Machine.Prices.Hour)
	}
	return u
}

// change is what a change of the disc takes; heads in line need none.
func (w *work) change(from, to int) use {
	if from == to || from < 0 || w.Machine.Line() {
		return use{}
	}
	return use{minutes: w.Machine.Times.Change}
}

// laid is what laying a piece down takes, with the turning before it where it comes off the other face.
func (w *work) laid(h Hold, turned bool) use {
	t := w.Machine.Times
	u := use{minutes: t.Setup}
	if h == Free {
		u.minutes = t.Free
	}
	if turned {
		u.minutes += t.Flip
	}
	return u
}

// choice is what a pass is set to.
type choice struct {
	units int // 0: a spark-out pass
	feed  float64
}

// move is a choice of a stage with what the search needs of it, reckoned once.
type move struct {
	choice
	stage  int
	left   float64 // share of a depth that is left standing, at the worse end
	taper  float64 // for a mean depth of 1 mm, at the worse end
	fixed  [2]float64
	shared [2]float64 // in the place of fixed for a further head in the same travel
	each   [2]float64 // for a mean depth of 1 mm
}

// costs of a move that takes a mean depth off.
func (m *move) costs(mean float64, shared bool) cost {
	f := m.fixed
	if shared {
		f = m.shared
	}
	return cost{whole(f[0] + m.each[0]*mean), whole(f[1] + m.each[1]*mean)}
}

func (w *work) move(stage int, c choice) move {
	cutter := &w.cutters[stage]
	m := move{choice: c, stage: stage, left: cutter.left(c.feed, worse), taper: cutter.taper(1, worse)}
	if w.free {
		return m
	}
	none, one := w.pass(stage, c.feed, 0, false), w.pass(stage, c.feed, 1, false)
	also := w.pass(stage, c.feed, 0, true)
	if w.Machine.Priced() {
		m.fixed = [2]float64{w.money(none) * 1e6, none.minutes * 60000}
		m.shared = [2]float64{w.money(also) * 1e6, 0}
		m.each[0] = (w.money(one) - w.money(none)) * 1e6
	} else {
		m.fixed[0] = none.minutes * 60000
		m.each[1] = one.worn * cutter.Disc.Area() * 1000
	}
	return m
}

// moves are the ways of a stage: each depth that can be set, at the slowest feed and at the fastest that the motor allows, or at the belt's.
func (w *work) moves(stage int) (list []move) {
	s := w.Machine.Stages[stage]
	step, first, last := w.units(s.Step), w.units(s.DepthMin), w.units(s.DepthMax)
	greatest := last
	for greatest > first && len(w.feeds(stage, float64(greatest)*w.unit)) == 0 { // beyond the motor
		greatest -= step
	}
	for d := first; d <= last; d += step {
		for _, f := range w.feeds(stage, float64(d)*w.unit) {
			if !w.few || d == first || d > greatest-step && d <= greatest {
				list = append(list, w.move(stage, choice{d, f}))
			}
		}
	}
	return list
}

// sparks are the ways of a stage's spark-out pass.
func (w *work) sparks(stage int) (list []move) {
	if !w.Machine.Table.Rezero { // worn bits hang over what was left at the start of the pass
		return nil
	}
	for _, f := range w.feeds(stage, 0) {
		list = append(list, w.move(stage, choice{0, f}))
	}
	return list
}

func (w *work) feeds(stage int, depth float64) []float64 {
	c := &w.cutters[stage]
	fastest := c.fastest(depth)
	if w.relaxed == ByPower {
		fastest = c.FeedMax
	}
	switch {
	case fastest == 0 || w.belt > 0 && (w.belt < c.FeedMin || w.belt > fastest):
		return nil
	case w.belt > 0:
		return []float64{w.belt}
	case fastest == c.FeedMin:
		return []float64{fastest}
	}
	return []float64{fastest, c.FeedMin}
}

// units is a depth in settings.
func (w *work) units(depth float64) int { return int(math.Floor(depth/w.unit + 1e-6)) }

// belts are the feeds that heads in line are tried at: the slowest that all allow, and the fastest of each depth of each stage.
func (w *work) belts() (list []float64) {
	if !w.Machine.Line() {
		return []float64{0}
	}
	slowest, fastest := 0.0, math.Inf(1)
	for _, c := range w.cutters {
		slowest, fastest = math.Max(slowest, c.FeedMin), math.Min(fastest, c.FeedMax)
	}
	if slowest > fastest {
		return nil
	}
	list = []float64{slowest, fastest}
	for i, s := range w.Machine.Stages {
		for d := s.DepthMin; d <= s.DepthMax+1e-9; d += s.Step {
			if f := w.cutters[i].fastest(d); f > slowest && f < fastest {
				list = append(list, f)
			}
		}
	}
	return list
}

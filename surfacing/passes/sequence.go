package passes

import "math"

// The orders that are tried. The first face is always cut on free supports, so that no bow is pressed out of it and comes back:
//
//	bottom on free supports, then top pressed on the bottom that is level now
//	top on free supports, bottom pressed on it, and a light last cut of the top on free supports again
//
// A piece of which one face only is cut lies on free supports.

// found is a plan's layings with what they cost.
type found struct {
	cost    cost
	layings []laying
	belt    float64
}

// best is the cheapest plan under the limits, nil where there is none: the cheapest with few settings first, or any plan at all, then the cheapest of all
// with its cost as a ceiling.
func (w *work) best() *found {
	if w.relaxed != ByFlatness && w.cramped() {
		return nil
	}
	few := w.again()
	few.few = true
	f := few.cheapest()
	if f == nil {
		if w.any == nil {
			w.any = w.again()
			w.any.free = true
		}
		if f = w.any.cheapest(); f == nil {
			return nil
		}
		w.belt = f.belt
		f.cost = w.worth(f.layings)
	}
	all := w.again()
	all.ceiling = &f.cost
	return all.cheapest()
}

// worth is what layings cost, rounded up.
func (w *work) worth(list []laying) cost {
	p := w.reckon(list)
	if p.Money != nil {
		return cost{whole(*p.Money*1e6) + 1000, 0}
	}
	return cost{whole(p.Minutes*60000) + 1000, 0}
}

// again is the same question with nothing searched yet.
func (w *work) again() *work {
	x := *w
	x.any = nil
	x.down = map[float64][2]*descent{}
	return &x
}

// cheapest is the best of the orders at each belt feed.
func (w *work) cheapest() (b *found) {
	for _, belt := range w.belts() {
		w.belt = belt
		for _, f := range w.orders() {
			if f != nil && (b == nil || f.cost.less(b.cost)) {
				f.belt = belt
				b = f
			}
		}
	}
	return b
}

// orders tries each order at one belt feed.
func (w *work) orders() []*found {
	down := w.descents()
	switch {
	case down[Top] == nil:
		return []*found{w.one(Bottom, down[Bottom])}
	case down[Bottom] == nil:
		return []*found{w.one(Top, down[Top])}
	}
	return []*found{w.two(down), w.three(down)}
}

// descents searches both faces, once for a belt feed.
func (w *work) descents() [2]*descent {
	if down, ok := w.down[w.belt]; ok {
		return down
	}
	end := [2]int{len(w.cutters) - 1, w.BottomStage - 1}
	var down [2]*descent
	floors := [2]floor{{start: make([]cost, w.Rounds+1)}, {start: make([]cost, w.Rounds+1)}} // a face that is not cut costs nothing
	for f := range down {
		if w.Take[f].Max > 0 {
			down[f] = w.descent(w.Take[f], end[f])
			if w.ceiling != nil {
				floors[f] = down[f].floor()
			}
		}
	}
	for f, d := range down {
		if d == nil {
			continue
		}
		if w.ceiling != nil {
			fixed := w.costs(w.laid(Free, false))
			if down[1-f] != nil {
				fixed = fixed.plus(w.costs(w.laid(Pressed, true)))
			}
			d.under(floors[f], floors[1-f], fixed)
		}
		d.search()
	}
	w.down[w.belt] = down
	return down
}

// room is how uneven a face may be from wear and stock: what its other parts leave of the flatness.
func (w *work) room(f Face, stage int, h Hold, b *bent) float64 {
	if w.relaxed == ByFlatness {
		return math.Inf(1)
	}
	return w.flat(f) - w.flatness(f, stage, h, [2]float64{}, b).High
}

// roomOfTwo is the room of the bottom and the top when two layings have taken all skins off.
func (w *work) roomOfTwo() (lower, upper float64) {
	b := w.bent()
	b.cut(Bottom, Free, w.Take[Bottom].Mean, firstFree)
	b.cut(Top, Pressed, w.Take[Top].Mean, lastFree)
	return w.room(Bottom, w.BottomStage-1, Free, b), w.room(Top, len(w.cutters)-1, Pressed, b)
}

// roomOfThree is the same with a last cut of the top, and how far the top lies from level before that.
func (w *work) roomOfThree(last float64) (lower, upper, off float64) {
	b := w.bent()
	b.cut(Top, Free, w.Take[Top].Mean-last, firstFree)
	b.cut(Bottom, Pressed, w.Take[Bottom].Mean, lastFree)
	off = b.off(Top, w, true)
	b.cut(Top, Free, last, lastFree)
	return w.room(Bottom, w.BottomStage-1, Pressed, b), w.room(Top, len(w.cutters)-1, Free, b), off
}

// cramped tells whether what wear does not make takes all of the flatness already, in either order: no passes help then.
func (w *work) cramped() bool {
	if w.Take[Top].Max == 0 || w.Take[Bottom].Max == 0 {
		return false
	}
	if lower, upper := w.roomOfTwo(); lower >= 0 && upper >= 0 {
		return false
	}
	for _, m := range w.moves(len(w.cutters) - 1) {
		if lower, upper, _ := w.roomOfThree(float64(m.units) * w.unit); lower >= 0 && upper >= 0 {
			return false
		}
	}
	return true
}

// one cuts a single face.
func (w *work) one(f Face, d *descent) *found {
	b := w.bent()
	b.cut(f, Free, w.Take[f].Mean, firstFree)
	i := d.cheapest(w.room(f, d.end, Free, b), -1, w.need)
	if i < 0 {
		return nil
	}
	return &found{cost: d.labels[i].cost.plus(w.costs(w.laid(Free, false))), layings: []laying{d.laying(f, Free, i, 0)}}
}

// cheapest is the cheapest label on the plane that is no more uneven than room, has at least so many passes and, with first at 0 or above, begins with
// that stage; -1: none.
func (d *descent) cheapest(room float64, first, rounds int) int32 {
	best := int32(-1)
	for _, i := range d.done {
		l := &d.labels[i]
		if l.left.uneven <= room && int(l.n) >= rounds && (first < 0 || int(l.first) == first) && (best < 0 || l.cost.less(d.labels[best].cost)) {
			best = i
		}
	}
	return best
}

// table has the cheapest labels by first stage and number of passes.
func (d *descent) table(room float64) [][]int32 {
	t := make([][]int32, len(d.cutters))
	for first := range t {
		for n := range d.Rounds + 1 {
			t[first] = append(t[first], d.cheapest(room, first, n))
		}
	}
	return t
}

// laying makes a laying of the passes that end in a label.
func (d *descent) laying(f Face, h Hold, i int32, rest float64) laying {
	l := laying{face: f, hold: h, rest: rest}
	for _, t := range d.track(i) {
		l.steps = append(l.steps, step{int(t.stage), float64(t.choice.units) * d.unit, t.choice.feed})
	}
	return l
}

// two is the bottom and then the top.
func (w *work) two(down [2]*descent) *found {
	lower, upper := w.roomOfTwo()
	layed := w.costs(w.laid(Free, false)).plus(w.costs(w.laid(Pressed, true)))
	var best *found
	for n := range w.Rounds + 1 {
		i := down[Bottom].cheapest(lower, -1, n)
		if i < 0 {
			continue
		}
		for first := range w.cutters {
			j := down[Top].cheapest(upper, first, w.need-n)
			if j < 0 {
				continue
			}
			c := down[Bottom].labels[i].cost.plus(down[Top].labels[j].cost).plus(layed).plus(w.costs(w.change(down[Bottom].end, first)))
			if best == nil || c.less(best.cost) {
				best = &found{cost: c, layings: []laying{down[Bottom].laying(Bottom, Free, i, 0), down[Top].laying(Top, Pressed, j, 0)}}
			}
		}
	}
	return best
}

// three is the top, the bottom, and a light last cut of the top.
func (w *work) three(down [2]*descent) (best *found) {
	ways := down[Top].ways[down[Top].end]
	for i := range ways {
		if ways[i].units < down[Top].bottom {
			if f := w.lastCut(down, &ways[i]); f != nil && (best == nil || f.cost.less(best.cost)) {
				best = f
			}
		}
	}
	return best
}

// lastCut is three layings with this last cut.
func (w *work) lastCut(down [2]*descent, m *move) (best *found) {
	top, end := down[Top], down[Top].end
	depth := float64(m.units) * w.unit
	lower, upper, off := w.roomOfThree(depth)
	layed := w.costs(w.laid(Free, false)).plus(w.costs(w.laid(Pressed, true))).plus(w.costs(w.laid(Free, true)))
	under := down[Bottom].table(lower)
	for stage := range w.cutters {
		if w.Machine.Stages[stage].Damage > depth+1e-9 && stage != end && w.relaxed != ByDamage {
			continue
		}
		for n := range w.Rounds + 1 {
			for first := range w.cutters {
				for _, i := range top.open[top.slot(top.bottom-m.units, stage, first, n)] {
					last := w.finish(top, i, m, off, upper)
					for _, f := range last {
						if g := w.between(down, under, i, f, n, stage); g != nil {
							g.cost = g.cost.plus(layed)
							if best == nil || g.cost.less(best.cost) {
								best = g
							}
						}
					}
				}
			}
		}
	}
	return best
}

// finishing is a last cut with its spark-outs.
type finishing struct {
	cost  cost
	steps []step
}

// finish makes the last cut after a label, with each number of spark-outs that leaves it even enough; nothing where it cannot be.
func (w *work) finish(top *descent, i int32, m *move, off, room float64) (list []finishing) {
	depth := float64(m.units) * w.unit
	before := top.labels[i].left.raised(off)
	if before.uneven > depth && w.relaxed != ByFlatness { // the cut would not reach all over
		return nil
	}
	left, worn := m.after(before, depth, depth)
	if worn > w.Share*w.Flat && w.relaxed != ByWear {
		return nil
	}
	f := finishing{cost: m.costs(depth, false), steps: []step{{m.stage, depth, m.feed}}}
	if left.uneven <= room {
		list = append(list, f)
	}
	return w.sparkedOut(list, f, left, room, mostSparks)
}

// raised is a face that a bow has put out of level.
func (s surface) raised(off float64) surface { return surface{s.uneven + off, s.high + off} }

// sparkedOut adds what further spark-outs make of a last cut.
func (w *work) sparkedOut(list []finishing, f finishing, before surface, room float64, more int) []finishing {
	if more == 0 {
		return list
	}
	for _, m := range w.sparks(f.steps[0].stage) {
		left, worn := m.after(before, 0, 0)
		g := finishing{cost: f.cost.plus(m.costs(worn/m.taper, false)), steps: append(append([]step{}, f.steps...), step{m.stage, 0, m.feed})}
		if left.uneven <= room {
			list = append(list, g)
		}
		list = w.sparkedOut(list, g, left, room, more-1)
	}
	return list
}

// between puts the cheapest bottom between the two cuts of the top.
func (w *work) between(down [2]*descent, under [][]int32, i int32, f finishing, n, stage int) (best *found) {
	top, bottom := down[Top], down[Bottom]
	for first := range w.cutters {
		j := under[first][max(0, w.need-n-len(f.steps))]
		if j < 0 {
			continue
		}
		c := top.labels[i].cost.plus(f.cost).plus(bottom.labels[j].cost).plus(w.costs(w.change(stage, first))).plus(w.costs(w.change(bottom.end, top.end)))
		if best == nil || c.less(best.cost) {
			l := f.steps
			best = &found{cost: c, layings: []laying{top.laying(Top, Free, i, l[0].depth), bottom.laying(Bottom, Pressed, j, 0), {face: Top, hold: Free, steps: l}}}
		}
	}
	return best
}

package passes

import "math"

// The search. A face is taken down in whole settings. A label stands at a plunge, a stage, a number of passes and a first stage; it
// carries the cost so far and the face as it is left so far: how uneven, and how high over its plane. A further pass adds a cost that depends on where it
// begins and ends, on its stage and feed and on nothing else, and makes of the face a new one that is never better for a worse one before it. So of two
// labels at one place the one that costs no less and leaves no better face cannot end better, and is dropped; what remains at the end is every trade
// that no other beats. Nothing is left out, so the cheapest plan under the limits is among them (brute force over all
// sequences says the same on small machines: search_test.go).

// mostSparks are the spark-out passes that are tried: after three at the usual stiffness less than a thousandth is left.
const mostSparks = 3

// label is the end of one sequence of passes.
type label struct {
	cost   cost
	left   surface // at the worse end of what is known
	from   int32   // the label before; -1: none
	at     int32   // plunge in settings, counted from the highest place
	choice choice
	stage  int8
	first  int8
	n      int16 // passes, no more than are asked for
}

// descent is the search down one face.
type descent struct {
	*work
	stock  Stock
	bottom int      // settings down to the plane
	air    int      // settings over the highest place at which a first pass may begin
	end    int      // stage that must make the last pass
	ways   [][]move // by stage
	most   []cost   // the least that must come on top of a label; nil: nothing is pruned
	labels []label
	open   [][]int32 // by slot
	taken  []float64 // mean depth by settings from the highest place
	done   []int32   // labels at the plane, with spark-outs too
}

// descent makes a search ready that takes a stock off with the last pass by a stage.
func (w *work) descent(s Stock, end int) *descent {
	d := &descent{work: w, stock: s, end: end}
	d.bottom = int(math.Ceil(s.Max/w.unit - 1e-6))
	for at := range d.bottom + 1 {
		d.taken = append(d.taken, s.Taken(d.depth(int32(at))))
	}
	for _, t := range w.Machine.Stages {
		d.air = max(d.air, w.units(t.Step)-1)
	}
	d.air = max(d.air, w.units(w.Machine.Stages[end].DepthMin)-d.bottom)
	for i := range w.cutters {
		d.ways = append(d.ways, w.moves(i))
	}
	return d
}

// search finds all ways down that no other beats.
func (d *descent) search() {
	s := len(d.cutters)
	d.open = make([][]int32, (d.bottom+1)*s*s*(d.Rounds+1))
	for start := -d.air; start <= 0; start++ {
		for k := range d.ways {
			for i := range d.ways[k] {
				if start+d.ways[k][i].units > 0 {
					d.extend(label{from: -1, at: int32(start), first: int8(k), stage: -1, left: surface{uneven: d.stock.Range()}}, -1, &d.ways[k][i])
				}
			}
		}
	}
	for at := 1; at < d.bottom; at++ {
		d.leave(at)
	}
	d.spark()
}

// leave goes on from all labels at a plunge.
func (d *descent) leave(at int) {
	for n := range d.Rounds + 1 {
		for k := range d.ways {
			for first := 0; first <= k; first++ {
				for _, i := range d.open[d.slot(at, k, first, n)] {
					for next := k; next < len(d.ways); next++ {
						for m := range d.ways[next] {
							d.extend(d.labels[i], i, &d.ways[next][m])
						}
					}
				}
			}
		}
	}
}

// slot numbers the places of labels by plunge, stage, first stage and passes.
func (d *descent) slot(at, stage, first, n int) int {
	s := len(d.cutters)
	return ((at*s+stage)*s+first)*(d.Rounds+1) + n
}

// depth is how far a plunge in settings lies under the highest place, mm: the last setting ends on the plane.
func (d *descent) depth(at int32) float64 { return d.stock.Max - float64(d.bottom-int(at))*d.unit }

// extend makes one more pass, if the limits allow it.
func (d *descent) extend(l label, i int32, m *move) {
	to, stage := l.at+int32(m.units), m.stage
	switch {
	case int(to) > d.bottom, int(to) == d.bottom && stage != d.end:
		return
	case l.stage >= 0 && int(l.stage) != stage && float64(d.bottom-int(l.at))*d.unit < d.Machine.Stages[l.stage].Damage-1e-9 && d.relaxed != ByDamage:
		return // what it has broken would not all come off
	}
	mean := d.taken[to] - d.taken[max(0, l.at)]
	left, taper := m.after(l.left, mean, float64(m.units)*d.unit)
	if int(to) == d.bottom && taper > d.Share*d.Flat && d.relaxed != ByWear {
		return
	}
	left.uneven = math.Max(left.uneven, d.stock.Range()-d.depth(to))
	moved := l.stage >= 0 && int(l.stage) != stage
	if d.free { // what costs nothing need not know where it began
		l.first = 0
	}
	next := label{from: i, at: to, choice: m.choice, stage: int8(stage), first: l.first, n: int16(min(int(l.n)+1, d.Rounds)), left: left}
	next.cost = l.cost.plus(m.costs(mean, moved && d.Machine.Line()))
	if moved {
		next.cost = next.cost.plus(d.costs(d.change(int(l.stage), stage)))
	}
	d.keep(next)
}

// surface is how a face is left, mm: peak to valley, and its highest place over the plane that the disc was set to.
type surface struct{ uneven, high float64 }

func (s surface) over(o surface) bool { return s.uneven >= o.uneven && s.high >= o.high }

// grain is what a surface is rounded up to, mm.
const grain = 1e-3

func grainUp(v float64) float64 { return math.Ceil(v/grain-1e-6) * grain }

// after is a face after a pass that is set deeper by depth and would take a mean depth off if nothing yielded, and the wear of the bits in it.
// Where the disc meets stone, of what stands over its path the share left stays:
//
//	face after = (1 − left)·path + left·face before
//
// The path rises by the wear w from start to end. On average no more than (1 − left)·(mean + high) comes off, since no place stands higher
// over the plane before than high. So w, the unevenness and the height are bounded.
func after(before surface, mean, depth, left, taper float64) (s surface, worn float64) {
	worn = taper * (1 - left) * (mean + before.high)
	return surface{(1-left)*worn + left*before.uneven, left*(before.high+depth) + (1-left)*worn}, worn
}

func (m *move) after(before surface, mean, depth float64) (surface, float64) {
	s, worn := after(before, mean, depth, m.left, m.taper)
	return surface{grainUp(s.uneven), grainUp(s.high)}, worn
}

// keep adds a label unless another there is as good in all.
func (d *descent) keep(l label) {
	if d.hopeless(&l) {
		return
	}
	k := d.slot(int(l.at), int(l.stage), int(l.first), int(l.n))
	d.labels, d.open[k] = admitted(d.labels, d.open[k], l)
}

// admitted is the list, by rising cost, with a label in it and without those that it beats; or as it was.
func admitted(all []label, list []int32, l label) ([]label, []int32) {
	at := 0
	for ; at < len(list) && !l.cost.less(all[list[at]].cost); at++ {
		if l.left.over(all[list[at]].left) {
			return all, list
		}
	}
	kept := append(list, 0) // room for the label
	copy(kept[at+1:], list[at:])
	kept[at] = int32(len(all))
	n := at + 1
	for _, i := range kept[at+1:] {
		if !all[i].left.over(l.left) {
			kept[n] = i
			n++
		}
	}
	return append(all, l), kept[:n]
}

// spark gathers the labels at the plane and adds spark-out passes to them.
func (d *descent) spark() {
	for n := range d.Rounds + 1 {
		for first := range d.cutters {
			d.done = append(d.done, d.open[d.slot(d.bottom, d.end, first, n)]...)
		}
	}
	from, ways := d.done, d.sparks(d.end)
	for range mostSparks {
		var more []int32
		for _, i := range from {
			for k := range ways {
				more = append(more, int32(len(d.labels)))
				d.labels = append(d.labels, d.sparked(i, &ways[k]))
			}
		}
		d.done = append(d.done, more...)
		from = more
	}
}

// sparked is a label after one more spark-out pass.
func (d *descent) sparked(i int32, m *move) label {
	l := d.labels[i]
	next := label{from: i, at: l.at, choice: m.choice, stage: l.stage, first: l.first, n: int16(min(int(l.n)+1, d.Rounds))}
	var worn float64
	next.left, worn = m.after(l.left, 0, 0)
	next.cost = l.cost.plus(m.costs(worn/m.taper, false))
	return next
}

// track is the sequence of passes that ends in a label.
func (d *descent) track(i int32) (list []label) {
	for ; i >= 0; i = d.labels[i].from {
		list = append(list, d.labels[i])
	}
	for a, b := 0, len(list)-1; a < b; a, b = a+1, b-1 {
		list[a], list[b] = list[b], list[a]
	}
	return list
}

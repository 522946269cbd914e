package feelers

import (
	"math"
	"slices"

	"slatewright/lowlp"
	"slatewright/measure"
)

// Next is the reading that narrows the bounds most when it comes out as badly as it can.
type Next struct {
	Proven  bool    // the widths are of proven bounds; else the high one is over the worst shapes found, all of them solved
	Reading int     // at the place and under the line of this reading
	Strip   float64 // try this strip, mm
	Width   float64 // from the low to the high bound now, mm
	Passes  float64 // the width if it passes
	Stops   float64 // the width if it stops, likewise
}

// After is the width if it comes out as badly as it can.
func (n Next) After() float64 { return max(n.Passes, n.Stops) }

// worth is the narrowing, mm, that is worth a reading; widths nearer to each other than this are decided by the mean of both ways.
const worth = 5e-4

// better tells whether a reading is a better one than another.
func (n Next) better(other *Next) bool {
	if other == nil || n.After() < other.After()-worth {
		return true
	}
	return n.After() < other.After()+worth && n.Passes+n.Stops < other.Passes+other.Stops-slack
}

// What is tried next.
const (
	finest     = 0.02 // mm: strips nearer to each other are no use
	mostTried  = 8    // readings
	openStrips = 0.05 // mm: how much thicker a strip to try where nothing stopped
)

// Next tries the readings that hold the bounds: no other reading can move them. It is nil where no strip between passing and stopping
// would help, or where the zone has no bounds to narrow. Where the high bound is exact, it is followed over the shapes of the largest zones;
// where it is only proven, over the boxes of the stations that hold it, which are worked out anew, so that its fall is proven as well.
func (b *Bounds) Next() (*Next, error) {
	p, low, high := b.problem, b.low, b.high
	if p == nil || math.IsInf(high.value, 1) || math.IsNaN(low.bound) {
		return nil, nil
	}
	top := p.overShapes
	if !high.exact {
		top = p.overBoxes
	}
	var best *Next
	tried := 0
	for _, k := range inTurn(high.active, low.active) {
		strip, ok := p.strip(k)
		if !ok || p.claims[k].block || tried == mostTried {
			continue
		}
		tried++
		n := Next{Proven: !high.exact, Reading: p.claims[k].reading, Strip: strip, Width: high.value - low.bound}
		var err error
		if n.Passes, err = p.after(k, strip, true, high, top); err != nil {
			return nil, err
		}
		if n.Stops, err = p.after(k, strip, false, high, top); err != nil {
			return nil, err
		}
		if n.Passes+n.Stops < 2*n.Width-worth && n.better(best) {
			best = &n
		}
	}
	return best, nil
}

// inTurn is the numbers of both lists, one from each in turn, each once.
func inTurn(a, b []int) (list []int) {
	for i := range max(len(a), len(b)) {
		for _, from := range [][]int{a, b} {
			if i < len(from) && !slices.Contains(list, from[i]) {
				list = append(list, from[i])
			}
		}
	}
	return list
}

// strip is the strip in the middle between passing and stopping, to a hundredth.
func (p *problem) strip(k int) (float64, bool) {
	r := p.set.Readings[p.claims[k].reading]
	from, to := r.Passes, r.Stops
	if math.IsNaN(from) {
		from = 0
	}
	if math.IsNaN(to) {
		return measure.Round(from+openStrips, 2), true
	}
	mid := measure.Round((from+to)/2, 2)
	return mid, to-from > finest && mid > from && mid < to
}

// after is the width of the bounds if the strip passes or stops; top follows the high one.
func (p *problem) after(k int, strip float64, passes bool, high highest, top func(q *problem, place int, high highest) (float64, error)) (float64, error) {
	set := *p.set
	set.Readings = slices.Clone(set.Readings)
	if r := &set.Readings[p.claims[k].reading]; passes {
		r.Passes = strip
	} else {
		r.Stops = strip
	}
	q := set.problem()
	if found, err := q.core(nil); err != nil || found != nil {
		return 0, err // it cannot come out so
	}
	low, err := q.low(false)
	if err != nil {
		return 0, err
	}
	v, err := top(q, p.claims[k].place, high)
	return max(0, v-low.bound), err
}

// overShapes is the largest of the worst shapes found.
func (p *problem) overShapes(q *problem, _ int, high highest) (top float64, err error) {
	for _, s := range high.worst {
		ask, _ := q.most(s)
		v, err := lowlp.Solve(ask)
		if err != nil {
			return 0, err
		}
		if v.Status == lowlp.Optimal {
			top = max(top, -v.Value)
		}
	}
	return top, nil
}

// fewRounds is how often boxes are worked out anew for one way that a reading may come out.
const fewRounds = 3

// overBoxes is the zone of the boxes: those of before hold still, since a reading only takes faces away; that of the reading and those that
// hold the zone are worked out anew.
func (p *problem) overBoxes(q *problem, place int, high highest) (float64, error) {
	b := high.boxes.clone()
	clear(b.exact)
	if i := slices.Index(q.stations, place); i >= 0 {
		if _, err := q.box(b, i); err != nil {
			return 0, err
		}
	}
	zone, _, err := q.settle(b, fewRounds)
	return min(zone+slack, high.value), err
}

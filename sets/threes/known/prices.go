package known

import (
	"math"
	"slices"

	"slatewright/sets/threes/cuts"
)

// Scale is how costs count: what they are above Shift, at most Top of it, times By.
type Scale struct{ By, Top, Shift float64 }

// Of is what a cost counts.
func (c Scale) Of(cost float64) float64 { return c.By * min(cost-c.Shift, c.Top) }

// plain says that costs count as they are, but for the shift.
func (c Scale) plain() bool { return c.By == 1 && math.IsInf(c.Top, 1) }

// Group is demands that the same threes can serve, with the price of a set for them.
type Group struct {
	Mask  uint32
	Price float64
}

// Prices are prices of things, groups and cuts in the form in which a pass over all threes wants them: the reduced cost of {i, j, k} is what its
// cost counts less the price of the best group it may serve, less one[i] + one[j] + one[k], less the pairs' two[…] and less what the
// cuts say of three things that all stand in them.
type Prices struct {
	n      int
	scale  Scale
	groups []Group
	one    []float64
	two    []float64          // n·n, symmetrical; nil: none
	whole  map[int32][]inside // by pair i·n+j, i < j: what threes wholly inside a cut differ
	top    float64            // the largest price of a group
	most   []float64          // largest one[k] for k ≥ …
}

// inside is what is to be taken off the reduced cost of a three that stands wholly in a cut, on top of the pairs.
type inside struct {
	list []int32 // the cut's things after the pair
	in   []bool  // whether a thing is in the cut
	less float64
}

// NewPrices puts prices together: of every thing, of groups of demands (at least one, together all demands that
// threes were priced for), and of cuts, one for each.
func NewPrices(scale Scale, things []float64, groups []Group, list []cuts.Cut, cutPrices []float64) *Prices {
	n := len(things)
	q := &Prices{n: n, scale: scale, groups: groups, one: slices.Clone(things), most: make([]float64, n+1), top: math.Inf(-1)}
	for _, g := range groups {
		q.top = max(q.top, g.Price)
	}
	for c := range list {
		if cutPrices[c] != 0 {
			q.add(&list[c], cutPrices[c])
		}
	}
	q.most[n] = math.Inf(-1)
	for k := n - 1; k >= 0; k-- {
		q.most[k] = max(q.most[k+1], q.one[k])
	}
	return q
}

// add adds what a cut's price does: By[1] to the things, the rest to pairs, and what threes inside S differ from three pairs.
func (q *Prices) add(cut *cuts.Cut, y float64) {
	if q.two == nil {
		q.two, q.whole = make([]float64, q.n*q.n), map[int32][]inside{}
	}
	pair, all := cut.By[2]-2*cut.By[1], cut.By[3]-3*cut.By[2]+3*cut.By[1]
	for a, i := range cut.List {
		q.one[i] += y * cut.By[1]
		for _, j := range cut.List[:a] {
			q.two[int(i)*q.n+int(j)] += y * pair
			q.two[int(j)*q.n+int(i)] += y * pair
			if all != 0 {
				q.whole[j*int32(q.n)+i] = append(q.whole[j*int32(q.n)+i], inside{cut.List[a+1:], cut.In, y * all})
			}
		}
	}
}

// Best is the group in which a three that serves so much is worth most, and that group's price; −1: none.
func (q *Prices) Best(serves uint32) (group int, price float64) {
	group = -1
	for g, is := range q.groups {
		if serves&is.Mask != 0 && (group < 0 || is.Price > price) {
			group, price = g, is.Price
		}
	}
	return group, price
}

// Of is the reduced cost of a three; +Inf: it can be no set.
func (q *Prices) Of(t *Table, c Three) float64 {
	i, j, k := int(c[0]), int(c[1]), int(c[2])
	low := t.Low(t.Place(c))
	if math.IsInf(low, 1) {
		return low
	}
	d := q.scale.Of(low) - q.top - q.one[i] - q.one[j] - q.one[k]
	if q.two != nil {
		d -= q.two[i*q.n+j] + q.two[i*q.n+k] + q.two[j*q.n+k]
		for _, e := range q.whole[int32(i*q.n+j)] {
			if e.in[k] {
				d -= e.less
			}
		}
	}
	return q.exact(t, c, d)
}

// exact mends the reduced cost of a three that is known not to serve every group.
func (q *Prices) exact(t *Table, c Three, d float64) float64 {
	place := t.Place(c)
	if len(q.groups) == 1 || !t.IsKnown(place) {
		return d
	}
	g, y := q.Best(t.serves[place])
	if g < 0 {
		return math.Inf(1)
	}
	return d + q.top - y
}

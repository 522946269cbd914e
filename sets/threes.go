package sets

import "math"

// costs are the threes of a group as they are searched: with changes, a set that was not in the plan before costs more.
type costs struct {
	*group
	changes bool
}

// Floors is that of sets/threes.
func (c costs) Floors(i, j int, floors []float64) {
	g := c.group
	g.stock.Floors(i, j, floors)
	apart := len(g.hand.apart[i]) > 0 || len(g.hand.apart[j]) > 0
	for m := range floors {
		t := [3]int{i, j, j + 1 + m}
		if math.IsInf(floors[m], 1) {
			continue
		}
		if (apart || len(g.hand.apart[t[2]]) > 0) && g.hand.parted(t) || len(g.hand.company) > 0 && !g.hand.joined(t) {
			floors[m] = math.Inf(1)
			continue
		}
		floors[m] += c.more(t)
	}
}

// more is what three things cost besides their bed in this search.
func (c costs) more(t [3]int) float64 {
	cost := c.own(t)
	if c.changes && !c.before[t] {
		cost += c.weights.Change
	}
	if c.hand.keeps(t) {
		cost -= Kept
	}
	return cost
}

// Price is that of sets/threes. Three things that make several beds cost what the cheapest of them does that is wanted.
func (c costs) Price(i, j, k int) (cost float64, serves uint32) {
	t := [3]int{i, j, k}
	if c.hand.parted(t) || !c.hand.joined(t) {
		return 0, 0
	}
	for _, b := range c.beds(t) {
		if more := c.serves(b.Serves) &^ serves; more != 0 {
			if serves == 0 || b.Cost < cost {
				cost = b.Cost
			}
			serves |= more
		}
	}
	return cost + c.more(t), serves
}

package sets

import (
	"fmt"
	"math"
	"slices"

	"slatewright/bed"
	"slatewright/cores"
	"slatewright/sets/beds"
	"slatewright/trouble"
)

// plan puts the answers of all groups together.
func (r *Racks) plan(answers []*answer) Plan {
	p := Plan{SetsProven: true, How: ByAssignment, Unused: slices.Clone(r.refused), Stopped: false}
	why := map[Reason]int{}
	given := make([]int, len(r.q.Orders))
	proven := make([]bool, len(r.q.Orders))
	for n, a := range answers {
		g := r.groups[n]
		sets := g.sets(a)
		for _, s := range sets {
			if s.Order >= 0 {
				given[s.Order]++
			}
		}
		p.Sets = append(p.Sets, sets...)
		p.Unused = append(p.Unused, g.left(a)...)
		p.Cost += a.cost
		p.Bound += a.atLeast
		p.Triples, p.Possible, p.Priced = p.Triples+a.triples, p.Possible+a.possible, p.Priced+a.priced
		p.SetsBound += g.most(a)
		p.Stopped = p.Stopped || a.stopped
		if a.how == BySearch {
			p.How = BySearch
		}
		for reason, count := range a.why {
			why[reason] += count
		}
		for d, w := range g.wants {
			known := slices.Equal(a.numbers[:d+1], a.bound[:d+1])
			p.SetsProven = p.SetsProven && known
			for _, o := range w.orders {
				proven[o] = known
			}
		}
	}
	if p.SetsProven {
		p.SetsBound = len(p.Sets)
	}
	p.Bound = min(p.Bound, p.Cost)
	p.Gap = Gap(p.Cost, p.Bound)
	for _, reason := range []Reason{NoSet, TooCostly, NotNeeded, Splits} {
		if why[reason] > 0 {
			p.Why = append(p.Why, Spared{reason, why[reason]})
		}
	}
	r.short(&p, given, proven)
	slices.SortStableFunc(p.Sets, r.byOrder)
	slices.SortFunc(p.Unused, func(a, b Left) int { return a.Index - b.Index })
	p.Warnings = r.warnings(answers)
	return p
}

// short lists the orders that get fewer sets than they want, as they stand in the question.
func (r *Racks) short(p *Plan, given []int, proven []bool) {
	for i, o := range r.q.Orders {
		if given[i] < o.Sets {
			g, _ := r.sized(o)
			p.Short = append(p.Short, Short{Order: i, Wanted: o.Sets, Given: given[i], Proven: proven[i] || g == nil})
		}
	}
}

// byOrder sorts sets: for orders in the order of importance, then for stock.
func (r *Racks) byOrder(a, b Set) int {
	at := func(s Set) int {
		if s.Order < 0 {
			return len(r.q.Orders)
		}
		return slices.Index(r.ranked, s.Order)
	}
	return at(a) - at(b)
}

// most is how many sets the group can make at most, as far as is known.
func (g *group) most(a *answer) int {
	sum := 0
	for _, n := range a.bound {
		sum += n
	}
	return max(min(sum, fill(g.of)), len(a.chosen))
}

// fill is how many sets so many pieces make when any three of them conform.
func fill(pieces []Piece) int {
	var stand [8]int
	for _, p := range pieces {
		stand[placesOf(p)]++
	}
	return fillPlaces(stand)
}

// placesOf are the places that a piece may take: bit 1 << place.
func placesOf(p Piece) (places int) {
	for _, place := range bed.Places() {
		if p.Ways.Stands(place) {
			places |= 1 << place
		}
	}
	return places
}

// fillPlaces is fill by the number of pieces for each choice of places: for any of the places there must be as many pieces for each (P. Hall, On
// representatives of subsets, Journal of the London Mathematical Society 10, 1935, 26).
func fillPlaces(stand [8]int) int {
	most := math.MaxInt
	for some := 1; some < 8; some++ {
		count, wide := 0, 0
		for places, n := range stand {
			if places&some != 0 {
				count += n
			}
		}
		for place := range 3 {
			wide += some >> place & 1
		}
		most = min(most, count/wide)
	}
	return most
}

// sets makes sets of the chosen threes and gives them to the orders.
func (g *group) sets(a *answer) []Set {
	list := make([]Set, len(a.chosen))
	cores.Share(len(list), 1, func(from, to int) {
		for n := from; n < to; n++ {
			list[n] = g.set(a.chosen[n].Three, g.wants[a.chosen[n].Demand].class)
		}
	})
	given := make([]int, len(g.wants)) // sets of each want so far
	for n, c := range a.chosen {
		list[n].Order = g.order(c.Demand, given[c.Demand])
		given[c.Demand]++
	}
	return list
}

// order is the order that set number n of a want goes to: -1 for stock.
func (g *group) order(want, n int) int {
	for _, o := range g.wants[want].orders {
		if n < g.counts[o] {
			return o
		}
		n -= g.counts[o]
	}
	return -1
}

// set is three things, ascending, as they lie for a set of a class.
func (g *group) set(t [3]int, class int) Set {
	b := g.bed(t, class)
	s := Set{Order: -1, Class: -1, Turned: b.Turned, Spread: g.spread(t), Cost: b.Cost + g.own(t), Kept: g.before[t], Seated: b.Seated}
	for place, thing := range b.Index {
		s.Pieces[place] = g.pieces[thing]
	}
	for joint := range 2 {
		if g.of[b.Index[joint]].Layer != g.of[b.Index[joint+1]].Layer {
			s.LayerChanges++
		}
	}
	for c := len(g.class) - 1; c >= 0; c-- {
		if b.Serves>>c&1 == 1 {
			s.Class = c
		}
	}
	if !b.Seated {
		nan := math.NaN()
		s.Step, s.Zone, s.Lengthwise, s.Across, s.Steps = nan, nan, nan, nan, [2]float64{nan, nan}
		return s
	}
	b = g.laid(t, b)
	s.Step, s.Zone, s.Lengthwise, s.Across, s.Steps = b.Step, b.Zone, b.Lengthwise, b.Across, b.Steps
	return s
}

// laid is the bed of three things after all wishes of seating; asked once. Where the steps are held by less than exact arithmetic can tell, no more may
// be known than the price: then lengthwise is NaN.
func (g *group) laid(t [3]int, b beds.Bed) beds.Bed {
	g.lock.Lock()
	done, known := g.full[bedOf{t, b.Class}]
	g.lock.Unlock()
	if known {
		return done
	}
	at := bedOf{t, b.Class}
	if full := b; g.stock.Lay(&full) == nil {
		b = full
	}
	g.lock.Lock()
	g.full[at] = b
	g.lock.Unlock()
	return b
}

// left says of each unused thing why.
func (g *group) left(a *answer) []Left {
	used := make([]bool, len(g.pieces))
	for _, c := range a.chosen {
		for _, i := range c.Three {
			used[i] = true
		}
	}
	var list []Left
	for i, piece := range g.pieces {
		if !used[i] {
			list = append(list, Left{piece, g.why(i, used)})
		}
	}
	return list
}

// why says why a thing is in no set.
func (g *group) why(i int, used []bool) string {
	mostZone, mostAcross := g.widest()
	zone, across := g.stock.Own(i)
	switch {
	case zone > mostZone:
		return fmt.Sprintf("its own zone of %.3f mm is more than the %.3f mm of a set", zone, mostZone)
	case across > mostAcross:
		return fmt.Sprintf("its own straightness across of %.3f mm is more than the %.3f mm of a set", across, mostAcross)
	case len(g.pieces) < 3:
		return fmt.Sprintf("of its size only %s be matched", trouble.Count(len(g.pieces), "piece may", "pieces may"))
	case fill(g.of) == 0:
		return "there is no piece for one of the other places of a bed"
	case !g.usable()[i]:
		return "no two pieces make a set with it that may be expected to conform"
	}
	var rest []Piece
	for j, p := range g.of {
		if !used[j] {
			rest = append(rest, p)
		}
	}
	if len(rest) < 3 || fill(rest) == 0 {
		return "too few pieces are left over for the other places"
	}
	return "the pieces that are left over make no further set that may be expected to conform"
}

// usable tells of each thing whether any three with it has a floor; asked once.
func (g *group) usable() []bool {
	if g.some != nil {
		return g.some
	}
	n := len(g.pieces)
	g.some = make([]bool, n)
	c := costs{group: g}
	floors := make([]float64, n)
	for a := range n {
		for b := a + 1; b < n; b++ {
			row := floors[:n-b-1]
			c.Floors(a, b, row)
			for m, f := range row {
				if !math.IsInf(f, 1) {
					g.some[a], g.some[b], g.some[b+1+m] = true, true, true
				}
			}
		}
	}
	return g.some
}

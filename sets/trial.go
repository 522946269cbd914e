package sets

import (
	"cmp"
	"math"
	"slices"

	"slatewright/sets/threes"
)

// enoughGap is how near to the least cost is near enough to say what sets that are freed would cost.
const enoughGap = 0.01

// patience is how often a search that has freed nothing may ask whether to stop before it is given up: it asks every few milliseconds.
const patience = 200

// large is how many things are too many to plan anew for every change: then a set of what is left over is looked for first.
const large = 80

// try plans with some variants. frees tells whether there are more sets then, or as many of which more are for orders. Many things are planned anew only
// where what is left over does not make as many more sets as are needed.
func (w *weighing) try(v *variants, with []int, need int) (f Freed, frees bool, err error) {
	for _, n := range with {
		f.Changes = append(f.Changes, v.list[n])
	}
	most := v.fill(with)
	if most <= v.sets && !v.unmet {
		f.Proven = true
		return f, false, nil
	}
	s := &trial{w: w, v: v, at: v.at(with)}
	if len(s.at) > large && !v.unmet {
		if more, cost := s.ofTheRest(); more >= need {
			f.More, f.Cost, f.Proven = more, cost, most == v.sets+more
			return f, true, nil
		}
	}
	plan, err := threes.Choose(threes.Ask{N: len(s.at), Triples: s, Wanted: v.wanted(), Before: s.start(), Gap: max(enoughGap, w.r.q.Gap), Stop: s.stop})
	if err != nil {
		return f, false, err
	}
	f.More, f.Orders, f.Cost = len(plan.Sets)-v.sets, -v.orders, -v.cost
	given := make([]int, len(v.wants))
	for _, c := range plan.Sets {
		if v.order(c.Demand, given[c.Demand]) >= 0 {
			f.Orders++
		}
		given[c.Demand]++
		t := s.real(c.Three)
		f.Cost += v.bed(t, v.wants[c.Demand].class).Cost + v.own(t)
	}
	f.Proven = slices.Equal(plan.Numbers, plan.NumbersBound)
	return f, f.More > 0 || f.More == 0 && f.Orders > 0, nil
}

// trial is the threes of some of the things.
type trial struct {
	w     *weighing
	v     *variants
	at    []int
	asked int
}

// start is the plan as it stands, counted as this trial counts.
func (s *trial) start() (list [][3]int) {
	for _, t := range s.v.plan {
		var now [3]int
		there := true
		for k, i := range t {
			n, ok := slices.BinarySearch(s.at, i)
			now[k], there = n, there && ok
		}
		if there {
			list = append(list, now)
		}
	}
	return list
}

func (s *trial) real(t [3]int) [3]int { return [3]int{s.at[t[0]], s.at[t[1]], s.at[t[2]]} }

// Floors is that of sets/threes.
func (s *trial) Floors(i, j int, floors []float64) {
	row := make([]float64, len(s.v.pieces)-s.at[j]-1)
	costs{group: s.v.group}.Floors(s.at[i], s.at[j], row)
	for m := range floors {
		floors[m] = row[s.at[j+1+m]-s.at[j]-1]
	}
}

// Price is that of sets/threes.
func (s *trial) Price(i, j, k int) (float64, uint32) {
	return costs{group: s.v.group}.Price(s.at[i], s.at[j], s.at[k])
}

func (s *trial) stop() bool {
	s.asked++
	return s.w.stopped() || s.asked > patience
}

// mostPriced is how many threes of what is left over are priced.
const mostPriced = 30

// rest are the things and variants that are left over.
func (s *trial) rest() (list []int) {
	planned := map[int]bool{}
	for _, t := range s.v.plan {
		for _, i := range t {
			planned[i] = true
		}
	}
	for _, i := range s.at {
		if !planned[i] {
			list = append(list, i)
		}
	}
	return list
}

// ofTheRest takes sets of what is left over, each with a variant in it, the cheapest first, and says how many there are and what they cost: without a
// variant the plan would have them. Of too many things none are looked for.
func (s *trial) ofTheRest() (sets int, cost float64) {
	rest := s.rest()
	if len(rest) > large {
		return 0, 0
	}
	type priced struct {
		three [3]int
		cost  float64
	}
	var list []priced
	for c, k := range rest {
		if k < s.v.base {
			continue
		}
		for b, j := range rest[:c] {
			for _, i := range rest[:b] {
				if t := [3]int{i, j, k}; !math.IsInf(s.v.floor(t), 1) {
					list = append(list, priced{t, s.v.floor(t)})
				}
			}
		}
	}
	byCost := func(a, b priced) int { return cmp.Compare(a.cost, b.cost) }
	slices.SortStableFunc(list, byCost)
	list = list[:min(len(list), mostPriced)]
	for n, l := range list {
		list[n].cost = math.Inf(1)
		if b := s.v.bed(l.three, forStock); b.Serves != 0 {
			list[n].cost = b.Cost + s.v.own(l.three)
		}
	}
	slices.SortStableFunc(list, byCost)
	used := map[int]bool{}
	for _, l := range list {
		if t := l.three; !math.IsInf(l.cost, 1) && !used[t[0]] && !used[t[1]] && !used[t[2]] {
			used[t[0]], used[t[1]], used[t[2]] = true, true, true
			sets, cost = sets+1, cost+l.cost
		}
	}
	return sets, cost
}

package sets

import (
	"math"
	"slices"

	"slatewright/assignment"
	"slatewright/bed"
	"slatewright/sets/threes"
)

// splits tells whether the cost of every plan is a sum over joints: nobody has a face, every piece has one place, the spread of thickness is the same for
// every three, and nothing was decided by hand or stood before.
func (g *group) splits() bool {
	if !g.bare || len(g.hand.company) > 0 || g.changes() {
		return false
	}
	for i, p := range g.of {
		places := 0
		for _, place := range bed.Places() {
			if p.Ways.Stands(place) {
				places++
			}
		}
		if places != 1 || len(g.hand.apart[i]) > 0 {
			return false
		}
		if a := g.of[0].Thickness; g.weights.Spread > 0 && p.Thickness != a && !(math.IsNaN(p.Thickness) && math.IsNaN(a)) {
			return false
		}
	}
	return true
}

// byJoints plans exactly where the cost splits. The rows of the table are heads, centres and nobodies in front of feet that stay; its columns are
// centres, feet and nobodies behind heads that stay. A centre that is its own column stays, at no cost; any other is the column of its head and the row
// of its foot: so the least table is the least plan of as many sets as can be.
func (g *group) byJoints() (*answer, error) {
	var at [3][]int
	for i, p := range g.of {
		for _, place := range bed.Places() {
			if p.Ways.Stands(place) {
				at[place] = append(at[place], i)
			}
		}
	}
	heads, centres, feet := at[bed.Head], at[bed.Centre], at[bed.Foot]
	number := min(len(heads), len(centres), len(feet))
	table := g.table(heads, centres, feet, number)
	column, _, _, prices, err := assignment.Least(table)
	if err != nil {
		return nil, err
	}
	a := &answer{how: ByAssignment, why: map[Reason]int{}, atLeast: assignment.Bound(table, prices)}
	n := len(g.pieces)
	a.triples = n * (n - 1) * (n - 2) / 6
	a.possible = len(heads) * len(centres) * len(feet)
	a.why[NoSet], a.why[Splits] = a.triples-a.possible, a.possible
	for h, c := range column[:len(heads)] {
		if c < len(centres) {
			foot := column[len(heads)+c] - len(centres)
			t := ascending([3]int{heads[h], centres[c], feet[foot]})
			cost := g.bed(t, forStock).Cost + g.own(t)
			a.chosen = append(a.chosen, threes.Chosen{Three: t, Cost: cost})
			a.cost += cost
		}
	}
	a.atLeast = min(a.cost, a.atLeast)
	g.share(a)
	return a, nil
}

// table has what it costs that two pieces meet, and of each head, centre and foot what its age costs.
func (g *group) table(heads, centres, feet []int, number int) [][]float64 {
	n, never := len(g.pieces), math.Inf(1)
	rows, columns := len(heads)+len(centres)+len(feet)-number, len(centres)+len(feet)+len(heads)-number
	table := make([][]float64, rows)
	for r := range table {
		table[r] = make([]float64, columns)
		for c := range table[r] {
			front, back := r < len(heads), c < len(centres)
			middle := !front && r < len(heads)+len(centres)
			foot := !back && c < len(centres)+len(feet)
			cost := never
			switch {
			case front && back:
				cost = g.joints[heads[r]*n+centres[c]] + (g.age[heads[r]] + g.age[centres[c]])
			case front && !foot, !front && !middle && foot: // stays
				cost = 0
			case middle && back && r-len(heads) == c:
				cost = 0
			case middle && foot:
				cost = g.joints[centres[r-len(heads)]*n+feet[c-len(centres)]] + g.age[feet[c-len(centres)]]
			}
			table[r][c] = cost
		}
	}
	return table
}

// share gives the sets, all of which serve every want, to the wants in turn.
func (g *group) share(a *answer) {
	slices.SortFunc(a.chosen, func(x, y threes.Chosen) int { return slices.Compare(x.Three[:], y.Three[:]) })
	a.numbers = make([]int, len(g.wants))
	next := 0
	for d, w := range g.wants {
		for next < len(a.chosen) && (w.number < 0 || a.numbers[d] < w.number) {
			a.chosen[next].Demand = d
			a.numbers[d]++
			next++
		}
	}
	a.bound = a.numbers
}

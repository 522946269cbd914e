package matching

import (
	"cmp"
	"slices"

	"slatewright/sets"
)

// tidy gives the orders the best of the sets that a plan has, those of the order that is due first before the others, and puts the sets in that order: what
// is not wanted now stays loose, and may be matched better later. A set that was proposed for an order stays with it. Every order gets as many sets as
// before; the book knows one class of limits, so any set serves any order.
func (s stock) tidy(p *sets.Plan) {
	open := make([]int, len(s.Wants))
	for i := range p.Sets {
		if o := p.Sets[i].Order; o >= 0 {
			open[o]++
			p.Sets[i].Order = -1
		}
	}
	for i := range p.Sets {
		if o := s.promised(p.Sets[i]); o >= 0 && open[o] > 0 {
			open[o]--
			p.Sets[i].Order = o
		}
	}
	slices.SortStableFunc(p.Sets, func(a, b sets.Set) int { return cmp.Compare(a.Cost, b.Cost) })
	for o := range open {
		for i := 0; open[o] > 0 && i < len(p.Sets); i++ {
			if p.Sets[i].Order < 0 {
				p.Sets[i].Order = o
				open[o]--
			}
		}
	}
	rank := func(x sets.Set) int {
		if x.Order < 0 {
			return len(s.Wants)
		}
		return x.Order
	}
	slices.SortStableFunc(p.Sets, func(a, b sets.Set) int { return cmp.Compare(rank(a), rank(b)) })
}

// promised is the order for which a set was proposed; −1 where it was not, or for none that still wants one.
func (s stock) promised(x sets.Set) int {
	var ids []string
	for _, i := range x.Pieces {
		ids = append(ids, s.Pieces[i].ID)
	}
	for _, o := range s.Proposed {
		if share(o.Pieces, ids) != len(ids) {
			continue
		}
		for k, w := range s.Wants {
			if w.Order == o.Match.Order {
				return k
			}
		}
	}
	return -1
}

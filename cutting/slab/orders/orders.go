// Package orders says which slab goes to which order: it plans every slab for every order, and gives each order its slabs so that the plans' values
// together are the most.
//
// The choice is exact for the values of the plans; the bound holds for any plans of single slabs. A slab goes to one order only, and an order's limits on copies
// hold for each of its slabs by itself; orders that share a slab are not looked at.
package orders

import (
	"fmt"

	"slatewright/assignment"
	"slatewright/cutting/slab"
	"slatewright/cutting/slab/search"
	"slatewright/trouble"
)

// mostPairs is how many plans are made at most.
const mostPairs = 2000

// Order is what is wanted: kinds of pieces, and from how many slabs at most.
type Order struct {
	Name  string
	Types []slab.Type
	Slabs int
}

// Choice is which slab goes where, with all plans.
type Choice struct {
	Plans        [][]*slab.Plan // of each slab for each order
	Order        []int          // of each slab; −1: none
	Value, Bound int64
}

// Choose plans and chooses. Limits gives those of a pair, of so many; the types of the slabs do not count.
func Choose(slabs []*slab.Slab, list []Order, limits func(pair, of int) search.Limits) (*Choice, error) {
	n := len(slabs) * len(list)
	if n == 0 || n > mostPairs {
		return nil, trouble.Data("no-orders", "orders", fmt.Sprintf("%s and %s; at least one pair and at most %d are worked with",
			trouble.Count(len(slabs), "slab", "slabs"), trouble.Count(len(list), "order", "orders"), mostPairs), "list at least one slab and one order")
	}
	c := &Choice{}
	value, bound := make([][]int64, len(slabs)), make([][]int64, len(slabs))
	room := make([]int, len(list))
	for k, o := range list {
		room[k] = o.Slabs
	}
	for i, s := range slabs {
		plans := make([]*slab.Plan, len(list))
		value[i], bound[i] = make([]int64, len(list)), make([]int64, len(list))
		for k, o := range list {
			p, err := search.Solve(For(s, o), limits(i*len(list)+k, n))
			if err != nil {
				return nil, err
			}
			plans[k], value[i][k], bound[i][k] = p, p.Value, p.Bound
		}
		c.Plans = append(c.Plans, plans)
	}
	c.Order, c.Value = assignment.Best(value, room)
	_, c.Bound = assignment.Best(bound, room)
	return c, nil
}

// For is a slab with what an order wants.
func For(s *slab.Slab, o Order) *slab.Slab {
	one := *s
	one.Types = o.Types
	return &one
}

package sets

import (
	"cmp"
	"fmt"
	"slices"

	"slatewright/sets/threes"
	"slatewright/trouble"
)

// ask turns the orders into wants of the groups: by due date, then the tighter class, then as they stand. Orders of one class that follow one another
// are one want, which changes nothing; the last want of a group is sets for stock, together with
// orders of the loosest class before it where a set of any class is one of that.
func (r *Racks) ask() error {
	order := make([]int, len(r.q.Orders))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		x, y := r.q.Orders[a], r.q.Orders[b]
		return cmp.Or(cmp.Compare(due(x), due(y)), cmp.Compare(r.q.class(x.Class), r.q.class(y.Class)))
	})
	r.ranked = order
	for _, i := range order {
		g, err := r.sized(r.q.Orders[i])
		if err != nil {
			return err
		}
		if g == nil {
			continue // nobody of that size: the plan says so
		}
		class := r.q.class(r.q.Orders[i].Class)
		if last := len(g.wants) - 1; last < 0 || g.wants[last].class != class {
			g.wants = append(g.wants, want{class: class})
		}
		w := &g.wants[len(g.wants)-1]
		w.orders = append(w.orders, i)
		w.number += r.q.Orders[i].Sets
	}
	for _, g := range r.groups {
		if last := len(g.wants) - 1; last < 0 || g.wants[last].class != len(r.q.Classes)-1 || !r.q.nested() {
			g.wants = append(g.wants, want{class: forStock})
		}
		g.wants[len(g.wants)-1].number = -1
		if err := r.tooMany(g.wants); err != nil {
			return err
		}
	}
	return nil
}

// tooMany refuses more wants than can be told apart: orders of one class that follow one another are one.
func (r *Racks) tooMany(wants []want) error {
	if len(wants) <= threes.MostDemands {
		return nil
	}
	w := wants[threes.MostDemands]
	if len(w.orders) == 0 { // for stock
		w = wants[threes.MostDemands-1]
	}
	return trouble.Data("many-orders", r.q.Orders[w.orders[0]].ID,
		fmt.Sprintf("the class changes %d times from one order to the next by due date, and at most %d times can be planned at once", len(wants)-1, threes.MostDemands-1),
		"plan the orders that come before it, or give orders of one class the same due date")
}

// due orders days, those without one last.
func due(o Order) string { return cmp.Or(o.Due, "~") }

// sized finds the pieces that an order is about: those of its size, or all where it names none and there is one size only.
func (r *Racks) sized(o Order) (*group, error) {
	for _, g := range r.groups {
		if g.size == o.Size {
			return g, nil
		}
	}
	if o.Size != "" || len(r.groups) == 0 {
		return nil, nil
	}
	if len(r.groups) > 1 {
		return nil, trouble.Data("no-size", o.ID, "the order names no size, and pieces of several sizes lie in the racks", "name the size of the order as the pieces have it")
	}
	return r.groups[0], nil
}

package sets

import (
	"cmp"
	"slices"

	"slatewright/trouble"
)

// ask turns the orders into wants of the groups: by due date, then the tighter class, then as they stand. Orders of one class that follow one another
// are one want, which changes nothing; the last want of a group is sets for stock of the loosest class.
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
		loosest := len(r.q.Classes) - 1
		if last := len(g.wants) - 1; last < 0 || g.wants[last].class != loosest {
			g.wants = append(g.wants, want{class: loosest})
		}
		g.wants[len(g.wants)-1].number = -1
	}
	return nil
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

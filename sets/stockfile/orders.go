package stockfile

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"time"

	"slatewright/bed"
	"slatewright/sets"
	"slatewright/sheet"
)

// Orders are what is wanted, and the classes that sets are held to, loosest last.
type Orders struct {
	Orders  []sets.Order
	Classes []sets.Class
}

// Standard is the class of a set that no order asks for, and of orders that name none: the limits of the specification.
const Standard = "standard"

// mostOrders is how many orders are weighed at once.
const mostOrders = 31

// mostSets is far beyond any rack.
const mostSets = 100000

// Plain is the one class of a stock without orders.
func Plain(limits bed.Limits) Orders {
	return Orders{Classes: []sets.Class{{Name: Standard, Limits: limits}}}
}

// ReadOrders reads orders: id, size, class, sets, due; and the limits of a class beside any order of it, each that of the specification where none is
// given. Errors are *trouble.Trouble with file and line.
func ReadOrders(list *sheet.Sheet, limits bed.Limits) (o Orders, err error) {
	columns, err := list.Columns([]string{"id", "sets"}, "size", "class", "due", "zone", "step", "lengthwise", "across")
	if err != nil {
		return o, err
	}
	if len(list.Rows) > mostOrders {
		return o, list.Bad(list.Rows[mostOrders].Line, "too-many-orders", fmt.Sprintf("%d orders; at most %d are weighed at once", len(list.Rows), mostOrders), "give those that are due first")
	}
	r := &orderReader{list: list, columns: columns, standard: limits, classes: map[string]*class{Standard: {limits: limits, given: true}}}
	seen := map[string]int{}
	for _, row := range list.Rows {
		order, err := r.order(row)
		if err != nil {
			return o, err
		}
		if first, twice := seen[order.ID]; twice {
			return o, list.Bad(row.Line, "twice", fmt.Sprintf("the order %s stands here and at line %d", order.ID, first), "keep one of the two rows, or give the other its own id")
		}
		seen[order.ID] = row.Line
		o.Orders = append(o.Orders, order)
	}
	o.Classes, err = r.sorted()
	return o, err
}

// class is a class as far as it is known.
type class struct {
	limits bed.Limits
	given  bool
	line   int // of its limits, or where it was first named
}

type orderReader struct {
	list     *sheet.Sheet
	columns  map[string]sheet.Column
	standard bed.Limits
	classes  map[string]*class
}

// order reads a row.
func (r *orderReader) order(row sheet.Row) (o sets.Order, err error) {
	text := func(name string) string { return row.Text(r.columns[name]) }
	o = sets.Order{ID: text("id"), Size: text("size"), Class: cmp.Or(text("class"), Standard), Due: text("due")}
	if o.ID == "" {
		return o, r.list.Bad(row.Line, "no-id", "the order has no id", "write its number")
	}
	if o.Sets, err = strconv.Atoi(text("sets")); err != nil || o.Sets < 1 || o.Sets > mostSets {
		return o, r.list.Bad(row.Line, "bad-number", fmt.Sprintf("sets = %q is not how many sets are wanted", text("sets")), "write a whole number of 1 or more")
	}
	if _, err := time.Parse(time.DateOnly, o.Due); o.Due != "" && err != nil {
		return o, r.list.Bad(row.Line, "bad-date", fmt.Sprintf("due = %q is not a day of the calendar", o.Due), "write year-month-day, such as 2026-11-25")
	}
	return o, r.limits(row, o.Class)
}

// limits reads those of a class.
func (r *orderReader) limits(row sheet.Row, name string) error {
	l, given := r.standard, false
	for _, limit := range []struct {
		title string
		into  *float64
	}{{"zone", &l.Zone}, {"step", &l.Step}, {"lengthwise", &l.Lengthwise}, {"across", &l.Across}} {
		c := r.columns[limit.title]
		if row.Text(c) == "" {
			continue
		}
		v, err := r.list.Length(row, c)
		if err != nil {
			return err
		}
		if v <= 0 {
			return r.list.Bad(row.Line, "bad-number", limit.title+" is not above 0", "write a limit in mm, such as 0.25")
		}
		*limit.into, given = v, true
	}
	old := r.classes[name]
	switch {
	case old == nil:
		r.classes[name] = &class{l, given, row.Line}
	case !given:
	case !old.given:
		*old = class{l, true, old.line}
	case old.limits != l && name == Standard:
		return r.list.Bad(row.Line, "two-limits", "the class standard has the limits of the specification", "give the class another name")
	case old.limits != l:
		return r.list.Bad(row.Line, "two-limits", fmt.Sprintf("the class %s has other limits at line %d", name, old.line), "give limits once for every class")
	}
	return nil
}

// sorted lists the classes, those with tighter steps first. They need not be tighter in everything: each set is laid for the class that it is for.
func (r *orderReader) sorted() (out []sets.Class, err error) {
	for _, name := range slices.Sorted(maps.Keys(r.classes)) {
		c := r.classes[name]
		if !c.given {
			return nil, r.list.Bad(c.line, "no-limits", fmt.Sprintf("the class %s has no limits", name), "give zone_mm, step_mm, lengthwise_mm or across_mm beside one order of it, or leave the class empty")
		}
		out = append(out, sets.Class{Name: name, Limits: c.limits})
	}
	slices.SortStableFunc(out, func(a, b sets.Class) int {
		return cmp.Or(cmp.Compare(a.Limits.Step, b.Limits.Step), cmp.Compare(a.Limits.Zone, b.Limits.Zone), cmp.Compare(a.Limits.Lengthwise, b.Limits.Lengthwise),
			cmp.Compare(a.Limits.Across, b.Limits.Across))
	})
	return out, nil
}

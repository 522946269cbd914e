package sets

import (
	"fmt"
	"math"

	"slatewright/sets/beds"
	"slatewright/trouble"
)

// check refuses a question that cannot be asked. Errors are Data: the caller's words say where.
func (q Question) check() error {
	if len(q.Classes) == 0 {
		return trouble.Data("no-class", "classes", "no class says what a set must keep", "give at least one class with its limits")
	}
	if len(q.Classes) > beds.MostClasses {
		return trouble.Data("many-classes", "classes", fmt.Sprintf("there are %d classes, and at most %d can be asked for at once", len(q.Classes), beds.MostClasses), "leave out those that no order names")
	}
	for i, c := range q.Classes {
		if err := c.check(); err != nil {
			return err
		}
		if i > 0 && c.within().MaxStep < q.Classes[i-1].within().MaxStep {
			return trouble.Data("class-order", c.Name, "a looser class stands before a tighter one", "give the classes with rising steps, the loosest last")
		}
	}
	if err := q.Weights.check(); err != nil {
		return err
	}
	if err := checkPieces(q.Pieces); err != nil {
		return err
	}
	for _, o := range q.Orders {
		if o.Sets < 1 {
			return trouble.Data("bad-count", o.ID, fmt.Sprintf("the order wants %s", trouble.Count(o.Sets, "set", "sets")), "let it want 1 or more, or leave it out")
		}
		if q.class(o.Class) < 0 {
			return trouble.Data("no-class", o.ID, fmt.Sprintf("the order asks for the class %q, which is not known", o.Class), "give the class with its limits")
		}
	}
	return q.checkHand()
}

// checkPieces refuses what is no number.
func checkPieces(pieces []Piece) error {
	for _, p := range pieces {
		if math.IsInf(p.Thickness, 0) || !(p.AgeDays >= 0) || math.IsInf(p.AgeDays, 1) {
			return trouble.Data("bad-number", p.ID, "the thickness or the age of the piece is no number", "give a length, and days of 0 or more")
		}
		if p.Lab == nil {
			continue
		}
		for _, x := range p.Lab {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				return trouble.Data("bad-number", p.ID, "the colour of the piece is no number", "give L, a and b, or leave the colour out")
			}
		}
	}
	return nil
}

func (c Class) check() error {
	l := c.Limits
	for _, x := range []float64{l.Lengthwise, l.Across, l.Zone, l.Step} {
		if !(x > 0) || math.IsInf(x, 1) {
			return trouble.Data("bad-limit", c.Name, "a limit of the class is not more than 0", "give lengthwise, across, zone and step")
		}
	}
	if !(c.Room >= 0) || math.IsInf(c.Room, 1) {
		return trouble.Data("bad-limit", c.Name, "the room for doubt is below 0", "give 0 or more")
	}
	return nil
}

func (w Weights) check() error {
	for _, x := range []float64{w.Step, w.Zone, w.Spread, w.Layer, w.Batch, w.Colour, w.Age, w.Change} {
		if !(x >= 0) || math.IsInf(x, 1) {
			return trouble.Data("bad-weight", "weights", "a weight is below 0 or no number", "give 0 or more")
		}
	}
	return nil
}

// checkHand looks at what was decided by hand.
func (q Question) checkHand() error {
	within := func(list ...int) bool {
		for _, i := range list {
			if i < 0 || i >= len(q.Pieces) {
				return false
			}
		}
		return true
	}
	unknown := func(what string) error {
		return trouble.Own("no-such-piece", what, "a piece that is not of the stock is named", "report this")
	}
	for _, g := range q.Together {
		if !within(g...) {
			return unknown("together")
		}
	}
	for _, a := range q.Apart {
		if !within(a[:]...) {
			return unknown("apart")
		}
	}
	for _, list := range [][][3]int{q.Before, q.Start} {
		for _, b := range list {
			if !within(b[:]...) || b[0] == b[1] || b[1] == b[2] || b[0] == b[2] {
				return unknown("before")
			}
		}
	}
	return nil
}

// nested tells whether a set of one class is one of every class behind it.
func (q Question) nested() bool {
	for i := 1; i < len(q.Classes); i++ {
		a, b := q.Classes[i-1].within(), q.Classes[i].within()
		if a.Zone > b.Zone || a.Lengthwise > b.Lengthwise || a.Across > b.Across {
			return false
		}
	}
	return true
}

// class finds a class by its name: the last for "", -1 if there is none.
func (q Question) class(name string) int {
	if name == "" {
		return len(q.Classes) - 1
	}
	for i, c := range q.Classes {
		if c.Name == name {
			return i
		}
	}
	return -1
}

package program

import (
	"cmp"
	"math"
	"slices"

	"slatewright/bed/program/machine"
	"slatewright/bed/program/tour"
)

// leg is what one tool does in one stage, in its order.
type leg struct {
	stage int
	tool  *machine.Tool
	ops   []operation
}

// order sorts the operations into stages, in each of them by tools, and gives each tool a tour.
func (w *writer) order(ops []operation) (legs []leg) {
	at := tour.Point{}
	for _, l := range w.tools(ops) {
		if l.stage == len(Stages()) {
			slices.SortStableFunc(l.ops, func(a, b operation) int { return cmp.Compare(a.area, b.area) })
			// Those of one size, within a tenth, are visited as lies best; smaller ones first.
			var sorted []operation
			for len(l.ops) > 0 {
				n := 1
				for n < len(l.ops) && l.ops[n].area <= 1.1*l.ops[0].area {
					n++
				}
				var part []operation
				part, at = w.toured(l, l.ops[:n], at)
				sorted, l.ops = append(sorted, part...), l.ops[n:]
			}
			l.ops = sorted
		} else {
			l.ops, at = w.toured(l, l.ops, at)
		}
		legs = append(legs, l)
	}
	return legs
}

// toured puts operations on a short tour from a place, and returns where it ends.
func (w *writer) toured(l leg, ops []operation, at tour.Point) ([]operation, tour.Point) {
	stops := make([]tour.Stop, len(ops))
	for i, o := range ops {
		stops[i] = tour.Stop{In: o.in, Out: o.out}
	}
	t := tour.Solve(at, stops, nil)
	var sorted []operation
	for _, i := range t.Order {
		sorted = append(sorted, ops[i])
	}
	w.p.Legs = append(w.p.Legs, Leg{Stage: l.stage, Tool: l.tool.Number, Places: len(ops), Travel: t.Length, Bound: t.Bound, Proven: t.Proven})
	return sorted, sorted[len(sorted)-1].out
}

// tools groups operations by stage and tool so that tools are changed as seldom as can be: a stage begins with the tool in the spindle where it needs it,
// and ends with one that the next stage needs.
func (w *writer) tools(ops []operation) []leg {
	var stages [][]leg
	for stage := range Stages() {
		var legs []leg
		for i := range w.m.Tools {
			l := leg{stage: stage + 1, tool: &w.m.Tools[i]}
			for _, o := range ops {
				if o.stage == l.stage && o.tool == l.tool {
					l.ops = append(l.ops, o)
				}
			}
			if len(l.ops) > 0 {
				legs = append(legs, l)
			}
		}
		if len(legs) > 0 {
			stages = append(stages, legs)
		}
	}
	_, order := fewest(stages, nil)
	return order
}

// fewest orders the tools of the stages that are left, after a tool, with the fewest changes.
func fewest(stages [][]leg, before *machine.Tool) (changes int, order []leg) {
	if len(stages) == 0 {
		return 0, nil
	}
	now := stages[0]
	changes = math.MaxInt
	for last := range now {
		if len(now) > 1 && now[last].tool == before {
			continue // it is in the spindle and goes first
		}
		rest := slices.Concat(now[:last], now[last+1:])
		slices.SortStableFunc(rest, func(a, b leg) int {
			switch {
			case a.tool == before:
				return -1
			case b.tool == before:
				return 1
			}
			return 0
		})
		mine := append(rest, now[last])
		n := len(mine)
		if mine[0].tool == before {
			n--
		}
		more, after := fewest(stages[1:], now[last].tool)
		if n+more < changes {
			changes, order = n+more, append(mine, after...)
		}
	}
	return changes, order
}

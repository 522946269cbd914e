package sets

import (
	"cmp"
	"slices"
)

const (
	mostTogether = 40 // choices of several changes at once of one kind that are planned
	mostBegun    = 3  // choices from which is gone on, and that are told where none frees anything by itself
)

// grown is some variants and what they free.
type grown struct {
	with []int
	Freed
}

// further goes on from what frees a set by itself, of the pieces that are there and of new ones, and where nothing does from nothing.
func (w *weighing) further(v *variants, alone []Freed) (list []Freed, err error) {
	if len(alone) == 0 {
		for _, k := range [...]kind{there, mixed, fresh} {
			if k == mixed && len(list) > 0 {
				continue
			}
			more, _, err := w.grow(v, grown{}, k)
			if err != nil {
				return nil, err
			}
			list = append(list, more...)
		}
		return list, nil
	}
	for new, k := range [...]kind{there, fresh} {
		more, err := w.goOn(v, alone, new, k)
		if err != nil {
			return nil, err
		}
		list = append(list, more...)
	}
	return list, nil
}

// goOn goes on from the best single changes of one kind, until one of them leads as far as was asked; else what leads farthest counts.
func (w *weighing) goOn(v *variants, alone []Freed, new int, k kind) (best []Freed, err error) {
	begun, farthest := 0, Freed{}
	for _, f := range alone {
		if bought(f) != new {
			continue
		}
		if begun++; begun > mostBegun || w.stopped() {
			break
		}
		list, now, err := w.grow(v, grown{[]int{slices.Index(v.list, f.Changes[0])}, f}, k)
		if err != nil {
			return nil, err
		}
		if len(list) > 0 && (best == nil || better(now, farthest)) {
			best, farthest = list, now
		}
		if farthest.More >= w.ask.Sets {
			break
		}
	}
	return best, nil
}

// grow adds variants, as few at once as free anything, until as many sets are freed as were asked for. It gives what it freed on the way, and the last of
// it; from nothing also the next best first choices.
func (w *weighing) grow(v *variants, from grown, k kind) (list []Freed, last Freed, err error) {
	for from.More < w.ask.Sets && !w.stopped() {
		found, err := w.add(v, from, k)
		if err != nil {
			return nil, last, err
		}
		if len(found) == 0 {
			break
		}
		slices.SortStableFunc(found, func(a, b grown) int { return cmp.Or(b.More-a.More, b.Orders-a.Orders, cmp.Compare(a.Cost, b.Cost)) })
		told := found[:1]
		if len(from.with) == 0 {
			told = found[:min(mostBegun, len(found))]
		}
		for _, f := range told {
			list = append(list, f.Freed)
		}
		from = found[0]
	}
	return list, from.Freed, nil
}

// add tries one more variant of any kind, then two at once and so on, and gives all that free anything of the first number that does. Beside pieces that are
// there new ones are added only where the former do not free anything.
func (w *weighing) add(v *variants, from grown, k kind) (found []grown, err error) {
	size := 1
	if len(from.with) == 0 {
		size = 2 // each alone was tried
	}
	for ; len(from.with)+size <= w.ask.Chain && len(found) == 0; size++ {
		kinds := []kind{k}
		switch {
		case size == 1:
			kinds = []kind{anyKind}
		case k == there && len(from.with) > 0:
			kinds = []kind{there, mixed, fresh}
		}
		for _, k := range kinds {
			if len(found) > 0 {
				break
			}
			if found, err = w.addSome(v, from, size, k); err != nil {
				return nil, err
			}
		}
	}
	return found, nil
}

// addSome tries so many more variants of a kind at once. Sets that are wholly of new pieces tell nothing.
func (w *weighing) addSome(v *variants, from grown, size int, k kind) (found []grown, err error) {
	count := 0
	v.choices(from.with, size, k, func(with []int) bool {
		if w.stopped() {
			return false
		}
		if v.fill(with) <= v.sets+from.More && !v.unmet || v.fresh(with) >= piecesOfASet*(from.More+1) {
			return true
		}
		if size > 1 && count == mostTogether {
			w.cut = true
			return false
		}
		count++
		var f Freed
		if f, _, err = w.try(v, with, from.More+1); err != nil {
			return false
		}
		if cmp.Or(f.More-from.More, f.Orders-from.Orders) > 0 {
			found = append(found, grown{with, f})
		}
		return true
	})
	return found, err
}

func better(a, b Freed) bool {
	if a.More != b.More {
		return a.More > b.More
	}
	if a.Orders != b.Orders {
		return a.Orders > b.Orders
	}
	return a.Cost < b.Cost
}

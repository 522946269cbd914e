package sets

import (
	"fmt"
	"slices"

	"slatewright/trouble"
)

// hand is what was decided by hand about the things of one group, by their indices there.
type hand struct {
	with    []int   // of each thing: the company it keeps, -1 for none
	company [][]int // ascending: two or three things
	apart   [][]int // of each thing: those it keeps apart from
}

// joined tells whether the three breaks no company.
func (h *hand) joined(t [3]int) bool {
	for _, i := range t {
		if c := h.with[i]; c >= 0 {
			for _, other := range h.company[c] {
				if other != t[0] && other != t[1] && other != t[2] {
					return false
				}
			}
		}
	}
	return true
}

// keeps tells whether the three has a whole company in it.
func (h *hand) keeps(t [3]int) bool {
	return len(h.company) > 0 && h.joined(t) && (h.with[t[0]] >= 0 || h.with[t[1]] >= 0 || h.with[t[2]] >= 0)
}

// parted tells whether two of the three keep apart.
func (h *hand) parted(t [3]int) bool {
	return slices.Contains(h.apart[t[0]], t[1]) || slices.Contains(h.apart[t[0]], t[2]) || slices.Contains(h.apart[t[1]], t[2])
}

// companies joins groups that share a piece. The error says that one is larger than a set, that two of one keep apart, or that one is of pieces of
// different size.
func (q Question) companies() (list [][]int, err error) {
	of := make([]int, len(q.Pieces)) // a union of sets: each piece points towards the first of its company
	for i := range of {
		of[i] = i
	}
	find := func(i int) int {
		for of[i] != i {
			i = of[i]
		}
		return i
	}
	for _, g := range q.Together {
		for _, i := range g {
			a, b := find(g[0]), find(i)
			of[max(a, b)] = min(a, b)
		}
	}
	members := make([][]int, len(q.Pieces))
	for i := range of {
		members[find(i)] = append(members[find(i)], i)
	}
	for _, m := range members {
		if len(m) < 2 {
			continue
		}
		if len(m) > 3 {
			return nil, trouble.Data("together", q.Pieces[m[0]].ID, fmt.Sprintf("%d pieces are to be kept together, and a set has three", len(m)), "keep two or three together")
		}
		for _, i := range m[1:] {
			if a, b := q.Pieces[m[0]], q.Pieces[i]; a.Size != b.Size {
				return nil, trouble.Data("together", a.ID, fmt.Sprintf("%s and %s are to be kept together and differ in size", a.ID, b.ID), "keep pieces of one size together")
			}
		}
		list = append(list, m)
	}
	for _, a := range q.Apart {
		if a[0] == a[1] {
			return nil, trouble.Data("apart", q.Pieces[a[0]].ID, "a piece is to be kept apart from itself", "name two pieces")
		}
		if find(a[0]) == find(a[1]) {
			return nil, trouble.Data("apart", q.Pieces[a[0]].ID, fmt.Sprintf("%s and %s are to be kept together and apart", q.Pieces[a[0]].ID, q.Pieces[a[1]].ID), "decide for one of the two")
		}
	}
	return list, nil
}

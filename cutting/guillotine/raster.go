package guillotine

import (
	"slices"
	"sort"
)

// pair is a division of a size: both parts are sums of items, and none can grow without the other becoming smaller.
type pair struct{ a, b int }

// axis holds the sizes along one direction that matter, in ascending order, and how each divides.
type axis struct {
	down  []int32 // for each size from 0 on: the largest sum of items that is not larger
	sizes []int
	at    []int32  // place of each size; −1: it is none
	pairs [][]pair // places of the parts, for each size
}

// newAxis makes the sizes from the lengths of items (with how many of each there may be): all sums up to the whole, or only those into which the whole
// divides when reachable says so. Two divisions with the same parts are one (J. Terno, R. Lindemann and G. Scheithauer, Zuschnittprobleme und ihre
// praktische Lösung, 1987: raster points).
func newAxis(whole int, lengths, most []int, reachable bool) *axis {
	a := &axis{down: sums(whole, lengths, most), at: make([]int32, whole+1)}
	if reachable {
		a.reach(int(a.down[whole]))
	} else {
		for s := 1; s <= whole; s++ {
			if int(a.down[s]) == s {
				a.sizes = append(a.sizes, s)
			}
		}
	}
	for s := range a.at {
		a.at[s] = -1
	}
	for i, s := range a.sizes {
		a.at[s] = int32(i)
	}
	a.pairs = make([][]pair, len(a.sizes))
	for i, s := range a.sizes {
		for _, d := range a.divide(s) {
			if p, q := a.at[d.a], a.at[d.b]; p >= 0 && q >= 0 {
				a.pairs[i] = append(a.pairs[i], pair{int(p), int(q)})
			}
		}
	}
	return a
}

// sums gives for each size the largest sum of lengths below it.
func sums(whole int, lengths, most []int) []int32 {
	can := make([]bool, whole+1)
	can[0] = true
	used := make([]int, whole+1)
	for i, l := range lengths {
		clear(used)
		for s := l; s <= whole; s++ {
			if !can[s] && can[s-l] && used[s-l] < most[i] {
				can[s], used[s] = true, used[s-l]+1
			}
		}
	}
	down := make([]int32, whole+1)
	for s := 1; s <= whole; s++ {
		down[s] = down[s-1]
		if can[s] {
			down[s] = int32(s)
		}
	}
	return down
}

// divide lists the divisions of a size, the larger part second.
func (a *axis) divide(s int) (list []pair) {
	for u := 1; 2*u <= s; u++ {
		if int(a.down[u]) != u {
			continue
		}
		v := int(a.down[s-u])
		if w := int(a.down[s-v]); w != u || v == 0 {
			continue // the division with w is as good
		}
		list = append(list, pair{min(u, v), max(u, v)})
	}
	return slices.Compact(list)
}

// reach finds the sizes into which one divides, and they again.
func (a *axis) reach(whole int) {
	if whole == 0 {
		return
	}
	seen := map[int]bool{whole: true}
	for todo := []int{whole}; len(todo) > 0; {
		s := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		a.sizes = append(a.sizes, s)
		for _, d := range a.divide(s) {
			for _, part := range []int{d.a, d.b} {
				if !seen[part] {
					seen[part] = true
					todo = append(todo, part)
				}
			}
		}
	}
	sort.Ints(a.sizes)
}

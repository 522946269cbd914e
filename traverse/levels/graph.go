package levels

import (
	"cmp"
	"slices"
)

// edge is a step seen from one of its places.
type edge struct{ to, step int }

// graph lists the steps at each place, in the order of the file.
type graph [][]edge

func graphOf(w *Walk) graph {
	g := make(graph, len(w.At))
	for k, s := range w.Steps {
		g[s.From] = append(g[s.From], edge{s.To, k})
		g[s.To] = append(g[s.To], edge{s.From, k})
	}
	return g
}

// reach lists the places that can be reached from i, nearest (in steps) first, neighbours of few neighbours first.
func (g graph) reach(i int) []int {
	seen := make([]bool, len(g))
	seen[i] = true
	list := []int{i}
	for n := 0; n < len(list); n++ {
		from := len(list)
		for _, e := range g[list[n]] {
			if !seen[e.to] {
				seen[e.to] = true
				list = append(list, e.to)
			}
		}
		slices.SortStableFunc(list[from:], func(a, b int) int { return cmp.Compare(len(g[a]), len(g[b])) })
	}
	return list
}

// order returns the places in an order in which neighbours stand near each other: E. Cuthill and J. McKee, "Reducing the bandwidth
// of sparse symmetric matrices", ACM National Conference 1969, begun at a far end and reversed.
func (g graph) order() []int {
	start := 0
	for range 3 {
		list := g.reach(start)
		start = list[len(list)-1]
	}
	list := g.reach(start)
	slices.Reverse(list)
	return list
}

// tree is a spanning tree: the step to each place from the one before it, −1 at the root, and how deep the place lies.
type tree struct {
	up    []edge
	depth []int
}

func (g graph) tree() tree {
	t := tree{up: make([]edge, len(g)), depth: make([]int, len(g))}
	seen := make([]bool, len(g))
	seen[0] = true
	t.up[0] = edge{-1, -1}
	for list := []int{0}; len(list) > 0; list = list[1:] {
		for _, e := range g[list[0]] {
			if !seen[e.to] {
				seen[e.to] = true
				t.up[e.to] = edge{list[0], e.step}
				t.depth[e.to] = t.depth[list[0]] + 1
				list = append(list, e.to)
			}
		}
	}
	return t
}

// turn is a step as it is walked in a loop: +1 as read, −1 backwards.
type turn struct {
	step int
	sign float64
}

// loop is the way from the end of a step back to its beginning through the tree, with the step itself.
func (t tree) loop(w *Walk, step int) []turn {
	a, b := w.Steps[step].To, w.Steps[step].From
	way := []turn{{step, 1}}
	climb := func(at int, sign float64) int {
		up := t.up[at]
		if w.Steps[up.step].From != at {
			sign = -sign
		}
		way = append(way, turn{up.step, sign})
		return up.to
	}
	for a != b {
		if t.depth[a] >= t.depth[b] {
			a = climb(a, 1) // walked from a upward
		} else {
			b = climb(b, -1) // walked from above down to b
		}
	}
	return way
}

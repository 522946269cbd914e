package search

import (
	"sort"

	"slatewright/cutting/slab/ground"
)

// An exact programme gives a plan wherever its lines stand, as long as each stays in its stretch. They stand where the best plan cuts, and otherwise where
// pieces end that begin at the border, behind another line, or behind a flaw, or before a piece that lies as far over as it can.

// draws is how many places of pieces are drawn for each axis.
const draws = 200

// moved moves the lines of both axes of a frame within their stretches.
func (c *search) moved(s *site) (x, y []int) {
	cuts := [2][]int{}
	if c.on == s {
		c.best.cuts(&cuts)
	}
	var all []*ground.Stance
	for _, list := range s.kinds {
		all = append(all, list...)
	}
	var begins, ends [2][]int
	for range draws {
		st := all[c.draw.IntN(len(all))]
		r := c.draw.IntN(len(st.Rows))
		if spans := st.Rows[r]; len(spans) > 0 {
			span := spans[c.draw.IntN(len(spans))]
			begins[0], ends[0] = append(begins[0], int(span.From)), append(ends[0], int(span.To)-s.kerf)
			begins[1], ends[1] = append(begins[1], st.Y0+r), append(ends[1], st.Y0+r-s.kerf)
		}
	}
	var sizes [2][]int
	for _, st := range all {
		sizes[0], sizes[1] = append(sizes[0], st.W), append(sizes[1], st.H)
	}
	return c.shifted(s.level.x, cuts[0], begins[0], ends[0], sizes[0], s.kerf), c.shifted(s.level.y, cuts[1], begins[1], ends[1], sizes[1], s.kerf)
}

// shifted moves the lines of an axis.
func (c *search) shifted(lines, cuts, begins, ends, sizes []int, kerf int) []int {
	out := append([]int(nil), lines...)
	seen := make([]int, len(lines))
	offer := func(at int) {
		if k := sort.SearchInts(lines, at); k > 1 && k < len(lines)-1 {
			if seen[k]++; c.draw.IntN(seen[k]) == 0 {
				out[k] = at
			}
		}
	}
	for _, at := range ends {
		offer(at)
	}
	after := func(from int) {
		for _, w := range sizes {
			offer(from + w)
		}
	}
	after(lines[0])
	for _, from := range begins {
		after(from)
	}
	fixed := map[int]int{}
	for _, at := range cuts {
		if k := sort.SearchInts(lines, at); k > 1 && k < len(lines)-1 {
			fixed[k] = at
		}
	}
	for k := 1; k < len(lines)-1; k++ {
		if at, ok := fixed[k]; ok {
			out[k] = at
		}
		after(out[k] + kerf)
	}
	for k, at := range fixed {
		out[k] = at
	}
	return out
}

// cuts lists where a plan is cut across and along.
func (l *laid) cuts(list *[2][]int) {
	if l.first == nil {
		return
	}
	axis := 0
	if l.along {
		axis = 1
	}
	if len(l.first.pieces(nil)) > 0 && len(l.then.pieces(nil)) > 0 {
		list[axis] = append(list[axis], l.first.edge(l.along))
	}
	l.first.cuts(list)
	l.then.cuts(list)
}

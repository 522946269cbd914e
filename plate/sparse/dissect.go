package sparse

// leafSize is the most unknowns of a part that is not cut further. Measured on 40 × 60 and 100 × 100 grids: between 16 and
// 64 the time of a factorisation hardly changes.
const leafSize = 36

// part is one step of the elimination: unknowns that are eliminated together, after all of their children.
type part struct {
	own      []int // unknowns, by number
	children []int // parts, by number
}

// dissect orders the live unknowns by nested dissection: a strip Reach wide across the longer side parts a rectangle in two
// that share no entry; it is eliminated after both. Children come before their parents; the last part is the root.
func dissect(nx, ny int, live func(unknown int) bool) []part {
	var parts []part
	var cut func(x0, x1, y0, y1 int) int
	gather := func(x0, x1, y0, y1 int) (own []int) {
		for j := y0; j < y1; j++ {
			for i := x0; i < x1; i++ {
				if live(i + nx*j) {
					own = append(own, i+nx*j)
				}
			}
		}
		return own
	}
	cut = func(x0, x1, y0, y1 int) int {
		w, h := x1-x0, y1-y0
		if w*h <= leafSize || max(w, h) <= 2*Reach {
			return add(&parts, part{own: gather(x0, x1, y0, y1)})
		}
		var p part
		if w >= h {
			s := x0 + (w-Reach)/2
			p.children = []int{cut(x0, s, y0, y1), cut(s+Reach, x1, y0, y1)}
			p.own = gather(s, s+Reach, y0, y1)
		} else {
			s := y0 + (h-Reach)/2
			p.children = []int{cut(x0, x1, y0, s), cut(x0, x1, s+Reach, y1)}
			p.own = gather(x0, x1, s, s+Reach)
		}
		return add(&parts, p)
	}
	cut(0, nx, 0, ny)
	return parts
}

func add(parts *[]part, p part) int {
	*parts = append(*parts, p)
	return len(*parts) - 1
}

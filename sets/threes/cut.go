package threes

// cut is Σ with(|t ∩ S|)·x ≤ room over a group S of things, with the shortages counted by missing.
//
// All are of one kind: the rows of the things of S times a half, a third or two thirds, rounded down (V. Chvátal, Edmonds
// polytopes and a hierarchy of combinatorial problems, Discrete Mathematics 4, 1973, 305); or the same of the things outside S,
// written over S by the number of sets.
type cut struct {
	in      []bool
	list    []int32 // the things of S, ascending
	by      [4]float64
	missing float64
	room    float64
}

// with is the coefficient of a three.
func (c *cut) with(t three) float64 {
	m := 0
	for _, i := range t {
		if c.in[i] {
			m++
		}
	}
	return c.by[m]
}

// add makes the cut a row, with what it says of the columns there are.
func (p *program) add(c cut) {
	r := int32(p.t.n + len(p.groups) + len(p.cuts))
	for j, k := range p.kinds {
		w := c.missing
		if !k.isShortage() {
			w = c.with(k.three)
		}
		if w != 0 {
			p.cols[j].rows = append(p.cols[j].rows, entry{r, w})
		}
	}
	p.cuts = append(p.cuts, c)
	p.addRow(c.room, false)
}

package threes

import "math"

// three is a candidate: its things ascending.
type three [3]int32

// program is the relaxation: every thing in at most one three, every group of demands its number of sets, and the cuts.
//
// Rows 0 … n−1 are the things, then one a group, then the cuts. The first columns are the shortages of the groups. What
// stands in it as a three is truly priced.
type program struct {
	simplex
	t      *table
	groups []group
	total  int     // sets of all groups
	shift  float64 // taken off every cost, so that no column begins with a negative one
	scale
	kinds   []kind // of each column
	columns map[kind]int
	sure    []bool // of each column: its cost is the true one
	gone    []bool // of each column: truly priced, it can be no set
	cuts    []cut
}

// scale is how costs count: at most top above the shift, times by.
type scale struct{ by, top float64 }

// wholeCost counts costs as they are.
var wholeCost = scale{1, math.Inf(1)}

// group is demands that the same threes can serve.
type group struct {
	mask    uint32
	wanted  int
	missing float64 // cost of each set that is missing
}

// kind is what a column stands for: a three that serves a group; a shortage has no three.
type kind struct {
	three three
	group int32
}

func (k kind) isShortage() bool { return k.three[1] == 0 }

// newProgram has no threes yet.
func newProgram(t *table, groups []group, scale scale, stop func() bool) *program {
	p := &program{t: t, groups: groups, columns: map[kind]int{}, scale: scale, shift: t.least}
	p.stop = stop
	if math.IsInf(p.shift, 1) { // nothing can be a set
		p.shift = 0
	}
	for range t.n {
		p.addRow(1, false)
	}
	for g := range groups {
		p.total += groups[g].wanted
		p.addRow(float64(groups[g].wanted), true)
		p.kinds = append(p.kinds, kind{group: int32(g)})
		p.addColumn(groups[g].missing, []entry{{int32(t.n + g), 1}})
		p.sure, p.gone = append(p.sure, true), append(p.gone, false)
	}
	return p
}

// costOf is what a three costs in this program, as far as is known.
func (p *program) costOf(place int32) float64 {
	return p.scaled(p.t.low[place])
}

// scaled is a possible three's cost as it counts here.
func (p *program) scaled(cost float64) float64 {
	return p.by * min(cost-p.shift, p.top)
}

// best is the group in which a three is worth most, and that group's price; −1: none.
func (p *program) best(serves uint32) (int32, float64) {
	found, price := int32(-1), 0.0
	for g := range p.groups {
		if y := p.y[p.t.n+g]; serves&p.groups[g].mask != 0 && (found < 0 || y > price) {
			found, price = int32(g), y
		}
	}
	return found, price
}

// take adds a three for a group and returns its column.
func (p *program) take(c three, g int32) int {
	k := kind{c, g}
	if j, ok := p.columns[k]; ok {
		return j
	}
	rows := []entry{{c[0], 1}, {c[1], 1}, {c[2], 1}, {int32(p.t.n) + g, 1}}
	for i := range p.cuts {
		if w := p.cuts[i].with(c); w != 0 {
			rows = append(rows, entry{int32(p.t.n + len(p.groups) + i), w})
		}
	}
	place := p.t.at(int(c[0]), int(c[1]), int(c[2]))
	j := p.addColumn(p.costOf(place), rows)
	p.sure, p.gone = append(p.sure, p.t.isKnown(place)), append(p.gone, false)
	p.kinds = append(p.kinds, k)
	p.columns[k] = j
	return j
}

package threes

import (
	"math"
	"slices"

	"slatewright/sets/threes/cuts"
	"slatewright/sets/threes/growlp"
	"slatewright/sets/threes/known"
)

// tiny is how much of a value of a variable counts as 0, and of a reduced cost.
const tiny = 1e-9

// three is a candidate: its things ascending.
type three = known.Three

// program is the relaxation: every thing in at most one three, every group of demands its number of sets, and the cuts.
//
// Rows 0 … n−1 are the things, then one a group, then the cuts. The first columns are the shortages of the groups. What
// stands in it as a three is truly priced.
type program struct {
	*growlp.Program
	t       *known.Table
	groups  []group
	total   int         // sets of all groups
	scale   known.Scale // its shift is taken off every cost, so that no column begins with a negative one
	stop    func() bool
	kinds   []kind // of each column
	columns map[kind]int
	sure    []bool // of each column: its cost is the true one
	gone    []bool // of each column: truly priced, it can be no set
	cuts    []cuts.Cut
}

// wholeCost counts costs as they are.
var wholeCost = known.Scale{By: 1, Top: math.Inf(1)}

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
func newProgram(t *known.Table, groups []group, scale known.Scale, stop func() bool) *program {
	p := &program{Program: growlp.New(stop), t: t, groups: groups, columns: map[kind]int{}, scale: scale, stop: stop}
	if p.scale.Shift = t.Least; math.IsInf(t.Least, 1) { // nothing can be a set
		p.scale.Shift = 0
	}
	for range t.N {
		p.AddRow(1, false)
	}
	for g := range groups {
		p.total += groups[g].wanted
		p.AddRow(float64(groups[g].wanted), true)
		p.kinds = append(p.kinds, kind{group: int32(g)})
		p.AddColumn(groups[g].missing, []growlp.Term{{At: int32(t.N + g), With: 1}})
		p.sure, p.gone = append(p.sure, true), append(p.gone, false)
	}
	return p
}

// costOf is what a possible three costs in this program, as far as is known.
func (p *program) costOf(place int32) float64 { return p.scale.Of(p.t.Low(place)) }

// take adds a three for a group and returns its column.
func (p *program) take(c three, g int32) int {
	k := kind{c, g}
	if j, ok := p.columns[k]; ok {
		return j
	}
	terms := []growlp.Term{{At: c[0], With: 1}, {At: c[1], With: 1}, {At: c[2], With: 1}, {At: int32(p.t.N) + g, With: 1}}
	for i := range p.cuts {
		if w := p.cuts[i].With(c); w != 0 {
			terms = append(terms, growlp.Term{At: int32(p.firstCut() + i), With: w})
		}
	}
	place := p.t.Place(c)
	j := p.AddColumn(p.costOf(place), terms)
	p.sure, p.gone = append(p.sure, p.t.IsKnown(place)), append(p.gone, false)
	p.kinds = append(p.kinds, k)
	p.columns[k] = j
	return j
}

// firstCut is the row of the first cut.
func (p *program) firstCut() int { return p.t.N + len(p.groups) }

// add makes a cut a row, with what it says of the columns there are.
func (p *program) add(c cuts.Cut) {
	var terms []growlp.Term
	for j, k := range p.kinds {
		w := c.Missing
		if !k.isShortage() {
			w = c.With(k.three)
		}
		if w != 0 {
			terms = append(terms, growlp.Term{At: int32(j), With: w})
		}
	}
	p.cuts = append(p.cuts, c)
	p.AddRow(c.Room, false, terms...)
}

// purge drops the cuts that the present solution keeps with room to spare. It does nothing while they are few.
func (p *program) purge() {
	base, idle := p.firstCut(), 0
	spare := func(r int) bool { return p.Spare(r) > 1e-6 }
	for i := range p.cuts {
		if spare(base + i) {
			idle++
		}
	}
	if idle < 10 || 10*idle < len(p.cuts) {
		return
	}
	kept := p.cuts[:0:0]
	for i := range p.cuts {
		if !spare(base + i) {
			kept = append(kept, p.cuts[i])
		}
	}
	p.Drop(func(r int) bool { return r >= base && spare(r) })
	p.cuts = kept
}

// fractions are the threes that are not 0.
func (p *program) fractions() []cuts.Fraction {
	var list []cuts.Fraction
	for col, x := range p.Basic {
		if k := p.kinds[col]; x > tiny && !k.isShortage() {
			list = append(list, cuts.Fraction{Three: k.three, X: x})
		}
	}
	slices.SortFunc(list, func(a, b cuts.Fraction) int { return slices.Compare(a.Three[:], b.Three[:]) })
	merged := list[:0]
	for _, f := range list {
		if last := len(merged) - 1; last >= 0 && merged[last].Three == f.Three {
			merged[last].X += f.X
		} else {
			merged = append(merged, f)
		}
	}
	return merged
}

// finder looks for cuts that the present solution breaks.
func (p *program) finder() *cuts.Finder { return cuts.NewFinder(p.t.N, p.total, p.fractions(), p.cuts) }

// prices are sound prices in the form of a pass over all threes.
func (p *program) prices(y []float64) *known.Prices {
	n, base := p.t.N, p.firstCut()
	groups := make([]known.Group, len(p.groups))
	for g := range groups {
		groups[g] = known.Group{Mask: p.groups[g].mask, Price: y[n+g]}
	}
	return known.NewPrices(p.scale, y[:n], groups, p.cuts, y[base:])
}

// enter takes a priced three in for the group that it is worth most to by these prices.
func (p *program) enter(q *known.Prices, c three) {
	place := p.t.Place(c)
	if math.IsInf(p.t.Low(place), 1) {
		return
	}
	if g, _ := q.Best(p.t.Serves(place)); g >= 0 {
		p.take(c, int32(g))
	}
}

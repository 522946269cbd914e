// Package leaves cuts a block into leaves: how many of which thickness, and where, so that no leaf holds a plane of weakness and what they are worth
// together is the most that any cutting of this block could give. It also tells how thick a leaf must be left for its clean-up (Need), and what one
// millimetre is worth (Worth).
//
// It does not place pieces on a leaf, knows nothing of joints that stand across the block, and files and words for people are the affair of its
// answers. Lengths are in mm, taken to the nearest 0.001 mm.
package leaves

import (
	"fmt"
	"math"
	"slices"

	"slatewright/trouble"
)

// What a question may hold at most.
const (
	mostThickness = 10000.0 // mm
	mostWants     = 16
	mostStates    = 1 << 19 // half a second for each plan
)

// Plane is a plane of weakness across the thickness: no leaf may hold what is nearer to it than Clear.
type Plane struct {
	At    float64 // mm below the top of the block
	Clear float64 // mm to either side
}

// Block is what is cut. Skin is stone at top and bottom that belongs to no leaf.
type Block struct {
	Thickness   float64 // mm, where it is thinnest
	Top, Bottom float64 // mm of skin
	Kerf        float64 // mm between two leaves; 0 when they are cleft
	Planes      []Plane
}

// Want is a thickness that is wanted.
type Want struct {
	Name     string
	Finished float64 // mm, after clean-up
	Value    float64 // of one leaf, above 0
	Most     int     // leaves of it that are wanted from this block; 0 is as many as there come
}

// Leaf is one leaf of a plan, rough.
type Leaf struct {
	Want     int     // index
	From, To float64 // mm below the top of the block
}

// Plan is the best cutting.
type Plan struct {
	Leaves []Leaf // from the top downwards
	Counts []int  // by want
	Value  float64
	Left   float64 // mm of good stone below the last leaf that no leaf uses
	Looked int     // cuttings that were weighed: all that are not beaten by one with the same leaves higher up
}

// micro is a length in thousandths of a millimetre.
func micro(mm float64) int64 { return int64(math.Round(mm * 1000)) }

// problem is a question in whole numbers.
type problem struct {
	top, end, kerf int64 // the last leaf may reach end
	planes         [][2]int64
	rough          []int64
	most           []int
	value          []float64
}

// state is a choice of leaves with the highest place at which its last one can end, its kerf included.
type state struct {
	end        int64
	last, from int // want placed last, and the state before
	counts     uint64
	value      float64
	leaves     int
}

// Cut finds the plan of the greatest value, leaves being allowance thicker than finished; among equals the one with more leaves, then the one that
// leaves more good stone below. The plan has no leaf when none fits.
//
// It is exact: leaves are laid one below the other as high as they go. Where a leaf can begin never moves up when the one above it moves down, so
// of all orders of the same leaves only the one that ends highest counts, and every choice of leaves is weighed once.
//
// Errors: bad-block, bad-want, too-many.
func Cut(b Block, wants []Want, allowance float64) (*Plan, error) {
	if err := check(b, wants, allowance); err != nil {
		return nil, err
	}
	p := whole(b, wants, allowance)
	states, err := p.states()
	if err != nil {
		return nil, err
	}
	best := 0
	for i, s := range states {
		t := states[best]
		if s.value > t.value || s.value == t.value && (s.leaves > t.leaves || s.leaves == t.leaves && s.end < t.end) {
			best = i
		}
	}
	return p.plan(states, best), nil
}

// whole turns the question into whole numbers.
func whole(b Block, wants []Want, allowance float64) problem {
	p := problem{top: micro(b.Top), end: micro(b.Thickness) - micro(b.Bottom), kerf: micro(b.Kerf)}
	for _, pl := range b.Planes {
		p.planes = append(p.planes, [2]int64{micro(pl.At) - micro(pl.Clear), micro(pl.At) + micro(pl.Clear)})
	}
	slices.SortFunc(p.planes, func(a, b [2]int64) int { return int(a[0] - b[0]) })
	for _, w := range wants {
		rough := micro(w.Finished) + micro(allowance)
		p.rough, p.value = append(p.rough, rough), append(p.value, w.Value)
		most := int(max(0, p.end-p.top+p.kerf) / (rough + p.kerf))
		if w.Most > 0 {
			most = min(most, w.Most)
		}
		p.most = append(p.most, most)
	}
	return p
}

// place is where a leaf of some thickness begins that may not begin above x.
func (p problem) place(x, thick int64) int64 {
	for {
		moved := false
		for _, pl := range p.planes {
			if x < pl[1] && pl[0] < x+thick {
				x, moved = pl[1], true
			}
		}
		if !moved {
			return x
		}
	}
}

// states weighs every choice of leaves that fits, by number of leaves.
func (p problem) states() ([]state, error) {
	list, known := []state{{end: p.top, last: -1}}, map[uint64]int{0: 0}
	digit := make([]uint64, len(p.most)) // of a want in the number that stands for a choice
	step := uint64(1)
	for j, most := range p.most {
		if step > math.MaxUint64/uint64(most+1) {
			return nil, tooMany()
		}
		digit[j] = step
		step *= uint64(most) + 1
	}
	for i := 0; i < len(list); i++ { // a choice with one leaf more is met after all with its number of leaves
		for j, rough := range p.rough {
			if int(list[i].counts/digit[j]%uint64(p.most[j]+1)) == p.most[j] {
				continue
			}
			end := p.place(list[i].end, rough) + rough
			if end > p.end {
				continue
			}
			key := list[i].counts + digit[j]
			at, seen := known[key]
			if !seen {
				at, known[key] = len(list), len(list)
				list = append(list, state{end: math.MaxInt64, counts: key, value: list[i].value + p.value[j], leaves: list[i].leaves + 1})
			}
			if end+p.kerf < list[at].end {
				list[at].end, list[at].last, list[at].from = end+p.kerf, j, i
			}
			if len(list) > mostStates {
				return nil, tooMany()
			}
		}
	}
	return list, nil
}

func tooMany() error {
	return trouble.Data("too-many", "block", "there are too many ways to mix these thicknesses", "ask for fewer thicknesses at once, or for less of each")
}

// plan walks back from a state.
func (p problem) plan(states []state, at int) *Plan {
	out := &Plan{Counts: make([]int, len(p.rough)), Value: states[at].value, Looked: len(states)}
	if out.Left = float64(max(0, p.end-p.top)) / 1000; states[at].leaves > 0 {
		out.Left = float64(p.end-(states[at].end-p.kerf)) / 1000
	}
	for ; states[at].last >= 0; at = states[at].from {
		s := states[at]
		end := s.end - p.kerf
		out.Leaves = append(out.Leaves, Leaf{s.last, float64(end-p.rough[s.last]) / 1000, float64(end) / 1000})
		out.Counts[s.last]++
	}
	slices.Reverse(out.Leaves)
	return out
}

func check(b Block, wants []Want, allowance float64) error {
	for _, x := range []struct {
		name string
		mm   float64
	}{{"thickness", b.Thickness}, {"skin", b.Top}, {"skin", b.Bottom}, {"kerf", b.Kerf}, {"allowance", allowance}} {
		if !(x.mm >= 0 && x.mm <= mostThickness) {
			return trouble.Data("bad-block", x.name, fmt.Sprintf("the %s cannot be %g mm", x.name, x.mm), "give a length from 0 to 10 m")
		}
	}
	for _, p := range b.Planes {
		if !(p.At >= 0 && p.At <= b.Thickness && p.Clear >= 0 && p.Clear <= mostThickness) {
			return trouble.Data("bad-block", "plane", fmt.Sprintf("a plane at %g mm with %g mm to either side is not in the block", p.At, p.Clear), "measure from the top of the block")
		}
	}
	if len(wants) == 0 || len(wants) > mostWants {
		return trouble.Data("bad-want", "wants", fmt.Sprintf("%d thicknesses are wanted", len(wants)), fmt.Sprintf("give 1 to %d", mostWants))
	}
	for _, w := range wants {
		if !(w.Finished >= 1 && w.Finished <= mostThickness && w.Value > 0 && w.Value <= 1e9) || w.Most < 0 {
			return trouble.Data("bad-want", w.Name, "a thickness must be at least 1 mm, its value above 0 and its number not below 0", "correct the row")
		}
	}
	return nil
}

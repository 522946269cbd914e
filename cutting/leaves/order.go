package leaves

import (
	"fmt"
	"math"
	"slices"

	"slatewright/chance"
	"slatewright/lowlp"
	"slatewright/trouble"
)

// Pattern is one way to cut a block, and how many blocks are cut so.
type Pattern struct {
	Counts []int // by want
	Times  int
	Leaves []Leaf
}

// Order is how many like blocks an order needs.
type Order struct {
	Blocks   int
	Bound    int // no fewer can do
	Patterns []Pattern
}

// Proven says whether no fewer blocks can do.
func (o *Order) Proven() bool { return o.Blocks == o.Bound }

// mostTries is how often a plan is begun anew when it is above the bound.
const mostTries = 200

// order is an order being filled.
type order struct {
	problem
	states []state
	counts [][]int // of each state
}

// Fill finds how many like blocks an order needs, ordered leaves of each want. The bound is the least of the linear program over all ways to cut a block, rounded
// up (P. C. Gilmore and R. E. Gomory, Operations Research 9, 1961): prices of the leaves at which no block is worth more than 1. The plan goes down from its optimum: whole
// parts are kept, the rest is asked again, and begun anew in another order where it ends above the bound. Most of a want does not count here.
//
// Errors: those of Cut; bad-order where something ordered fits into no block.
func Fill(b Block, wants []Want, ordered []int, allowance float64) (*Order, error) {
	wants = slices.Clone(wants)
	any := false
	for j, n := range ordered {
		if n < 0 || n > 1e6 {
			return nil, trouble.Data("bad-order", wants[j].Name, fmt.Sprintf("%d leaves cannot be ordered", n), "write 0 to 1,000,000")
		}
		any = any || n > 0
		wants[j].Most = n
	}
	if err := check(b, wants, allowance); err != nil {
		return nil, err
	}
	if !any {
		return &Order{}, nil
	}
	o := &order{problem: whole(b, wants, allowance)}
	for j, n := range ordered {
		if n == 0 {
			o.most[j] = 0
		} else if o.most[j] == 0 || o.place(o.top, o.rough[j])+o.rough[j] > o.end {
			return nil, trouble.Data("bad-order", wants[j].Name, "a thickness that is ordered fits into no block", "order it from thicker blocks")
		}
	}
	var err error
	if o.states, err = o.problem.states(); err != nil {
		return nil, err
	}
	for _, s := range o.states {
		o.counts = append(o.counts, o.digits(s.counts))
	}
	return o.fill(ordered)
}

// digits takes apart the number that stands for a choice.
func (p problem) digits(key uint64) []int {
	counts := make([]int, len(p.most))
	for j, most := range p.most {
		counts[j] = int(key % uint64(most+1))
		key /= uint64(most + 1)
	}
	return counts
}

func (o *order) fill(ordered []int) (*Order, error) {
	best := &Order{}
	stream := chance.NewStream(1)
	for try := range mostTries {
		left, times := slices.Clone(ordered), map[int]int{}
		blocks := 0
		for slices.Max(left) > 0 {
			bound, shares, err := o.relaxed(left)
			if err != nil {
				return nil, err
			}
			if best.Bound == 0 {
				best.Bound = bound
			}
			if best.Blocks > 0 && blocks+bound >= best.Blocks {
				blocks = best.Blocks
				break
			}
			blocks += o.take(shares, left, times, try, stream)
		}
		if best.Blocks == 0 || blocks < best.Blocks {
			best.Blocks, best.Patterns = blocks, o.patterns(times)
		}
		if best.Proven() {
			break
		}
	}
	return best, nil
}

// share is how often a way of cutting stands in the optimum of the linear program.
type share struct {
	state int
	times float64
}

// relaxed solves the linear program for what is left: the bound in whole blocks, and the shares.
func (o *order) relaxed(left []int) (bound int, shares []share, err error) {
	var used []int // wants that are left
	for j, n := range left {
		if n > 0 {
			used = append(used, j)
		}
	}
	rows, cost, state := &lowlp.Dense{D: len(used)}, []float64{}, []int{}
	for i, counts := range o.counts {
		row := make([]float64, len(used))
		fits, full := true, false
		for j, n := range counts {
			fits = fits && n <= left[j]
			full = full || n > 0
		}
		if !fits || !full {
			continue
		}
		for k, j := range used {
			row[k] = float64(counts[j])
		}
		rows.Add(1, row...)
		state = append(state, i)
	}
	for k, j := range used {
		row := make([]float64, len(used))
		row[k] = -1
		rows.Add(0, row...)
		cost = append(cost, -float64(left[j]))
	}
	got, err := lowlp.Solve(lowlp.Problem{Cost: cost, Rows: rows})
	if err != nil {
		return 0, nil, err
	}
	// The prices, made a little smaller so that no block is worth more than 1, bound the number of blocks from below.
	bound = int(math.Ceil(-got.Value/(1+lowlp.Check(rows, got.V)) - 1e-6))
	for k, i := range got.Active {
		if i < len(state) {
			shares = append(shares, share{state[i], got.Multipliers[k]})
		}
	}
	if len(shares) == 0 {
		return 0, nil, trouble.Own("no-shares", "leaves", "a linear program has no way of cutting in its optimum", "report it with the file")
	}
	return bound, shares, nil
}

// take keeps the whole parts of the shares, or where there are none one block: of the largest share, on later tries of any.
func (o *order) take(shares []share, left []int, times map[int]int, try int, stream *chance.Stream) (blocks int) {
	apply := func(s, n int) {
		for j, c := range o.counts[s] {
			if c > 0 {
				n = min(n, left[j]/c)
			}
		}
		for j, c := range o.counts[s] {
			left[j] -= n * c
		}
		times[s] += n
		blocks += n
	}
	for _, s := range shares {
		if n := int(s.times + 1e-9); n > 0 && (try == 0 || stream.Float64() < 0.7) {
			apply(s.state, n)
		}
	}
	if blocks > 0 {
		return blocks
	}
	pick := shares[0]
	for _, s := range shares {
		if try == 0 && s.times > pick.times || try > 0 && stream.Float64() < s.times {
			pick = s
		}
	}
	apply(pick.state, 1)
	return blocks
}

// patterns lists the ways of cutting that are used, the most used first.
func (o *order) patterns(times map[int]int) (list []Pattern) {
	for i := range o.states {
		if n := times[i]; n > 0 {
			p := o.plan(o.states, i)
			list = append(list, Pattern{p.Counts, n, p.Leaves})
		}
	}
	slices.SortStableFunc(list, func(a, b Pattern) int { return b.Times - a.Times })
	return list
}

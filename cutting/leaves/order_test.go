package leaves_test

import (
	"testing"

	"pgregory.net/rapid"

	"slatewright/cutting/leaves"
	"slatewright/internal/truth"
)

// orderFaults is what is wrong with the filling of an order.
func orderFaults(b leaves.Block, wants []leaves.Want, ordered []int, allowance float64, o *leaves.Order) (list []string) {
	made, blocks := make([]int, len(wants)), 0
	for _, p := range o.Patterns {
		blocks += p.Times
		var value float64
		for j, n := range p.Counts {
			made[j] += p.Times * n
			value += float64(n) * wants[j].Value
		}
		list = append(list, faults(b, wants, allowance, &leaves.Plan{Leaves: p.Leaves, Counts: p.Counts, Value: value})...)
	}
	for j, n := range ordered {
		if made[j] != n {
			list = append(list, "not what was ordered")
		}
	}
	if blocks != o.Blocks || o.Blocks < o.Bound {
		list = append(list, "the number of blocks is wrong")
	}
	return list
}

// The published example: 73 rolls and no fewer.
func TestPublishedCuttingStock(t *testing.T) {
	stock, optimum, rolls := truth.CuttingStock()
	if len(rolls) != 13 {
		t.Fatalf("%d widths", len(rolls))
	}
	var wants []leaves.Want
	var ordered []int
	for _, r := range rolls {
		wants, ordered = append(wants, leaves.Want{Finished: float64(r.Width), Value: 1}), append(ordered, r.Demand)
	}
	b := leaves.Block{Thickness: float64(stock)}
	o, err := leaves.Fill(b, wants, ordered, 0)
	if err != nil || o.Blocks != optimum || !o.Proven() {
		t.Fatalf("%+v, %v", o, err)
	}
	if f := orderFaults(b, wants, ordered, 0, o); f != nil {
		t.Error(f)
	}
}

// fewest finds the fewest blocks by trying everything.
func fewest(b leaves.Block, wants []leaves.Want, left []int, allowance float64, most int) int {
	all := true
	for _, n := range left {
		all = all && n == 0
	}
	if all {
		return 0
	}
	if most == 0 {
		return 1000
	}
	best := 1000
	var pick func(j int, counts []int)
	pick = func(j int, counts []int) {
		if j == len(left) {
			some := 0
			asked := append([]leaves.Want{}, wants...)
			var kept []leaves.Want
			for k, n := range counts {
				some += n
				if asked[k].Most, asked[k].Value = n, 1; n > 0 {
					kept = append(kept, asked[k])
				}
			}
			if some == 0 {
				return
			}
			p, err := leaves.Cut(b, kept, allowance)
			if err != nil || len(p.Leaves) != some { // they do not all fit
				return
			}
			rest := append([]int{}, left...)
			for k, n := range counts {
				rest[k] -= n
			}
			best = min(best, 1+fewest(b, wants, rest, allowance, min(most, best)-1))
			return
		}
		for n := left[j]; n >= 0; n-- {
			pick(j+1, append(append([]int{}, counts...), n))
		}
	}
	pick(0, nil)
	return best
}

func TestFewestBlocks(t *testing.T) {
	proven, all := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		b, wants, allowance := draw(t, 26)
		b.Thickness += 14
		var ordered []int
		for j := range wants {
			wants[j].Most = 0
			ordered = append(ordered, rapid.IntRange(0, 2).Draw(t, "ordered"))
		}
		o, err := leaves.Fill(b, wants, ordered, allowance)
		if err != nil {
			return // a thickness that fits nowhere
		}
		if f := orderFaults(b, wants, ordered, allowance, o); f != nil {
			t.Fatal(f)
		}
		best := fewest(b, wants, ordered, allowance, 7)
		if o.Bound > best || o.Blocks < best {
			t.Fatalf("%d blocks, bound %d, trying everything %d", o.Blocks, o.Bound, best)
		}
		if all++; o.Blocks == best {
			proven++
		}
	})
	if all == 0 || proven < all*95/100 {
		t.Errorf("only %d of %d are the fewest", proven, all)
	}
}

func TestOrdersRefused(t *testing.T) {
	wants := []leaves.Want{{Finished: 25, Value: 1}}
	for _, c := range []struct {
		thick float64
		n     int
	}{{100, -1}, {20, 1}, {100, 2e6}} {
		if o, err := leaves.Fill(leaves.Block{Thickness: c.thick}, wants, []int{c.n}, 0); err == nil {
			t.Errorf("%+v: %+v", c, o)
		}
	}
	if o, err := leaves.Fill(leaves.Block{Thickness: 100}, wants, []int{0}, 0); err != nil || o.Blocks != 0 || !o.Proven() {
		t.Errorf("nothing ordered: %+v, %v", o, err)
	}
}

package threes_test

import (
	"math"
	"slices"
	"testing"

	"slatewright/chance"
	"slatewright/sets/threes"
)

// consecutive is the least sum of spreads of n/3 threes of numbers on a line. Some best choice takes consecutive threes of the sorted
// numbers that are used: parting two threes that reach into each other anew, in order, makes no sum larger. So one pass over the sorted
// numbers with the count of those left out is enough.
func consecutive(x []float64) float64 {
	x = slices.Sorted(slices.Values(x))
	n := len(x)
	spare := n % 3
	// best[out][threes]: of the first 3·threes + out numbers, the last of them used or left out
	best := make([][]float64, spare+1)
	for out := range best {
		best[out] = make([]float64, n/3+1)
		for threes := range best[out] {
			best[out][threes] = math.Inf(1)
			end := 3*threes + out
			if end == 0 {
				best[out][threes] = 0
				continue
			}
			if out > 0 {
				best[out][threes] = best[out-1][threes]
			}
			// leaving one out inside a three is never better than leaving out its end
			if threes > 0 {
				best[out][threes] = min(best[out][threes], best[out][threes-1]+x[end-1]-x[end-3])
			}
		}
	}
	return best[spare][n/3]
}

func TestClosedFormOnALine(t *testing.T) {
	stream := chance.NewStream(5)
	for _, n := range []int{3, 4, 5, 12, 13, 14, 29, 30, 31, 60, 100} {
		x := make([]float64, n)
		for i := range x {
			x[i] = stream.Normal()
			if stream.IntN(4) == 0 && i > 0 {
				x[i] = x[i-1] // pieces alike
			}
		}
		c := costs{n, func(i, j, k int) float64 { return max(x[i], x[j], x[k]) - min(x[i], x[j], x[k]) }}
		p, err := threes.Choose(threes.Ask{N: n, Triples: c})
		if err != nil {
			t.Fatal(err)
		}
		if want := consecutive(x); math.Abs(p.Cost-want) > 1e-9 || p.Bound != p.Cost {
			t.Errorf("%d on a line: cost %.12f, bound %.12f, by dynamic programming %.12f", n, p.Cost, p.Bound, want)
		}
		holds(t, c, []int{-1}, p)
	}
}

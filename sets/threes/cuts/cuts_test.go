package cuts_test

import (
	"math"
	"slices"
	"testing"

	"slatewright/chance"
	"slatewright/sets/threes/cuts"
)

// choices calls yield for every choice of at most so many disjoint threes of n things.
func choices(n, most int, yield func([]cuts.Three)) {
	used := make([]bool, n)
	var chosen []cuts.Three
	var from func(i int)
	from = func(i int) {
		for i < n && used[i] {
			i++
		}
		if i == n || len(chosen) == most {
			yield(chosen)
			return
		}
		used[i] = true
		from(i + 1)
		for j := i + 1; j < n; j++ {
			for k := j + 1; k < n && !used[j]; k++ {
				if !used[k] {
					used[j], used[k] = true, true
					chosen = append(chosen, cuts.Three{int32(i), int32(j), int32(k)})
					from(i + 1)
					chosen = chosen[:len(chosen)-1]
					used[j], used[k] = false, false
				}
			}
		}
		used[i] = false
	}
	from(0)
}

// left is how much room a cut leaves: below 0 it is broken.
func left(c cuts.Cut, total int, list []cuts.Fraction) float64 {
	value, sum := 0.0, 0.0
	for _, f := range list {
		value += c.With(f.Three) * f.X
		sum += f.X
	}
	return c.Room - value - c.Missing*(float64(total)-sum)
}

// drawnFractions are threes with values that use no thing more than once and come to total at most.
func drawnFractions(n, total int, draw *chance.Stream) []cuts.Fraction {
	left, room := make([]float64, n), float64(total)
	for i := range left {
		left[i] = 1
	}
	share := []float64{0.5, 0.5, 1. / 3, 0.25}[draw.IntN(4)]
	sum := map[cuts.Three]float64{}
	for range 40 * n {
		c := cuts.Three{int32(draw.IntN(n)), int32(draw.IntN(n)), int32(draw.IntN(n))}
		slices.Sort(c[:])
		if c[0] == c[1] || c[1] == c[2] || left[c[0]] < share || left[c[1]] < share || left[c[2]] < share || room < share {
			continue
		}
		for _, i := range c {
			left[i] -= share
		}
		sum[c] += share
		room -= share
	}
	var list []cuts.Fraction
	for c, x := range sum {
		list = append(list, cuts.Fraction{Three: c, X: x})
	}
	slices.SortFunc(list, func(a, b cuts.Fraction) int { return slices.Compare(a.Three[:], b.Three[:]) })
	return list
}

// TestEveryChoiceKeepsThem: cuts are broken by the solution that they were found for and kept by every choice of whole threes.
func TestEveryChoiceKeepsThem(t *testing.T) {
	kinds := map[[5]float64]int{}
	for round := range 300 {
		draw := chance.NewStream(uint64(round))
		n := 5 + draw.IntN(5)
		total := n/3 - draw.IntN(2)
		list := drawnFractions(n, total, draw)
		found := cuts.NewFinder(n, total, list, nil).Broken(10)
		for _, c := range found {
			kinds[[5]float64{c.By[1], c.By[2], c.By[3], c.Missing, 0}]++
			if left(c, total, list) > -0.02+1e-9 {
				t.Errorf("round %d: %v, %v is not broken by %v", round, c.By, c.List, list)
			}
			for i := range n {
				if c.In[i] != slices.Contains(c.List, int32(i)) {
					t.Errorf("round %d: list and marks differ", round)
				}
			}
		}
		choices(n, total, func(chosen []cuts.Three) {
			whole := make([]cuts.Fraction, len(chosen))
			for a, c := range chosen {
				whole[a] = cuts.Fraction{Three: c, X: 1}
			}
			for _, c := range found {
				if left(c, total, whole) < 0 {
					t.Fatalf("round %d: %v keeps not %+v, of %d", round, chosen, c, total)
				}
			}
		})
		if again := cuts.NewFinder(n, total, list, found).Broken(100); slices.ContainsFunc(again, func(c cuts.Cut) bool {
			return slices.ContainsFunc(found, func(o cuts.Cut) bool { return o.By == c.By && slices.Equal(o.List, c.List) })
		}) {
			t.Errorf("round %d: a cut that is known was found again", round)
		}
	}
	if len(kinds) < 4 {
		t.Errorf("only %v were found", kinds)
	}
}

// TestOddGroup: seven things, each with two others in half of one of seven threes (the lines of the projective plane of seven points, each a third, would
// use them too): at most two whole threes fit, though the values come to 7/3.
func TestOddGroup(t *testing.T) {
	var list []cuts.Fraction
	sum := 0.0
	for i := range int32(7) {
		c := cuts.Three{i, (i + 1) % 7, (i + 3) % 7}
		slices.Sort(c[:])
		list = append(list, cuts.Fraction{Three: c, X: 1. / 3})
		sum += 1. / 3
	}
	slices.SortFunc(list, func(a, b cuts.Fraction) int { return slices.Compare(a.Three[:], b.Three[:]) })
	f := cuts.NewFinder(14, 4, list, nil)
	found := f.Broken(10)
	best := math.Inf(1)
	for _, c := range found {
		best = min(best, left(c, 4, list))
	}
	if best > 2-sum+1e-9 {
		t.Errorf("broken by %v at most, and seven lines of a plane by %v", -best, sum-2)
	}
	for i := range 7 {
		if math.Abs(f.Used(i)-1) > 1e-12 {
			t.Errorf("thing %d is used %v times", i, f.Used(i))
		}
	}
	pairs := 0
	for pair, w := range f.Pairs { // any two points lie on one line
		if pairs++; pair[0] >= pair[1] || math.Abs(w-1./3) > 1e-12 {
			t.Errorf("%v together: %v", pair, w)
		}
	}
	if pairs != 21 {
		t.Errorf("%d pairs", pairs)
	}
}

// TestWholeBreaksNothing: a choice of whole threes has nothing to be cut off.
func TestWholeBreaksNothing(t *testing.T) {
	if found := cuts.NewFinder(7, 2, []cuts.Fraction{{Three: cuts.Three{0, 1, 2}, X: 1}, {Three: cuts.Three{3, 4, 6}, X: 1}}, nil).Broken(5); len(found) != 0 {
		t.Errorf("%+v", found)
	}
}

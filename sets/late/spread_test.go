package late

import (
	"math"
	"math/bits"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"slatewright/chance"
	"slatewright/gauge/tables"
	"slatewright/internal/truth"
)

// narrowest tries every way to make so many threes of the pieces: ok says which three may go together.
func narrowest(x []float64, threes, used int, ok func(i, j, k int) bool) float64 {
	if threes == 0 {
		return 0
	}
	best := math.Inf(1)
	first := bits.TrailingZeros(^uint(used))
	for i := first; i < len(x); i++ { // i is the first piece that is used from here on; those before it are left out
		if used>>i&1 == 1 {
			continue
		}
		for j := i + 1; j < len(x); j++ {
			for k := j + 1; k < len(x); k++ {
				if used>>j&1 == 0 && used>>k&1 == 0 && ok(i, j, k) {
					width := max(x[i], x[j], x[k]) - min(x[i], x[j], x[k])
					best = min(best, width+narrowest(x, threes-1, used|(2<<i-1)|1<<j|1<<k, ok))
				}
			}
		}
	}
	return best
}

func TestClosestOfAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Map(rapid.IntRange(0, 40), func(n int) float64 { return float64(n) }), 0, 9).Draw(t, "values")
		slices.Sort(x)
		threes := rapid.IntRange(0, len(x)/3).Draw(t, "threes")
		want := narrowest(x, threes, 0, func(i, j, k int) bool { return true })
		if got := closest(x, threes); got != want {
			t.Fatalf("%g, everything tried gives %g", got, want)
		}
	})
}

func TestClosestByPlaceOfAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var lists [3][]float64
		var all []float64
		var place []int
		short := 9
		for p := range lists {
			lists[p] = rapid.SliceOfN(rapid.Map(rapid.IntRange(0, 40), func(n int) float64 { return float64(n) }), 0, 4).Draw(t, "values")
			slices.Sort(lists[p])
			for _, v := range lists[p] {
				all, place = append(all, v), append(place, p)
			}
			short = min(short, len(lists[p]))
		}
		want := narrowest(all, short, 0, func(i, j, k int) bool { return place[i] != place[j] && place[j] != place[k] && place[i] != place[k] })
		if got := closestByPlace(lists); got != want {
			t.Fatalf("%g, everything tried gives %g", got, want)
		}
	})
}

// TestStockAgainstEveryThree: sets, the mean as they come and the best sorting of stocks of mixed places, against everything tried.
func TestStockAgainstEveryThree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stock := make([]Piece, rapid.IntRange(0, 8).Draw(t, "pieces"))
		thickness := make([]float64, len(stock))
		for i := range stock {
			thickness[i] = float64(rapid.IntRange(0, 30).Draw(t, "thickness"))
			set := rapid.IntRange(1, 7).Draw(t, "places")
			stock[i] = Piece{thickness[i], [3]bool{set&1 != 0, set&2 != 0, set&4 != 0}}
		}
		ok := func(i, j, k int) bool {
			for _, o := range [][3]int{{i, j, k}, {i, k, j}, {j, i, k}, {j, k, i}, {k, i, j}, {k, j, i}} {
				if stock[o[0]].Places[0] && stock[o[1]].Places[1] && stock[o[2]].Places[2] {
					return true
				}
			}
			return false
		}
		threes, wide := 0, 0.0
		for i := range stock {
			for j := range i {
				for k := range j {
					if ok(i, j, k) {
						threes++
						wide += max(thickness[i], thickness[j], thickness[k]) - min(thickness[i], thickness[j], thickness[k])
					}
				}
			}
		}
		most := 0
		for m := 1; m <= len(stock)/3 && !math.IsInf(narrowest(thickness, m, 0, ok), 1); m++ {
			most = m
		}
		s := sorted(stock)
		if s.Sets != most {
			t.Fatalf("%d sets, everything tried gives %d", s.Sets, most)
		}
		if most == 0 {
			return
		}
		if math.Abs(s.Taken-wide/float64(threes)) > 1e-12 {
			t.Fatalf("%g as they come, by every three %g", s.Taken, wide/float64(threes))
		}
		want := narrowest(thickness, most, 0, ok) / float64(most)
		if s.Best > want || s.Proven && s.Best != want {
			t.Fatalf("best %g (proven %v), everything tried gives %g", s.Best, s.Proven, want)
		}
	})
}

// rank is the distribution of the r-th smallest of n standard normal values.
func rank(r, n int, x float64) float64 {
	return tables.Proportion(chance.Cumulative(x), float64(r), float64(n-r+1))
}

func integral(f func(x float64) float64) (sum float64) {
	const step = 1.0 / 256 // of a smooth function that ends at 0 on both sides: the trapezium rule is exact to rounding
	for x := -9.0; x <= 9; x += step {
		sum += f(x) * step
	}
	return sum
}

// fixedByRanks and anyByRanks are the closed forms of the spread after sorting, in standard deviations, by the distributions of order statistics: sorted by place
// the i-th of each list go together, and three independent values with distribution G have the mean range ∫ 1 − G³ − (1−G)³ = 3 ∫ G(1 − G); sorted
// together, the mean of the third less the first is the integral of the difference of their distributions.
func fixedByRanks(sets int) (mean float64) {
	for i := 1; i <= sets; i++ {
		mean += integral(func(x float64) float64 { g := rank(i, sets, x); return 3 * g * (1 - g) }) / float64(sets)
	}
	return mean
}

func anyByRanks(sets int) (mean float64) {
	for i := 1; i <= 3*sets; i += 3 {
		mean += integral(func(x float64) float64 { return rank(i, 3*sets, x) - rank(i+2, 3*sets, x) }) / float64(sets)
	}
	return mean
}

// TestSpreadAfterSorting: the drawn stocks against the closed forms, and both against what the trade reckons with at σ 0.10 mm: as they come 0.17 mm; 10 heads,
// 10 centres and 10 feet about 0.075; 30 pieces of any place about 0.03 (worked out before by simulation, no published source).
func TestSpreadAfterSorting(t *testing.T) {
	for _, c := range []struct {
		sets         int
		fixed, place float64 // rounded shop figures; 0: none
	}{{1, 0, 0}, {3, 0, 0}, {10, 0.075, 0.03}, {25, 0, 0}} {
		a, err := Worth(Question{Wanted: c.sets, Pass: [3]float64{0.9, 0.9, 0.9}, Sigma: 0.1, Draws: 4000, Seed: 5})
		if err != nil {
			t.Fatal(err)
		}
		for name, p := range map[string]struct {
			drawn       Mean
			exact, shop float64
		}{"fixed": {a.Expected.Fixed, 0.1 * fixedByRanks(c.sets), c.fixed}, "any": {a.Expected.Any, 0.1 * anyByRanks(c.sets), c.place}} {
			half := p.drawn.High - p.drawn.Value // 1.96 standard errors; the seed is fixed, and two of them are allowed
			if math.Abs(p.drawn.Value-p.exact) > 2*half || half > 0.02*p.exact || p.drawn.Draws != 4000 {
				t.Errorf("%d sets, %s: drawn %.5f ± %.5f, by ranks %.5f", c.sets, name, p.drawn.Value, half, p.exact)
			}
			if p.shop > 0 && math.Abs(p.exact-p.shop) > 0.0035 {
				t.Errorf("%d sets, %s: by ranks %.5f, about %.3f in the trade", c.sets, name, p.exact, p.shop)
			}
			t.Logf("%d sets, %s: drawn %.5f ± %.5f, by ranks %.5f", c.sets, name, p.drawn.Value, half, p.exact)
		}
		if got := a.Expected.Random; math.Abs(got-0.1*fixedByRanks(1)) > 1e-9 {
			t.Errorf("as they come %.6f, by ranks %.6f", got, 0.1*fixedByRanks(1))
		}
	}
}

// TestRandomThreesHaveTheRangeOfThree: 3/√π is the factor d2 of groups of three, as printed in tables of control chart constants.
func TestRandomThreesHaveTheRangeOfThree(t *testing.T) {
	a, err := Worth(Question{Wanted: 1, Pass: [3]float64{1, 1, 1}, Sigma: 1})
	if err != nil {
		t.Fatal(err)
	}
	seen := false
	for _, f := range truth.RangeFactors() {
		if f.N == 3 {
			seen = true
			if math.Abs(a.Expected.Random-f.Published) > 0.5e-3 {
				t.Errorf("%.5f, printed %.3f", a.Expected.Random, f.Published)
			}
		}
	}
	if !seen {
		t.Fatal("the table has no groups of three")
	}
}

package assignment_test

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"slatewright/assignment"
	"slatewright/internal/truth"
	"slatewright/trouble"
)

// cheapest tries everything: every row a column that no other has. +Inf: it cannot be.
func cheapest(cost [][]float64, used int) float64 {
	if len(cost) == 0 {
		return 0
	}
	best := math.Inf(1)
	for c, x := range cost[0] {
		if used>>c&1 == 0 {
			best = min(best, x+cheapest(cost[1:], used|1<<c))
		}
	}
	return best
}

// proven fails unless the columns are an assignment whose sum the prices prove within the slack.
func proven(t fataler, cost [][]float64, column []int, sum float64, rowPrice, columnPrice []float64, slack float64) {
	used, own, prices := map[int]bool{}, 0.0, 0.0
	for r, c := range column {
		if used[c] {
			t.Fatalf("column %d is used twice: %v", c, column)
		}
		used[c] = true
		own += cost[r][c]
		prices += rowPrice[r]
	}
	for c, price := range columnPrice {
		prices += price
		if price > 0 || !used[c] && price != 0 {
			t.Fatalf("price %g of column %d, used %v", price, c, used[c])
		}
		for r := range cost {
			if over := rowPrice[r] + price - cost[r][c]; over > slack {
				t.Fatalf("the prices of row %d and column %d are %g above their cost", r, c, over)
			}
		}
	}
	if own != sum || math.Abs(prices-sum) > slack {
		t.Fatalf("sum %g, by its columns %g, by its prices %g", sum, own, prices)
	}
	if bound := assignment.Bound(cost, columnPrice); bound > sum+slack*0.01 || bound < sum-slack-1e-300 {
		t.Fatalf("the bound is %g, the sum %g", bound, sum)
	}
}

type fataler interface{ Fatalf(string, ...any) }

func TestLeastAgainstPublishedInstances(t *testing.T) {
	instances := truth.AssignmentInstances()
	if len(instances) != 4 {
		t.Fatalf("%d instances", len(instances))
	}
	for _, a := range instances {
		column, sum, rows, columns, err := assignment.Least(a.Cost)
		if err != nil || sum != a.Optimum {
			t.Fatalf("%s: %g, published %g (%v)", a.Name, sum, a.Optimum, err)
		}
		if all := cheapest(a.Cost, 0); all != a.Optimum {
			t.Fatalf("%s: everything tried gives %g, published %g", a.Name, all, a.Optimum)
		}
		proven(t, a.Cost, column, sum, rows, columns, 1e-9)
	}
}

// TestThreeIndicesThatSplit is the case that the shop has when places are fixed: the cost of head, centre and foot is that of two joints, and two
// assignments around the piece between them (here the first index) are the whole answer.
func TestThreeIndicesThatSplit(t *testing.T) {
	first, second, want := truth.ThreeIndex()
	_, one, _, _, err1 := assignment.Least(first)
	_, other, _, _, err2 := assignment.Least(second)
	if err1 != nil || err2 != nil || one+other != want || want != 868 {
		t.Fatalf("%g + %g, published %g (%v, %v)", one, other, want, err1, err2)
	}
	best := math.Inf(1)
	for _, j := range orders(len(first)) {
		for _, k := range orders(len(first)) {
			sum := 0.0
			for i := range first {
				sum += first[i][j[i]] + second[i][k[i]]
			}
			best = min(best, sum)
		}
	}
	if best != want {
		t.Fatalf("everything tried gives %g", best)
	}
}

// orders lists the orders of n things.
func orders(n int) (list [][]int) {
	if n == 0 {
		return [][]int{nil}
	}
	for _, rest := range orders(n - 1) {
		for at := range n {
			list = append(list, slices.Insert(slices.Clone(rest), at, n-1))
		}
	}
	return list
}

func drawTable(t *rapid.T, cost *rapid.Generator[float64]) [][]float64 {
	columns := rapid.IntRange(1, 7).Draw(t, "columns")
	table := make([][]float64, rapid.IntRange(0, columns).Draw(t, "rows"))
	for r := range table {
		table[r] = rapid.SliceOfN(cost, columns, columns).Draw(t, "costs")
	}
	return table
}

func TestLeastOfAll(t *testing.T) {
	whole := rapid.Custom(func(t *rapid.T) float64 {
		n := rapid.IntRange(-20, 26).Draw(t, "cost")
		if n > 20 {
			return math.Inf(1)
		}
		return float64(n)
	})
	rapid.Check(t, func(t *rapid.T) {
		table := drawTable(t, whole)
		column, sum, rows, columns, err := assignment.Least(table)
		want := cheapest(table, 0)
		if err != nil {
			if !math.IsInf(want, 1) {
				t.Fatalf("%v, and everything tried gives %g", err, want)
			}
			tooFew(t, table, err)
			return
		}
		if sum != want {
			t.Fatalf("%g, everything tried gives %g", sum, want)
		}
		proven(t, table, column, sum, rows, columns, 1e-9)
	})
}

// tooFew fails unless the error names rows that have too few columns between them.
func tooFew(t fataler, table [][]float64, err error) {
	var what *trouble.Trouble
	var short *assignment.Short
	if !errors.As(err, &what) || what.Kind != trouble.KindData || !errors.As(err, &short) {
		t.Fatalf("%v", err)
	}
	reached := map[int]bool{}
	for _, r := range short.Rows {
		for c, x := range table[r] {
			if !math.IsInf(x, 1) {
				reached[c] = true
			}
		}
	}
	for c := range reached {
		if !slices.Contains(short.Columns, c) {
			t.Fatalf("rows %v reach column %d beside %v", short.Rows, c, short.Columns)
		}
	}
	if !slices.IsSorted(short.Rows) || len(slices.Compact(slices.Clone(short.Rows))) <= len(short.Columns) {
		t.Fatalf("rows %v have columns %v: enough", short.Rows, short.Columns)
	}
}

func TestLeastOfCostsThatRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		scale := math.Ldexp(1, rapid.IntRange(-60, 60).Draw(t, "scale"))
		table := drawTable(t, rapid.Map(rapid.Float64Range(-1, 1), func(x float64) float64 { return x * scale }))
		column, sum, rows, columns, err := assignment.Least(table)
		if err != nil {
			t.Fatalf("%v", err)
		}
		if want := cheapest(table, 0); math.Abs(sum-want) > 1e-14*scale {
			t.Fatalf("%g, everything tried gives %g", sum, want)
		}
		proven(t, table, column, sum, rows, columns, 1e-13*scale)
	})
}

// TestBoundHoldsForAnyPrices: whatever the prices, no assignment is below the bound.
func TestBoundHoldsForAnyPrices(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := drawTable(t, rapid.Float64Range(-1, 1))
		if len(table) == 0 {
			table = [][]float64{{0.5}}
		}
		n := len(table[0])
		prices := rapid.SliceOfN(rapid.Float64Range(-2, 2), n, n).Draw(t, "prices")
		bound, exact := new(big.Rat).SetFloat64(assignment.Bound(table, prices)), exactBound(table, prices)
		if want := cheapest(table, 0); bound.Cmp(exact) > 0 || new(big.Rat).Sub(exact, bound).Cmp(big.NewRat(1, 1e13)) > 0 {
			t.Fatalf("bound %v, in exact fractions %v, everything tried gives %g", bound, exact, want)
		} else if exact.Cmp(new(big.Rat).SetFloat64(want+1e-13)) > 0 {
			t.Fatalf("bound %v, everything tried gives %g", exact, want)
		}
	})
}

// exactBound is the bound without rounding.
func exactBound(table [][]float64, prices []float64) *big.Rat {
	rat := func(x float64) *big.Rat { return new(big.Rat).SetFloat64(x) }
	sum := new(big.Rat)
	for _, p := range prices {
		sum.Add(sum, rat(min(p, 0)))
	}
	for _, row := range table {
		var least *big.Rat
		for c, x := range row {
			if less := new(big.Rat).Sub(rat(x), rat(min(prices[c], 0))); least == nil || less.Cmp(least) < 0 {
				least = less
			}
		}
		sum.Add(sum, least)
	}
	return sum
}

// TestBoundIsBelowItsExactValue where many prices are added up.
func TestBoundIsBelowItsExactValue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		some := rapid.SliceOfN(rapid.Map(rapid.IntRange(-1<<50, 0), func(n int) float64 { return float64(n) / 3 }), 60, 60)
		row, prices := some.Draw(t, "costs"), some.Draw(t, "prices")
		bound, exact := new(big.Rat).SetFloat64(assignment.Bound([][]float64{row}, prices)), exactBound([][]float64{row}, prices)
		if bound.Cmp(exact) > 0 {
			t.Fatalf("bound %v, in exact fractions %v", bound, exact)
		}
	})
}

func TestNoTable(t *testing.T) {
	for name, table := range map[string][][]float64{
		"uneven": {{1, 2}, {1}}, "NaN": {{math.NaN()}}, "-Inf": {{math.Inf(-1)}}, "more rows than columns": {{1}, {2}}, "no columns": {{}},
	} {
		var what *trouble.Trouble
		if _, _, _, _, err := assignment.Least(table); !errors.As(err, &what) || what.Kind != trouble.KindData || what.Next == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
	if column, sum, _, _, err := assignment.Least(nil); len(column) != 0 || sum != 0 || err != nil {
		t.Errorf("nothing to do: %v %g %v", column, sum, err)
	}
}

// ExampleLeast gives three heads a centre each; the third head does not fit the second centre.
func ExampleLeast() {
	no := math.Inf(1)
	column, sum, _, _, _ := assignment.Least([][]float64{{4, 1, 3, 5}, {2, 0, 5, 5}, {3, no, 2, 5}})
	fmt.Println(column, sum)
	_, _, _, _, err := assignment.Least([][]float64{{4, no, no}, {2, no, no}, {3, 2, 2}})
	var short *assignment.Short
	fmt.Println(errors.As(err, &short), short)
	// Output:
	// [1 0 2] 5
	// true 2 rows (0, 1) have only 1 column between them (0)
}

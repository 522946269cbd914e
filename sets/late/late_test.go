package late_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"slatewright/sets/late"
	"slatewright/trouble"
)

func usual() late.Question {
	return late.Question{Wanted: 10, Pass: [3]float64{0.9, 0.9, 0.9}, Cost: [3]float64{80, 80, 80}, Sigma: 0.1}
}

func TestCubedAgainstSingle(t *testing.T) {
	a, err := late.Worth(usual())
	if err != nil {
		t.Fatal(err)
	}
	for name, pair := range map[string][2]float64{"early": {a.Early.Share, 0.9 * 0.9 * 0.9}, "fixed": {a.Fixed.Share, 0.9}, "any": {a.Any.Share, 0.9},
		"begun early": {a.Early.OfTheSame, float64(a.Early.Begin[0]) * 0.729}} {
		if math.Abs(pair[0]-pair[1]) > 1e-12 {
			t.Errorf("%s: %g, by hand %g", name, pair[0], pair[1])
		}
	}
	if !(a.Any.Pieces < a.Fixed.Pieces && a.Fixed.Pieces < a.Early.Pieces) {
		t.Errorf("pieces: early %d, fixed %d, any %d", a.Early.Pieces, a.Fixed.Pieces, a.Any.Pieces)
	}
	for name, w := range map[string]late.Way{"early": a.Early, "fixed": a.Fixed, "any": a.Any} {
		if w.Probability < 0.95 || w.Spare != w.Pieces-30 || w.Money != 80*float64(w.Pieces) || w.Saved != a.Early.Money-w.Money {
			t.Errorf("%s: %+v", name, w)
		}
	}
	if !a.Asked || a.Sure != 0.95 || len(a.Warnings) != 1 {
		t.Errorf("%v %g %q", a.Asked, a.Sure, a.Warnings)
	}
}

func TestNothingFails(t *testing.T) {
	a, err := late.Worth(late.Question{Wanted: 7, Pass: [3]float64{1, 1, 1}})
	if err != nil {
		t.Fatal(err)
	}
	for name, w := range map[string]late.Way{"early": a.Early, "fixed": a.Fixed, "any": a.Any} {
		if w.Share != 1 || w.Pieces != 21 || w.Spare != 0 || w.Probability != 1 || w.OfTheSame != 7 || w.Money != 0 {
			t.Errorf("%s: %+v", name, w)
		}
	}
	if len(a.Warnings) != 0 || a.Expected != (late.Expected{}) {
		t.Errorf("%q %+v", a.Warnings, a.Expected)
	}
}

func TestFarEndsOfTheRanges(t *testing.T) {
	for name, q := range map[string]late.Question{
		"many sets that seldom come":  {Wanted: 600, Pass: [3]float64{0.1, 0.1, 0.1}, Sure: 0.999999},
		"one foot is dear":            {Wanted: 30, Pass: [3]float64{0.5, 0.5, 0.5}, Cost: [3]float64{1, 1, 1e6}},
		"one set, hardly to be known": {Wanted: 1, Pass: [3]float64{0.1, 1, 0.5}, Sure: 1e-9},
	} {
		a, err := late.Worth(q)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for _, w := range []late.Way{a.Early, a.Fixed, a.Any} {
			if !(w.Probability >= a.Sure && w.Probability <= 1 && w.Spare >= 0 && w.OfTheSame >= 0) {
				t.Errorf("%s: %+v", name, w)
			}
		}
	}
}

func TestWhatCannotBe(t *testing.T) {
	for name, spoil := range map[string]func(q *late.Question){
		"sets":        func(q *late.Question) { q.Wanted = 2001 },
		"no sets":     func(q *late.Question) { q.Wanted = -1 },
		"pass":        func(q *late.Question) { q.Pass[1] = 0.05 },
		"pass NaN":    func(q *late.Question) { q.Pass[1] = math.NaN() },
		"pass any":    func(q *late.Question) { q.PassAny = 1.5 },
		"sure":        func(q *late.Question) { q.Sure = 1 },
		"sure NaN":    func(q *late.Question) { q.Sure = math.NaN() },
		"cost":        func(q *late.Question) { q.Cost[2] = 0 },
		"cost before": func(q *late.Question) { q.Cost = [3]float64{0, 0, 1} },
		"cost Inf":    func(q *late.Question) { q.Cost[2] = math.Inf(1) },
		"sigma":       func(q *late.Question) { q.Sigma = -1 },
		"draws":       func(q *late.Question) { q.Draws = 1 },
		"stock":       func(q *late.Question) { q.Stock = make([]late.Piece, 1501) },
		"thickness":   func(q *late.Question) { q.Stock = []late.Piece{{Thickness: math.Inf(1)}} },
	} {
		q := usual()
		spoil(&q)
		var what *trouble.Trouble
		if _, err := late.Worth(q); !errors.As(err, &what) || what.Kind != trouble.KindData || what.Where == "" || what.Next == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestStockAlone(t *testing.T) {
	anywhere := [3]bool{true, true, true}
	a, err := late.Worth(late.Question{Stock: []late.Piece{{44.10, anywhere}, {44.00, anywhere}, {math.NaN(), anywhere}, {44.02, anywhere}, {44.50, [3]bool{}}}})
	if err != nil {
		t.Fatal(err)
	}
	if s := a.Stock; s.Pieces != 3 || s.Left != 2 || s.Sets != 1 || math.Abs(s.Best-0.1) > 1e-12 || math.Abs(s.Taken-0.1) > 1e-12 || !s.Proven || len(a.Warnings) != 1 || a.Asked {
		t.Errorf("%+v %q", s, a.Warnings)
	}
	if a, _ = late.Worth(late.Question{Stock: []late.Piece{{44, [3]bool{true, true, false}}}}); a.Stock.Sets != 0 || len(a.Warnings) != 0 {
		t.Errorf("%+v", a)
	}
	a, _ = late.Worth(late.Question{Stock: []late.Piece{{44, anywhere}, {44.1, anywhere}, {44.3, [3]bool{true, false, false}}}})
	if a.Stock.Sets != 1 || a.Stock.Proven || len(a.Warnings) != 1 {
		t.Errorf("%+v", a)
	}
}

// ExampleWorth says in words what matching late is worth to a mill of which nine in ten pieces pass.
func ExampleWorth() {
	a, err := late.Worth(late.Question{Wanted: 10, Pass: [3]float64{0.9, 0.9, 0.9}, Cost: [3]float64{80, 80, 80}, Sigma: 0.10})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("A set settled at the saw comes in %.0f of 100 times (0.9³), three pieces matched late in %.0f.\n", 100*a.Early.Share, 100*a.Fixed.Share)
	fmt.Printf("For 10 sets with %.0f %%: begin %d pieces if sets are settled at the saw;\n", 100*a.Sure, a.Early.Pieces)
	fmt.Printf("%d if each is matched late in its own place (%d spares of each place), %.0f less in money;\n", a.Fixed.Pieces, a.Fixed.Spares[0], a.Fixed.Saved)
	fmt.Printf("%d if each may take any place (%d spares in all), %.0f less.\n", a.Any.Pieces, a.Any.Spare, a.Any.Saved)
	e := a.Expected
	fmt.Printf("Thickness within a set: %.2f mm as they come, %.3f sorted in their places, %.3f sorted in any place.\n", e.Random, e.Fixed.Value, e.Any.Value)
	// Output:
	// A set settled at the saw comes in 73 of 100 times (0.9³), three pieces matched late in 90.
	// For 10 sets with 95 %: begin 54 pieces if sets are settled at the saw;
	// 42 if each is matched late in its own place (4 spares of each place), 960 less in money;
	// 37 if each may take any place (7 spares in all), 1360 less.
	// Thickness within a set: 0.17 mm as they come, 0.076 sorted in their places, 0.030 sorted in any place.
}

// ExampleWorth_stock compares a stock after sorting with the same stock taken as it comes.
func ExampleWorth_stock() {
	head, centre, foot := [3]bool{true, false, false}, [3]bool{false, true, false}, [3]bool{false, false, true}
	a, err := late.Worth(late.Question{Stock: []late.Piece{{44.05, head}, {44.21, head}, {44.12, centre}, {44.02, centre}, {44.19, foot}, {43.98, foot}, {44.30, foot}}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d sets: %.2f mm within a set if taken as they come, %.3f after sorting\n", a.Stock.Sets, a.Stock.Taken, a.Stock.Best)
	// Output: 2 sets: 0.19 mm within a set if taken as they come, 0.080 after sorting
}

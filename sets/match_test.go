package sets_test

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"slatewright/bed"
	"slatewright/sets"
)

// drawn is a question of a few pieces.
func drawn(t *rapid.T, most int, faces bool) sets.Question {
	tenth := func(name string, low, high int) float64 { return float64(rapid.IntRange(low, high).Draw(t, name)) / 10 }
	q := sets.Question{Spec: small(), Weights: sets.DefaultWeights()}
	n := most - rapid.IntRange(0, most-2).Draw(t, "pieces fewer")
	some := rapid.IntRange(0, 4).Draw(t, "some faces") == 0
	place := rapid.SampledFrom(places[:rapid.SampledFrom([]int{1, 2, 5, 7}).Draw(t, "kinds")])
	for i := range n {
		p := sets.Piece{ID: fmt.Sprint("P", i), Ways: place.Draw(t, "ways"), Thickness: 44 + tenth("thickness", 0, 9)/2}
		p.Layer, p.Batch = rapid.SampledFrom([]string{"a", "b", "c", ""}).Draw(t, "layer"), rapid.SampledFrom([]string{"x", "y"}).Draw(t, "batch")
		if rapid.IntRange(0, 9).Draw(t, "gauge") == 0 {
			p.Thickness = math.NaN()
		}
		if rapid.IntRange(0, 9).Draw(t, "wet") == 0 {
			p.NotReady = "it is wet"
		}
		p.AgeDays = float64(rapid.IntRange(0, 60).Draw(t, "age"))
		if rapid.Bool().Draw(t, "colour") {
			p.Lab = &[3]float64{30 + tenth("l", 0, 99), tenth("a", -20, 20), tenth("b", -20, 20)}
		}
		if faces && (!some || rapid.IntRange(0, 4).Draw(t, "face") > 0) {
			p.Face = dished(tenth("along", -3, 3)/2, tenth("across", -3, 3)/2, tenth("twist", -4, 4), func() float64 { return tenth("ripple", -1, 1) / 4 })
			p.Face.TurnFixed = rapid.IntRange(0, 5).Draw(t, "fixed") == 0
		}
		q.Pieces = append(q.Pieces, p)
	}
	l := q.Spec.Limits
	if some { // what the pieces that are known rule out of a set with one that is not, sets/beds knows better than this test
		l = bed.Limits{Lengthwise: 9, Across: 9, Zone: 9, Step: 9}
	}
	q.Classes = []sets.Class{{Name: "all", Limits: l, Room: 0.01}}
	if !some && rapid.Bool().Draw(t, "two classes") {
		tight := bed.Limits{Lengthwise: 0.4, Across: 0.3, Zone: 0.3, Step: 0.05}
		if rapid.IntRange(0, 2).Draw(t, "not nested") == 0 { // its zone is wider than that of the looser steps
			tight, l = crossed(t)
		}
		q.Classes = []sets.Class{{Name: "tight", Limits: tight}, {Name: "all", Limits: l, Room: 0.01}}
	}
	if rapid.Bool().Draw(t, "weights") {
		q.Weights.Batch, q.Weights.Colour, q.Weights.Age = tenth("batch", 0, 3), tenth("colour", 0, 3), tenth("old", 0, 9)
	}
	return q
}

// crossed are the limits of two classes that are not nested: the first has tighter steps and the wider zone.
func crossed(t *rapid.T) (tight, loose bed.Limits) {
	hundredth := func(name string, low, high int) float64 {
		return float64(rapid.IntRange(low, high).Draw(t, name)) / 100
	}
	return bed.Limits{Lengthwise: 0.9, Across: 0.5, Zone: 0.9, Step: hundredth("tight step", 2, 8)},
		bed.Limits{Lengthwise: 0.5, Across: 0.5, Zone: hundredth("tight zone", 20, 45), Step: 0.2}
}

// TestClassesThatAreNotNested: a tight step with a wide zone beside a loose step with a tight zone; every order gets what it can get.
func TestClassesThatAreNotNested(t *testing.T) {
	several, served := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		q := drawn(t, 5, true)
		tight, loose := crossed(t)
		q.Classes = []sets.Class{{Name: "tight", Limits: tight}, {Name: "all", Limits: loose, Room: 0.01}}
		for i := range q.Pieces {
			if q.Pieces[i].Face == nil {
				q.Pieces[i].NotReady = "it was not read"
			}
		}
		first := q // without limits: what three of the pieces make lies between the two classes
		first.Classes = []sets.Class{{Limits: bed.Limits{Lengthwise: 9, Across: 9, Zone: 9, Step: 9}}}
		if _, p := matched(t, first); len(p.Sets) > 0 && p.Sets[0].Step > 0.01 {
			tight.Step, loose.Zone = 0.8*p.Sets[0].Step, p.Sets[0].Zone+0.015
			loose.Step = max(loose.Step, 1.2*p.Sets[0].Step+0.02)
			tight.Lengthwise, tight.Zone, loose.Lengthwise = 2, 2, 2
			q.Classes[0].Limits, q.Classes[1].Limits = tight, loose
		}
		decided(t, &q)
		_, p := matched(t, q)
		want := plans(q)
		alike(t, q, p, want)
		several += want.several
		for _, s := range p.Sets {
			class := q.Classes[s.Class].Name // for stock any will do
			if s.Order >= 0 {
				class = cmp.Or(q.Orders[s.Order].Class, "all")
			}
			l := map[string]bed.Limits{"tight": tight, "all": {Lengthwise: loose.Lengthwise - 0.01, Across: loose.Across - 0.01, Zone: loose.Zone - 0.01, Step: loose.Step - 0.01}}[class]
			if served++; s.Step > l.Step+1e-6 || s.Zone > l.Zone+1e-6 {
				t.Fatalf("a set for %s has a step of %v and a zone of %v", class, s.Step, s.Zone)
			}
		}
	})
	if several < 3 || served < 10 {
		t.Errorf("%d threes with several beds, %d sets", several, served)
	}
}

// decided draws orders and what was decided by hand.
func decided(t *rapid.T, q *sets.Question) {
	n := len(q.Pieces)
	for i := range rapid.IntRange(0, 3).Draw(t, "orders") {
		o := sets.Order{ID: fmt.Sprint("O", i), Sets: rapid.IntRange(1, 2).Draw(t, "sets")}
		o.Class = rapid.SampledFrom(append([]sets.Class{{}}, q.Classes...)).Draw(t, "class").Name
		o.Due = rapid.SampledFrom([]string{"", "2026-11-30", "2026-12-01"}).Draw(t, "due")
		q.Orders = append(q.Orders, o)
	}
	pick := rapid.IntRange(0, n-1)
	if rapid.Bool().Draw(t, "apart") {
		q.Apart = append(q.Apart, [2]int(rapid.SliceOfNDistinct(pick, 2, 2, rapid.ID[int]).Draw(t, "apart from")))
	}
	if rapid.Bool().Draw(t, "together") {
		g := rapid.SliceOfNDistinct(pick, 2, min(3, n), rapid.ID[int]).Draw(t, "company")
		if len(q.Apart) == 0 || !slices.Contains(g, q.Apart[0][0]) || !slices.Contains(g, q.Apart[0][1]) {
			q.Together = append(q.Together, g)
		} else {
			q.Apart = nil
		}
	}
	if n > 3 && rapid.Bool().Draw(t, "before") {
		order := rapid.Permutation(slices.Collect(func(yield func(int) bool) {
			for i := range n {
				if !yield(i) {
					return
				}
			}
		})).Draw(t, "order")
		for k := 0; k+3 <= n; k += 3 {
			q.Before = append(q.Before, [3]int(order[k:k+3]))
		}
		q.Weights.Change = rapid.SampledFrom([]float64{0, 0.05, 1}).Draw(t, "change")
	}
}

// alike holds a plan against the one that was found by trying everything.
func alike(t *rapid.T, q sets.Question, p sets.Plan, want *brutePlan) {
	sum, wish, kept := 0.0, 0.0, 0
	given := make([]int, len(q.Orders)+1)
	var used []int
	for _, s := range p.Sets {
		sum += s.Cost
		wish += s.Cost
		if len(q.Before) > 0 && !s.Kept {
			wish += q.Weights.Change
		}
		for _, g := range q.Together {
			in := 0
			for _, i := range g {
				if slices.Contains(s.Pieces[:], i) {
					in++
				}
			}
			if in == len(g) {
				wish -= sets.Kept
				kept++
			} else if in > 0 {
				t.Fatalf("%v are apart", g)
			}
		}
		used = append(used, s.Pieces[:]...)
		if s.Order < 0 {
			given[len(q.Orders)]++
		} else {
			given[s.Order]++
		}
	}
	for _, l := range p.Unused {
		if l.Why == "" {
			t.Fatalf("%d is left out for no reason", l.Index)
		}
		used = append(used, l.Index)
	}
	if slices.Sort(used); len(used) != len(q.Pieces) || len(slices.Compact(used)) != len(q.Pieces) {
		t.Fatalf("%v are used or left", used)
	}
	numbers := make([]int, 0, len(given))
	for _, o := range importance(q) {
		numbers = append(numbers, given[o])
	}
	numbers = append(numbers, given[len(q.Orders)])
	if !slices.Equal(numbers, want.numbers) {
		t.Fatalf("sets %v, and %v can be", numbers, want.numbers)
	}
	if want.several > 0 { // the search knows one cost of three pieces
		if wish < want.wish-1e-7 || math.Abs(sum-p.Cost) > 1e-9 || len(q.Together) == 0 && (q.Weights.Change == 0 || len(q.Before) == 0) && p.Bound > want.cost+1e-7 {
			t.Fatalf("cost %.9f (%.9f with wishes), bound %.9f, and %.9f can be (%.9f)", sum, wish, p.Bound, want.cost, want.wish)
		}
	} else if math.Abs(wish-want.wish) > 1e-7 || math.Abs(sum-p.Cost) > 1e-9 {
		t.Fatalf("cost %.9f (%.9f with wishes), and %.9f can be (%.9f)", sum, wish, want.cost, want.wish)
	}
	if p.Bound > p.Cost || p.Gap < 0 || !p.SetsProven || p.SetsBound != len(p.Sets) || p.Stopped {
		t.Fatalf("bound %v of %v, gap %v, sets %v of %d", p.Bound, p.Cost, p.Gap, p.SetsProven, p.SetsBound)
	}
	count := p.Priced
	for _, w := range p.Why {
		count += w.Threes
	}
	if count != p.Triples {
		t.Fatalf("%d threes of %d are accounted for", count, p.Triples)
	}
	if (len(q.Before) == 0 || q.Weights.Change == 0) && p.Gap > 1e-7 && want.several == 0 {
		t.Fatalf("gap %v at the end of the search", p.Gap)
	}
}

// matched are the racks of a question, and the plan.
func matched(t interface{ Fatal(...any) }, q sets.Question) (*sets.Racks, sets.Plan) {
	racks, err := sets.Lay(q)
	if err != nil {
		t.Fatal(err)
	}
	p, err := racks.Match()
	if err != nil {
		t.Fatal(err)
	}
	return racks, p
}

// importance is the order of orders, worked out another way: each is behind those that are due earlier, or as early and tighter, or stand before it.
func importance(q sets.Question) []int {
	rank := func(i int) string {
		o := q.Orders[i]
		due, class := o.Due, "1"
		if due == "" {
			due = "9"
		}
		if o.Class == q.Classes[0].Name && len(q.Classes) == 2 {
			class = "0"
		}
		return due + class + string(rune('a'+i))
	}
	list := make([]int, len(q.Orders))
	for i := range list {
		before := 0
		for j := range list {
			if rank(j) < rank(i) {
				before++
			}
		}
		list[before] = i
	}
	return list
}

// TestAgainstEveryPlan: up to nine pieces without faces, in every place.
func TestAgainstEveryPlan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := drawn(t, 9, false)
		decided(t, &q)
		p, err := sets.Match(q)
		if err != nil {
			t.Fatal(err)
		}
		alike(t, q, p, plans(q))
	})
}

// TestAgainstEveryBed: pieces with faces, some without, in every place and turn.
func TestAgainstEveryBed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := drawn(t, 5, true)
		decided(t, &q)
		p, err := sets.Match(q)
		if err != nil {
			t.Fatal(err)
		}
		alike(t, q, p, plans(q))
	})
}

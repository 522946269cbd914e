package sets_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"slatewright/bed"
	"slatewright/sets"
	"slatewright/sets/beds"
)

// TestByAssignment: where the cost splits over the joints the plan is exact at once, says so, and is that of trying everything.
func TestByAssignment(t *testing.T) {
	several := 0
	rapid.Check(t, func(t *rapid.T) {
		q := drawn(t, 9, false)
		q.Weights.Spread = rapid.SampledFrom([]float64{0, 1}).Draw(t, "spread")
		for i := range q.Pieces {
			q.Pieces[i].Ways = beds.In(bed.Place(rapid.IntRange(0, 2).Draw(t, "place")))
			if q.Weights.Spread > 0 {
				q.Pieces[i].Thickness = 44
			}
		}
		for i := range rapid.IntRange(0, 2).Draw(t, "orders") {
			q.Orders = append(q.Orders, sets.Order{ID: string(rune('A' + i)), Sets: 1, Due: rapid.SampledFrom([]string{"", "2026-12-01"}).Draw(t, "due")})
		}
		p, err := sets.Match(q)
		if err != nil {
			t.Fatal(err)
		}
		if p.How != sets.ByAssignment {
			t.Fatalf("found by %s", p.How)
		}
		alike(t, q, p, plans(q))
		if len(p.Sets) > 1 {
			several++
		}
	})
	if several == 0 {
		t.Error("no plan had two sets")
	}
}

// TestLayersByHand: three heads, centres and feet of two layers, worked out by hand: the layers go together but for one set, whose change stands at one
// joint; 0.2 in all.
func TestLayersByHand(t *testing.T) {
	q := plain(nil)
	for place, layers := range []string{"aab", "abb", "abb"} {
		for _, l := range layers {
			q.Pieces = append(q.Pieces, sets.Piece{Ways: beds.In(bed.Place(place)), Layer: string(l), Thickness: math.NaN()})
		}
	}
	p := match(t, q)
	changes := 0
	for _, s := range p.Sets {
		changes += s.LayerChanges
	}
	if len(p.Sets) != 3 || math.Abs(p.Cost-0.2) > 1e-12 || math.Abs(p.Bound-0.2) > 1e-12 || changes != 1 || p.Gap != 0 || p.Priced != 0 {
		t.Errorf("%d sets for %v, bound %v, %d changes", len(p.Sets), p.Cost, p.Bound, changes)
	}
}

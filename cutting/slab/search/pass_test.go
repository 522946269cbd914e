package search

import (
	"testing"

	"pgregory.net/rapid"

	"slatewright/cutting/slab"
)

// enough is how many slabs are searched in a short test, which the race detector makes ten times longer: with so many the work that is shared
// out goes all the ways that it goes with more.
const enough = 20

// However few parts a pass keeps, and whatever gap is good enough, a bound is never below a plan of another search; and what is proven is the same.
func TestPassesAgree(t *testing.T) {
	proven, tried := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		if tried++; testing.Short() && tried > enough {
			return
		}
		size := func(name string, low, high int) float64 { return float64(rapid.IntRange(low, high).Draw(t, name)) }
		w, h := size("w", 60, 100), size("h", 40, 70)
		s := &slab.Slab{Outline: []slab.Point{{X: size("a", 0, 8)}, {X: w, Y: size("b", 0, 6)}, {X: w - 3, Y: h}, {Y: h - size("d", 0, 8)}}, Kerf: size("kerf", 0, 3), Angles: []float64{0, 4}}
		for range 3 {
			x, y := size("x", 5, 95), size("y", 5, 65)
			s.Flaws = append(s.Flaws, slab.Flaw{Points: []slab.Point{{X: x, Y: y}, {X: x + size("dx", -9, 9), Y: y + 5}}, Clearance: 1})
		}
		for range rapid.IntRange(1, 4).Draw(t, "types") {
			l, b := size("l", 14, 30), size("b", 10, 20)
			s.Types = append(s.Types, slab.Type{Length: l, Width: b, Value: int64(l*b) + int64(size("v", 0, 90)), Most: rapid.IntRange(-1, 4).Draw(t, "most"), Quarters: [4]bool{true, true}})
		}
		solve := func(keep int, gap float64) *slab.Plan {
			return newSearch(s, Limits{Work: 4_000_000, Gap: gap}, keep).run()
		}
		all := solve(firstKept, 0)
		for _, other := range []*slab.Plan{solve(rapid.IntRange(1, 3000).Draw(t, "keep"), 0), solve(firstKept, size("gap", 1, 99)/100)} {
			if all.Value > other.Bound || other.Value > all.Bound || all.Proven && other.Proven && all.Value != other.Value {
				t.Fatalf("%d of %d and %d of %d", all.Value, all.Bound, other.Value, other.Bound)
			}
			if other.Proven {
				proven++
			}
		}
	})
	if proven == 0 {
		t.Fatal("nothing was proven")
	}
}

package search_test

import (
	"reflect"
	"testing"

	"slatewright/cutting/slab"
	"slatewright/cutting/slab/search"
)

// A search that was stopped comes to the same plan in as many steps: what was shown can be found again. One that ended by itself is asked for one step more.
func TestAsManyStepsAreTheSamePlan(t *testing.T) {
	crooked := &slab.Slab{Outline: []slab.Point{{X: 0, Y: 20}, {X: 1500, Y: 0}, {X: 3050, Y: 60}, {X: 3000, Y: 1780}, {X: 60, Y: 1750}}, Kerf: 5, Angles: []float64{0, 1},
		Flaws: []slab.Flaw{{Points: []slab.Point{{X: 1560, Y: 1780}, {X: 1600, Y: 1300}}, Clearance: 15}, {Points: []slab.Point{{X: 2400, Y: 1200}}, Clearance: 30}},
		Types: []slab.Type{{Name: "a", Length: 1493, Width: 934, Value: 200, Most: 2, Quarters: [4]bool{true, true}}, {Name: "b", Length: 1188, Width: 757, Value: 110, Most: -1, Quarters: [4]bool{true, true}},
			{Name: "c", Length: 910, Width: 310, Value: 22, Most: 3, Quarters: [4]bool{true, true}}}}
	plain := &slab.Slab{Outline: []slab.Point{{X: 0, Y: 0}, {X: 800, Y: 0}, {X: 800, Y: 610}, {X: 0, Y: 610}}, Angles: []float64{0}}
	for i, side := range [][2]float64{{113, 71}, {97, 83}, {61, 59}, {151, 43}, {79, 67}} {
		plain.Types = append(plain.Types, slab.Type{Name: string(rune('a' + i)), Length: side[0], Width: side[1], Value: int64(side[0]*side[1]) + int64(i), Most: 3 + i, Quarters: [4]bool{true}})
	}
	for name, s := range map[string]*slab.Slab{"a slab": crooked, "a rectangle": plain} {
		stoppedOnce := false
		for _, asked := range []int{1, 2, 3, 5, 9, 17} {
			n := 0
			first, err := search.Solve(s, search.Limits{Stop: func() bool { n++; return n >= asked }})
			if err != nil {
				t.Fatal(err)
			}
			work := first.Work
			if n < asked { // it ended by itself
				work++
			} else {
				stoppedOnce = true
			}
			again, err := search.Solve(s, search.Limits{Work: work})
			if err != nil {
				t.Fatal(err)
			}
			if again.Work = first.Work; !reflect.DeepEqual(first, again) {
				t.Errorf("%s, stopped when asked for the %d. time: worth %d of %d with %d pieces, then %d of %d with %d", name, asked, first.Value, first.Bound, len(first.Pieces), again.Value, again.Bound, len(again.Pieces))
			}
		}
		if !stoppedOnce {
			t.Errorf("%s: nothing was stopped", name)
		}
	}
}

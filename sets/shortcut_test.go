package sets_test

import (
	"fmt"
	"slices"
	"testing"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/sets"
	"slatewright/sets/beds"
)

// waved is a flat face whose joint edges go up and down by a height from station to station: no tilt brings it nearer to a straight edge.
func waved(height float64) *face.Face {
	f := level(false)
	for i := range f.Z {
		if f.Row[i] != face.NoRow {
			if f.Z[i] = height; int(f.Y[i]+1400)/175%2 == 0 {
				f.Z[i] = -height
			}
		}
	}
	return f
}

// manyPieces are 27 sets of flat pieces, more things than are planned anew for each change, one head and one foot more, of which the head has such waves, and one of the
// centres has others. Steps above 0.13 mm do not conform.
func manyPieces(head, centre float64) sets.Question {
	limits := bed.Limits{Lengthwise: 10, Across: 10, Zone: 10, Step: 0.13}
	q := sets.Question{Spec: small(), Classes: []sets.Class{{Limits: limits}}, Weights: sets.DefaultWeights()}
	for place, n := range []int{28, 27, 28} {
		for i := range n {
			p := sets.Piece{ID: fmt.Sprint(bed.Place(place), i), Ways: beds.In(bed.Place(place)), Thickness: 44 + float64(i*i%7)/20, Face: level(false)}
			switch {
			case i == 0 && bed.Place(place) == bed.Head:
				p.Face = waved(head)
			case i == 0 && bed.Place(place) == bed.Centre:
				p.Face = waved(centre)
			}
			q.Pieces = append(q.Pieces, p)
		}
	}
	return q
}

// TestManyPiecesFreeWhatPlanningAgainDoes: of so many pieces a set of what is left over is looked for before all are planned anew. Whether there is one, whether only other
// sets make it possible, or whether there is none: what a change frees is what planning with it says.
func TestManyPiecesFreeWhatPlanningAgainDoes(t *testing.T) {
	for i, c := range []struct {
		what         string
		head, centre float64
		freeing      int // kinds of one more piece that free a set
	}{
		{"what is left over makes a set", 0, 0, 2},
		{"the head that is left over stands beside no centre", 0.2, 0, 0},
		{"the head that is left over stands beside one centre, which other pieces can spare", 0.2, 0.1, 2},
	} {
		if testing.Short() && i > 0 { // the race detector makes it long, and the work is shared out in one as in the others
			break
		}
		q := manyPieces(c.head, c.centre)
		racks, p := matched(t, q)
		if len(p.Sets) != 27 {
			t.Fatalf("%s: %d sets", c.what, len(p.Sets))
		}
		found, err := racks.Free(p, sets.Freeing{CleanUp: 0.1, Most: 100, Chain: 1})
		if err != nil {
			t.Fatal(err)
		}
		freeing := 0
		for change, now := range alone(q, p, 0.1) {
			if change.Act != sets.OneMore {
				continue
			}
			_, again := matched(t, now)
			at := slices.IndexFunc(found, func(f sets.Freed) bool { return f.Changes[0] == change })
			if more := len(again.Sets) - len(p.Sets); more > 0 != (at >= 0) {
				t.Errorf("%s: %+v frees %d, and is told so %v", c.what, change, more, at >= 0)
				continue
			}
			if at < 0 {
				continue
			}
			freeing++
			if f := found[at]; f.More != 1 || !f.Proven || p.Cost+f.Cost < again.Bound-1e-9 {
				t.Errorf("%s: %+v; planned again %d sets for %v", c.what, f, len(again.Sets), again.Cost)
			}
		}
		if freeing != c.freeing {
			t.Errorf("%s: %d kinds of one more piece free a set, want %d", c.what, freeing, c.freeing)
		}
	}
}

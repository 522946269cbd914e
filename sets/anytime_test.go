package sets_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"slatewright/bed"
	"slatewright/sets"
	"slatewright/sets/beds"
)

// thick is a stock of pieces without faces: thickness with a standard deviation of 0.1 mm, three layers, any place.
func thick(seed uint64, n int, size string) (list []sets.Piece) {
	r := rand.New(rand.NewPCG(seed, 10))
	for i := range n {
		list = append(list, sets.Piece{ID: fmt.Sprint(size, i), Ways: beds.AnyWay(), Thickness: 44.4 + 0.1*r.NormFloat64(), Layer: string(rune('a' + r.IntN(3))), Size: size})
	}
	return list
}

func plain(pieces []sets.Piece) sets.Question {
	return sets.Question{Pieces: pieces, Spec: bed.NineFoot(), Classes: []sets.Class{{Name: "all", Limits: bed.NineFoot().Limits}}, Weights: sets.DefaultWeights()}
}

func match(t *testing.T, q sets.Question) sets.Plan {
	t.Helper()
	p, err := sets.Match(q)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// TestStopsOnceAPlanStands: a search that must stop at once has a plan for every size; going on from it is never worse, and ends where an undisturbed
// search ends.
func TestStopsOnceAPlanStands(t *testing.T) {
	q := plain(append(thick(1, 45, "9 ft"), thick(2, 24, "8 ft")...))
	q.Gap = 0.005
	asked, told := 0, map[string]int{}
	q.Stop = func() bool { asked++; return true }
	q.Tell = func(p sets.Progress) {
		told[p.Size]++
		if p.Bound > p.Cost+1e-9 || p.Sets < 0 || p.Sets > 23 {
			t.Errorf("%+v", p)
		}
	}
	first := match(t, q)
	if len(first.Sets) != 23 || first.Bound > first.Cost || asked == 0 || told["9 ft"] == 0 || told["8 ft"] == 0 {
		t.Fatalf("%d sets for %v (bound %v), asked %d, told %v", len(first.Sets), first.Cost, first.Bound, asked, told)
	}
	if first.Gap > q.Gap && !first.Stopped {
		t.Errorf("gap %v, and it does not say that it was stopped", first.Gap)
	}
	q.Stop = nil
	for _, s := range first.Sets {
		q.Start = append(q.Start, s.Pieces)
	}
	then := match(t, q)
	if then.Cost > first.Cost+1e-9 || then.Gap > q.Gap+1e-9 || then.Stopped || !then.SetsProven {
		t.Errorf("%v (gap %v) after %v", then.Cost, then.Gap, first.Cost)
	}
}

// TestSameInputSameAnswer: twice the same, whatever order its parts are searched in.
func TestSameInputSameAnswer(t *testing.T) {
	q := plain(append(thick(3, 24, "9 ft"), thick(4, 15, "8 ft")...))
	first, second := match(t, q), match(t, q)
	if a, b := fmt.Sprintf("%+v", first), fmt.Sprintf("%+v", second); a != b {
		t.Errorf("%s\n%s", a, b)
	}
}

// TestSizesNeverMix: and every size is as if the other were not there.
func TestSizesNeverMix(t *testing.T) {
	nine, eight := thick(5, 14, "9 ft"), thick(6, 11, "8 ft")
	q := plain(append(slices.Clone(nine), eight...))
	q.Orders = []sets.Order{{ID: "O1", Size: "8 ft", Sets: 5}, {ID: "O2", Size: "9 ft", Sets: 2}, {ID: "O3", Size: "7 ft", Sets: 1}}
	p := match(t, q)
	for _, s := range p.Sets {
		for _, i := range s.Pieces {
			if q.Pieces[i].Size != q.Pieces[s.Pieces[0]].Size || s.Order >= 0 && q.Orders[s.Order].Size != q.Pieces[i].Size {
				t.Fatalf("%+v", s)
			}
		}
	}
	if got := match(t, plain(nine)).Cost + match(t, plain(eight)).Cost; math.Abs(got-p.Cost) > 1e-9 {
		t.Errorf("%v, size by size %v", p.Cost, got)
	}
	want := []sets.Short{{Order: 0, Wanted: 5, Given: 3, Proven: true}, {Order: 2, Wanted: 1, Given: 0, Proven: true}}
	if !slices.Equal(p.Short, want) {
		t.Errorf("%+v", p.Short)
	}
	if !slices.Contains(p.Warnings, `O3: there is no piece of the size "7 ft"`) {
		t.Errorf("%q", p.Warnings)
	}
	q.Orders[0].Size = ""
	if _, err := sets.Match(q); err == nil {
		t.Error("an order without a size was met from two sizes")
	}
}

// TestFewChange: a piece that is lost parts its own set and no other where changes are dear; where they cost little, what changes pays for it.
func TestFewChange(t *testing.T) {
	q := plain(thick(7, 24, ""))
	before := match(t, q)
	for _, s := range before.Sets {
		q.Before = append(q.Before, s.Pieces)
	}
	if again := match(t, q); fmt.Sprint(again.Sets) == fmt.Sprint(before.Sets) {
		t.Error("a set that was in the plan before is not marked")
	} else if kept(again) != 8 {
		t.Errorf("%d of 8 sets are kept though nothing changed", kept(again))
	}
	lost := before.Sets[3].Pieces[1]
	q.Pieces[lost].NotReady = "it broke"
	free := q
	free.Before = nil
	best := match(t, free)
	q.Weights.Change = 50
	if p := match(t, q); kept(p) != 7 || len(p.Sets) != 7 {
		t.Errorf("%d sets, %d kept", len(p.Sets), kept(p))
	}
	for _, change := range []float64{0.01, 0.05, 0.2} {
		q.Weights.Change = change
		p := match(t, q)
		among := 0 // of the plan of the least cost, the sets that were there before
		for _, s := range best.Sets {
			if slices.ContainsFunc(before.Sets, func(b sets.Set) bool { return sameThree(b.Pieces, s.Pieces) }) {
				among++
			}
		}
		if p.Cost+change*float64(7-kept(p)) > best.Cost+change*float64(7-among)+1e-9 || p.Cost < best.Cost-1e-9 {
			t.Errorf("change %v: cost %v with %d kept; the best costs %v with %d", change, p.Cost, kept(p), best.Cost, among)
		}
		if p.Bound > best.Cost+1e-9 || p.Bound < best.Cost-1e-6 {
			t.Errorf("change %v: bound %v, and the best costs %v", change, p.Bound, best.Cost)
		}
	}
	q.Pieces[lost].NotReady = ""
	more := thick(8, 1, "")
	q.Pieces = append(q.Pieces, more[0])
	q.Weights.Change = 50
	if p := match(t, q); kept(p) != 8 {
		t.Errorf("one more piece changes %d sets", 8-kept(p))
	}
}

func kept(p sets.Plan) (n int) {
	for _, s := range p.Sets {
		if s.Kept {
			n++
		}
	}
	return n
}

func sameThree(a, b [3]int) bool {
	slices.Sort(a[:])
	slices.Sort(b[:])
	return a == b
}

// TestFaultyFacesAreRefused: one face that cannot be used keeps nobody else from being matched.
func TestFaultyFacesAreRefused(t *testing.T) {
	q := plain(nil)
	q.Spec = small()
	for i := range 7 {
		f := dished(0.01*float64(i), 0, 0, func() float64 { return 0 })
		q.Pieces = append(q.Pieces, sets.Piece{ID: fmt.Sprint("P", i), Ways: beds.AnyWay(), Face: f, Thickness: math.NaN()})
	}
	q.Pieces[4].Face.SizeX = 0
	q.Pieces[5].Ways = 0
	p := match(t, q)
	if len(p.Sets) != 1 || len(p.Unused) != 4 {
		t.Fatalf("%d sets, %+v", len(p.Sets), p.Unused)
	}
	why := map[int]string{}
	for _, l := range p.Unused {
		why[l.Index] = l.Why
	}
	if why[4] == "" || why[5] != "it may lie in no place of a bed" || why[4] == why[5] {
		t.Errorf("%v", why)
	}
}

package sets_test

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/seating"
	"slatewright/sets"
	"slatewright/sets/beds"
)

// level is a flat face, read where an imagined one is: at 5 by 9 places of the face, and at 9 along both joints half as far from the arris as may be.
func level(fixed bool) *face.Face {
	f := &face.Face{Header: face.Header{Name: "flat", SizeX: 900, SizeY: 1400, Side: face.Top, TurnFixed: fixed}}
	for j := range 9 {
		y := 175 * float64(j-4)
		for i := range 5 {
			f.X, f.Y, f.Z, f.Row = append(f.X, 225*float64(i-2)), append(f.Y, y), append(f.Z, 0), append(f.Row, face.NoRow)
		}
		f.X, f.Y, f.Z, f.Row = append(f.X, -442.5, 442.5), append(f.Y, y, y), append(f.Z, 0, 0), append(f.Row, face.JointMinus, face.JointPlus)
	}
	return f
}

// alone lists every change of one piece, with the question as it is then.
func alone(q sets.Question, p sets.Plan, cleanUp float64) map[sets.Change]sets.Question {
	list := map[sets.Change]sets.Question{}
	faced := slices.ContainsFunc(q.Pieces, func(p sets.Piece) bool { return p.NotReady == "" && p.Face != nil })
	words := []string{"head", "centre", "foot"}
	ways := map[string]beds.Ways{"any": beds.AnyWay(), "head": beds.In(bed.Head), "centre": beds.In(bed.Centre), "foot": beds.In(bed.Foot)}
	change := func(c sets.Change, piece sets.Piece) {
		now := q
		now.Pieces = slices.Clone(q.Pieces)
		if c.Piece < 0 {
			now.Pieces = append(now.Pieces, piece)
		} else {
			now.Pieces[c.Piece] = piece
		}
		list[c] = now
	}
	for _, l := range p.Unused {
		piece := q.Pieces[l.Index]
		if slices.ContainsFunc(q.Together, func(g []int) bool { return slices.Contains(g, l.Index) }) {
			continue
		}
		if piece.Face != nil {
			ground := piece
			ground.NotReady, ground.Face = "", level(piece.Face.TurnFixed)
			ready, _ := seating.NewReady(piece.Face, q.Spec)
			zone, _, _ := ready.Zone()
			ground.Thickness -= zone + cleanUp
			change(sets.Change{Act: sets.Regrind, Piece: l.Index}, ground)
		}
		for place, word := range words {
			if piece.NotReady == "" && !piece.Ways.Stands(bed.Place(place)) {
				cut := piece
				cut.Ways = ways[word]
				change(sets.Change{Act: sets.Recut, Piece: l.Index, Place: word}, cut)
			}
		}
	}
	var thick []float64
	count := map[string]int{}
	most := sets.Piece{}
	for _, piece := range q.Pieces {
		if piece.NotReady != "" {
			continue
		}
		if !math.IsNaN(piece.Thickness) {
			thick = append(thick, piece.Thickness)
		}
		count["layer"+piece.Layer]++
		count["batch"+piece.Batch]++
	}
	for _, piece := range q.Pieces {
		if piece.NotReady == "" {
			if count["layer"+piece.Layer] > count["layer"+most.Layer] || most.ID == "" {
				most.Layer = piece.Layer
			}
			if count["batch"+piece.Batch] > count["batch"+most.Batch] || most.ID == "" {
				most.Batch = piece.Batch
			}
			most.ID = "more"
		}
	}
	most.Thickness = math.NaN()
	if slices.Sort(thick); len(thick) > 0 {
		most.Thickness = thick[len(thick)/2]
	}
	if faced {
		most.Face = level(false)
	}
	anywhere := !slices.ContainsFunc(q.Pieces, func(p sets.Piece) bool { return p.NotReady == "" && !anyPlace(p.Ways) })
	for word, w := range ways {
		if anywhere && word != "any" {
			continue
		}
		most.Ways = w
		change(sets.Change{Act: sets.OneMore, Piece: -1, Place: word}, most)
	}
	return list
}

func anyPlace(w beds.Ways) bool {
	return w.Stands(bed.Head) && w.Stands(bed.Centre) && w.Stands(bed.Foot)
}

// TestFreeAgainstPlanningAgain: every change is planned again by trying everything.
func TestFreeAgainstPlanningAgain(t *testing.T) {
	freed, not := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		faces := rapid.IntRange(0, 7).Draw(t, "faces") == 7
		q := drawn(t, map[bool]int{true: 4, false: 6}[faces], faces)
		if len(q.Pieces) == 0 {
			return
		}
		decided(t, &q)
		q.Weights.Age, q.Weights.Change = 0, 0 // a change of the stock changes what is oldest
		racks, p := matched(t, q)
		told := 0
		found, err := racks.Free(p, sets.Freeing{CleanUp: 0.1, Most: 1000, Chain: 1, Tell: func(done, of int) { told = done }})
		if err != nil {
			t.Fatal(err)
		}
		changes := alone(q, p, 0.1)
		if told != len(changes) {
			t.Fatalf("%d changes were tried of %d", told, len(changes))
		}
		orders := 0
		for _, s := range p.Sets {
			if s.Order >= 0 {
				orders++
			}
		}
		for c, now := range changes {
			best := plans(now)
			more, forOrders := len(best.sets)-len(p.Sets), -orders
			for _, n := range best.numbers[:len(q.Orders)] {
				forOrders += n
			}
			at := slices.IndexFunc(found, func(f sets.Freed) bool { return f.Changes[0] == c })
			if frees := more > 0 || more == 0 && forOrders > 0; frees != (at >= 0) {
				t.Fatalf("%+v frees %d, %d for orders, and is told so %v", c, more, forOrders, at >= 0)
			}
			if at < 0 {
				not++
				continue
			}
			freed++
			f := found[at]
			cost := f.Cost + p.Cost
			if f.More != more || f.Orders != forOrders || cost < best.cost-1e-7 || !f.Proven || more > 1 || len(q.Together) == 0 && cost > best.cost*1.0101+1e-7 {
				t.Fatalf("%+v: %+v for %v in all; want %d more, %d for orders, for %v", c, f, cost, more, forOrders, best.cost)
			}
		}
		if !slices.IsSortedFunc(found, func(a, b sets.Freed) int { return cmp.Or(b.More-a.More, b.Orders-a.Orders) }) {
			t.Fatal("what frees most does not come first")
		}
	})
	if freed == 0 || not == 0 {
		t.Errorf("%d changes freed sets, %d did not", freed, not)
	}
}

// counted is a stock without faces: so many heads, centres and feet.
func counted(heads, centres, feet int) sets.Question {
	q := sets.Question{Spec: small(), Classes: []sets.Class{{Limits: small().Limits}}, Weights: sets.DefaultWeights()}
	for place, n := range []int{heads, centres, feet} {
		for i := range n {
			q.Pieces = append(q.Pieces, sets.Piece{ID: fmt.Sprint(bed.Place(place), i), Ways: beds.In(bed.Place(place)), Thickness: 44 + float64(i*i%7)/20})
		}
	}
	return q
}

// TestTwoMoreSets: which pieces free two more sets, one after the other or only together. Counting tells.
func TestTwoMoreSets(t *testing.T) {
	for _, c := range []struct {
		heads, centres, feet, chain int
		most, changes               int
	}{
		{5, 3, 5, 1, 1, 1}, // one more centre
		{5, 3, 5, 2, 2, 2}, // two more, or two of the heads and feet cut as centres
		{7, 3, 5, 2, 2, 2},
		{7, 3, 3, 2, 1, 2}, // one of each, and only together
		{9, 3, 3, 4, 2, 4}, // two of each: two together, and two more
		{6, 0, 0, 4, 2, 4}, // nothing stands there but heads
		{6, 0, 0, 3, 1, 2},
		{3, 3, 3, 2, 0, 0}, // two make no set
		{3, 3, 3, 6, 0, 0}, // three new pieces make one, which tells nothing
		{4, 3, 3, 4, 1, 2}, // one of each of the others
		{5, 5, 3, 4, 2, 2},
		{40, 30, 40, 4, 2, 2}, // so many that they are not planned anew for each change
	} {
		q := counted(c.heads, c.centres, c.feet)
		racks, p := matched(t, q)
		found, err := racks.Free(p, sets.Freeing{Most: 1, Chain: c.chain, Sets: 2})
		if err != nil {
			t.Fatal(err)
		}
		if c.most == 0 {
			if len(found) != 0 {
				t.Errorf("%+v: %+v", c, found)
			}
			continue
		}
		if len(found) != 1 || found[0].More != c.most || len(found[0].Changes) != c.changes {
			t.Errorf("%+v: %+v", c, found)
		}
	}
}

// TestFreedBesideNewStone: where one piece has to be ground again and one bought for a set, that is said before two that are bought.
func TestFreedBesideNewStone(t *testing.T) {
	q := counted(1, 1, 1)
	bent := level(false)
	for i := range bent.Z {
		bent.Z[i] = 3 * float64(i%3)
	}
	bad := q.Pieces[0]
	bad.ID, bad.Ways, bad.Face = "bad", beds.AnyWay(), bent
	spare := q.Pieces[1]
	spare.ID, spare.Ways = "spare", beds.AnyWay()
	q.Pieces = append(q.Pieces, bad, spare)
	racks, p := matched(t, q)
	found, err := racks.Free(p, sets.Freeing{Most: 9, Chain: 2, Sets: 2, Zone: 0.01})
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Sets) != 1 || len(found) < 2 || found[0].More != 1 || !slices.ContainsFunc(found[0].Changes, func(c sets.Change) bool { return c.Act == sets.Regrind && c.Piece == 3 }) ||
		!slices.ContainsFunc(found[0].Changes, func(c sets.Change) bool { return c.Act == sets.OneMore }) {
		t.Errorf("%d sets: %+v", len(p.Sets), found)
	}
	for n, f := range found { // with one new piece beside it, or with two instead of it: for whatever places, that is said once
		if n > 1 || f.Changes[0].Act == sets.OneMore == (n == 0) {
			t.Errorf("answer %d: %+v", n, f)
		}
	}
}

// TestTooThinToGrind: a piece that would be too thin is not ground again, and that is said.
func TestTooThinToGrind(t *testing.T) {
	for least, want := range map[float64]string{0: "", 38: "", 40: "1 piece left over would be too thin when ground again", 50: ""} { // at 50 it is too thin already: of whatever that is the thickness
		q := counted(1, 1, 0)
		p := sets.Piece{ID: "bad", Ways: beds.AnyWay(), Thickness: 44, Face: level(false), Least: least}
		p.Face.Z[0] = 5
		q.Pieces = append(q.Pieces, p)
		racks, plan := matched(t, q)
		said := ""
		found, err := racks.Free(plan, sets.Freeing{Most: 9, Chain: 1, Zone: 0.01, Note: func(s string) { said += s }})
		if err != nil {
			t.Fatal(err)
		}
		ground := slices.ContainsFunc(found, func(f sets.Freed) bool { return f.Changes[0].Act == sets.Regrind })
		if said != want || ground != (want == "") {
			t.Errorf("at least %v: %q, %+v", least, said, found)
		}
	}
}

// TestFreedOfBadPiecesOnly: three pieces none of which can be in a set are one when all are ground again, however many sets stand already.
func TestFreedOfBadPiecesOnly(t *testing.T) {
	q := counted(0, 0, 0)
	for i := range 9 {
		p := sets.Piece{ID: fmt.Sprint(i), Ways: beds.AnyWay(), Thickness: 44, Face: level(false)}
		if i%3 == 0 {
			p.Face.Z[0] = 5
		}
		q.Pieces = append(q.Pieces, p)
	}
	racks, p := matched(t, q)
	found, err := racks.Free(p, sets.Freeing{Most: 9, Chain: 4, Sets: 2, Zone: 0.01})
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Sets) != 2 || len(found) == 0 || found[0].More != 1 || len(found[0].Changes) != 3 || slices.ContainsFunc(found[0].Changes, func(c sets.Change) bool { return c.Act != sets.Regrind }) {
		t.Errorf("%d sets: %+v", len(p.Sets), found)
	}
}

// TestFreedTwiceBesideNewStone: two pieces that are ground again and two new ones are two sets with two that are left over; fewer new ones are not enough.
func TestFreedTwiceBesideNewStone(t *testing.T) {
	q := counted(0, 0, 0)
	for i := range 4 {
		p := sets.Piece{ID: fmt.Sprint(i), Ways: beds.AnyWay(), Thickness: 44, Face: level(false)}
		if i == 3 || i == 2 {
			p.Face.Z[0] = 5
		}
		q.Pieces = append(q.Pieces, p)
	}
	racks, p := matched(t, q)
	found, err := racks.Free(p, sets.Freeing{Most: 9, Chain: 4, Sets: 2, Zone: 0.01})
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Sets) != 0 || len(found) == 0 || found[0].More != 2 || len(found[0].Changes) != 4 || found[0].Changes[1].Act != sets.Regrind || found[0].Changes[2].Act != sets.OneMore {
		t.Errorf("%d sets: %+v", len(p.Sets), found)
	}
}

// TestFreeStops: what was found before it had to stop is the answer.
func TestFreeStops(t *testing.T) {
	q := counted(5, 3, 5)
	racks, p := matched(t, q)
	tried := 0
	found, err := racks.Free(p, sets.Freeing{Most: 9, Chain: 2, Sets: 2, Stop: func() bool { return tried >= 3 }, Tell: func(done, of int) { tried = done }})
	if err != nil || tried != 3 || len(found) != 2 { // any, head, centre: the first and the last free a set
		t.Errorf("%d tried, %+v, %v", tried, found, err)
	}
}

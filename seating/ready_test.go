package seating_test

import (
	"testing"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/flatness"
	"slatewright/seating"
)

// ready makes the faces of a question ready.
func ready(t *testing.T, q seating.Question) (list [3]*seating.Ready) {
	t.Helper()
	for k, f := range q.Faces {
		r, err := seating.NewReady(f, q.Spec)
		if err != nil {
			t.Fatal(err)
		}
		list[k] = r
	}
	return list
}

// TestReadyPiecesAreSeatedAsSeatDoes lays ready pieces in the turns that Seat chose.
func TestReadyPiecesAreSeatedAsSeatDoes(t *testing.T) {
	met := map[bool]int{}
	for seed := range uint64(20) {
		q := random(seed, 5, 7)
		q.MaxStep = 0.06
		want := seat(t, q)
		met[want.Feasible]++
		pieces := ready(t, q)
		var turned [3]bool
		for place, p := range want.Pieces {
			turned[place] = p.Turned
		}
		got, err := seating.LayReady(pieces, turned, q.MaxStep, true)
		if err != nil {
			t.Fatal(err)
		}
		if got.Feasible != want.Feasible {
			t.Fatalf("seed %d: feasible %v, want %v", seed, got.Feasible, want.Feasible)
		}
		if !got.Feasible {
			continue
		}
		near(t, "zone", got.Figures.Zone, want.Zone, 1e-12)
		near(t, "wished zone", got.Zone, want.ZoneBound, seating.Hold)
		near(t, "lengthwise", got.Lengthwise, want.Lengthwise.Value, 1e-12)
		near(t, "across", got.Across, want.Across.Value, 1e-12)
		for j := range 2 {
			near(t, "step", got.Steps[j], want.Joints[j].Largest, 1e-12)
		}
		near(t, "wished step", got.Step, max(got.Steps[0], got.Steps[1]), 3*seating.Hold)
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
	if met[true] < 5 {
		t.Errorf("too few of a kind: %v", met)
	}
}

// TestReadyPieceAlone holds its zone against the minimum zone of package flatness (the vertical zone is wider by the tilt of a level piece alone), its
// moves against that zone, and its straightness against the bed's.
func TestReadyPieceAlone(t *testing.T) {
	for seed := range uint64(10) {
		q := random(seed, 6, 9)
		for k, r := range ready(t, q) {
			x, y, z := r.Readings()
			zone, moves, err := r.Zone()
			if err != nil {
				t.Fatal(err)
			}
			least, err := flatness.ZoneValue(flatness.Points{X: x, Y: y, Z: z})
			if err != nil {
				t.Fatal(err)
			}
			near(t, "zone", zone, least, 1e-7)
			low, high := 0.0, 0.0
			for i := range z {
				h := z[i] + moves[0] + moves[1]*x[i] + moves[2]*y[i]
				low, high = min(low, h), max(high, h)
			}
			near(t, "highest", high, zone/2, 1e-12)
			near(t, "lowest", low, -zone/2, 1e-12)
			along, across, err := r.Lines()
			if err != nil || along.Lines != 9 || across.Lines != 6 || !(along.Value <= zone+1e-9) || !(across.Value <= zone+1e-9) {
				t.Errorf("%v: along %v, across %v, zone %v", err, along, across, zone)
			}
			if sx, sy := r.Size(); sx != sizeX || sy != sizeY || r.TurnFixed() || r.Name() != q.Faces[k].Name {
				t.Errorf("%s is %g x %g", r.Name(), sx, sy)
			}
			for _, plus := range []bool{false, true} {
				if e := r.Edge(plus); len(e.Y) != 9 || (e.X[0] > 0) != plus || !(e.Y[0] < e.Y[8]) || len(e.Z) != 9 {
					t.Errorf("edge %v: %+v", plus, e)
				}
			}
		}
	}
}

func TestReadyNeedsAFace(t *testing.T) {
	if _, err := seating.NewReady(nil, bed.NineFoot()); err == nil {
		t.Error("no face, no error")
	}
	if _, err := seating.NewReady(&face.Face{Header: face.Header{Name: "bare"}}, bed.NineFoot()); err == nil {
		t.Error("no size, no error")
	}
}

package halfyear

import (
	"encoding/json"
	"slices"
	"testing"
	"time"

	"slatewright/face"
	"slatewright/internal/book"
	"slatewright/internal/rehearsal"
)

// acts lists the acts of one kind, with their entries.
func acts[T any](t *testing.T, word string) (entries []book.Entry, bodies []T) {
	t.Helper()
	for x := range theDemo(t).Submissions() {
		if x.Entry.Act == word {
			var body T
			if err := json.Unmarshal(x.Entry.Body, &body); err != nil {
				t.Fatal(err)
			}
			entries, bodies = append(entries, x.Entry), append(bodies, body)
		}
	}
	if len(entries) == 0 {
		t.Fatalf("nobody does %s", word)
	}
	return entries, bodies
}

func stateOf[T any](t *testing.T, kind book.Kind, id string) *T {
	t.Helper()
	thing, found := theShelf(t).things[ref(kind, id)]
	if !found {
		t.Fatalf("no %s %s", kind, id)
	}
	state, err := book.StateOf(thing)
	if err != nil {
		t.Fatal(err)
	}
	return state.(*T)
}

// One piece lost its number at the surfacing machine; one person searched, another marked it, and it went on with its number.
func TestTheLostNumber(t *testing.T) {
	marks, mark := acts[book.Mark](t, "mark")
	if len(mark) != 1 || mark[0].SearchedBy == "" || mark[0].SearchedBy == marks[0].Person {
		t.Fatalf("marked again: %+v by %s", mark, marks[0].Person)
	}
	passes, surfaced := acts[book.Surfaced](t, "surface")
	lost := 0
	for i, a := range surfaced {
		if a.MarkNow == book.Nowhere {
			lost++
			if a.Piece != mark[0].Piece || !passes[i].At.Before(marks[0].At) {
				t.Errorf("%s lost its number at %v, and %s was marked", a.Piece, passes[i].At, mark[0].Piece)
			}
		}
	}
	if now := stateOf[book.PieceState](t, book.KindPiece, mark[0].Piece).MarkedOn; lost != 1 || now == book.Nowhere || now == "" {
		t.Errorf("%d numbers were lost; it now stands at %q", lost, now)
	}
}

// A thickness was typed for the wrong piece: the entry is struck, and the right piece has the reading.
func TestTheCorrection(t *testing.T) {
	_, corrected := acts[book.Correct](t, "correct")
	if len(corrected) != 1 {
		t.Fatalf("%d corrections", len(corrected))
	}
	var right book.Read
	if err := json.Unmarshal(corrected[0].Body, &right); err != nil {
		t.Fatal(err)
	}
	wrong, found, err := theShelf(t).Entry(corrected[0].Entry)
	if err != nil || !found || wrong.Standing.State != book.Struck {
		t.Fatalf("the entry that was corrected stands as %+v (%v)", wrong.Standing, err)
	}
	var typed book.Read
	if err := json.Unmarshal(wrong.Body, &typed); err != nil || typed.Thing == right.Thing || *typed.Value != *right.Value {
		t.Errorf("typed was %+v, right is %+v (%v)", typed, right, err)
	}
	for id, want := range map[string]int{typed.Thing.ID: 1, right.Thing.ID: 1} {
		thick := 0
		for _, r := range stateOf[book.PieceState](t, book.KindPiece, id).Readings {
			if r.What == "thickness" {
				thick++
			}
		}
		if thick != want {
			t.Errorf("%s has %d readings of its thickness", id, thick)
		}
	}
}

// The tablet of the quarry brought a survey, which fits in at its time, and a rejection, which does not: the block was sawn meanwhile.
func TestTheTabletThatCameLate(t *testing.T) {
	s := theShelf(t)
	if len(s.conflicts) != 1 {
		t.Fatalf("in conflict: %v", s.conflicts)
	}
	var rejected book.Reject
	if err := json.Unmarshal(s.conflicts[0].Body, &rejected); err != nil {
		t.Fatal(err)
	}
	block := stateOf[book.BlockState](t, book.KindBlock, rejected.Thing.ID)
	list, err := s.History(rejected.Thing)
	if err != nil || !block.UsedUp || block.Rejected != "" {
		t.Errorf("the block is %+v (%v)", block, err)
	}
	var did []string
	for _, p := range list {
		if p.Part == book.Changes {
			did = append(did, p.Act)
		}
	}
	if want := []string{"lift", "survey", "weigh", "slice"}; !slices.Equal(did, want) {
		t.Errorf("its history is %v, want %v", did, want)
	}
}

// A set was parted after its centre piece chipped: that piece is cut for a smaller bed, and the other two make the next set.
func TestThePartedSet(t *testing.T) {
	_, parts := acts[book.PartSet](t, "part-set")
	old := stateOf[book.SetState](t, book.KindSet, parts[0].Set)
	if centre := stateOf[book.PieceState](t, book.KindPiece, old.Pieces[1]); centre.Size != "8 ft" || centre.Set != "" || centre.Repairs != 1 {
		t.Errorf("the centre piece is %+v", centre)
	}
	head, foot := stateOf[book.PieceState](t, book.KindPiece, old.Pieces[0]), stateOf[book.PieceState](t, book.KindPiece, old.Pieces[2])
	if head.Set == "" || head.Set != foot.Set || head.Set == parts[0].Set {
		t.Errorf("the other two are in %q and %q", head.Set, foot.Set)
	}
}

// The lead releases one set's pieces early, with a reason; all others stay their days.
func TestTheReleasedSet(t *testing.T) {
	entered := map[string]time.Time{}
	entries, rooms := acts[book.EnterRoom](t, "enter-room")
	for i, a := range rooms {
		entered[a.Piece] = entries[i].At
	}
	released := 0
	entries, leaves := acts[book.LeaveRoom](t, "leave-room")
	for i, a := range leaves {
		days := entries[i].At.Sub(entered[a.Piece]).Hours() / 24
		if a.Released != "" {
			released++
		}
		if (days < 30) != (a.Released != "") || a.Released != "" && entries[i].Person != lead.name {
			t.Errorf("%s left after %.1f days, released by %s: %q", a.Piece, days, entries[i].Person, a.Released)
		}
	}
	if released != 3 {
		t.Errorf("%d pieces were released", released)
	}
}

// A face that is turned twice is the face as it was; turned once, each place has the height of the place across the middle, and what was read
// along one joint stands at the other.
func TestTurned(t *testing.T) {
	m := rehearsal.Open(3)
	f := m.Readings(m.Take("QH-1001", "QH-L1"))
	once := turned(f)
	if twice := turned(once); !slices.Equal(twice.X, f.X) || !slices.Equal(twice.Y, f.Y) || !slices.Equal(twice.Row, f.Row) || !slices.Equal(twice.Thickness, f.Thickness) {
		t.Error("two half turns are not none")
	}
	for i := range f.X {
		if once.X[i] != -f.X[i] || once.Y[i] != -f.Y[i] || once.Z[i] != f.Z[i] || (once.Row[i] == face.NoRow) != (f.Row[i] == face.NoRow) {
			t.Fatalf("reading %d went from %v, %v to %v, %v", i, f.X[i], f.Y[i], once.X[i], once.Y[i])
		}
		if once.Row[i] == face.JointPlus && once.X[i] < 0 || once.Row[i] == face.JointMinus && once.X[i] > 0 {
			t.Fatalf("reading %d at x = %v is in the row of the other joint", i, once.X[i])
		}
	}
	if once.Thickness[0].X != -f.Thickness[0].X || once.Thickness[0].T != f.Thickness[0].T {
		t.Error("thickness was not turned along")
	}
}

// A batch is used when it has lain for a week, and the newest of those.
func TestLatestBatch(t *testing.T) {
	m := &mill{from: time.Date(2026, time.May, 25, 0, 0, 0, 0, time.UTC)}
	for day, want := range map[int]string{0: "MB-1", 60: "MB-1", 67: "MB-1", 68: "MB-2", 127: "MB-2", 128: "MB-3", 180: "MB-3"} {
		if got := m.latest(boards, m.day(day)); got != want {
			t.Errorf("on day %d it is %s, want %s", day, got, want)
		}
	}
}

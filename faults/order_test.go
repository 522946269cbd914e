package faults_test

import (
	"bytes"
	"context"
	"fmt"
	"testing"
	"time"

	"slatewright/chance"
	"slatewright/internal/book"
)

// way is the acts that one sender makes with one piece, each possible only after the one before.
func way(sender int) []book.Submission {
	id := fmt.Sprintf("T-%d", sender)
	acts := []book.Act{
		&book.TakeIn{Thing: book.Ref{Kind: book.KindPiece, ID: id}, Stone: &book.StoneFacts{LengthMM: 1473, WidthMM: 914, ThicknessMM: 27}},
		&book.Mark{Piece: id, On: book.OnTop},
		&book.Surfaced{Piece: id, Machine: "M-1", Face: "bottom", Stage: "rough", DepthMM: 0.4},
		&book.Surfaced{Piece: id, Machine: "M-1", Face: "top", Stage: "fine", DepthMM: 0.1, MarkNow: book.OnEdge},
		&book.Weigh{Thing: book.Ref{Kind: book.KindPiece, ID: id}, Scale: "SCALE-1", MassKg: 95},
		&book.Read{Thing: book.Ref{Kind: book.KindPiece, ID: id}, What: "thickness", Instruments: []string{"CALIPER-1"}, Value: new(26.4), Unit: "mm"},
	}
	list := make([]book.Submission, len(acts))
	for i, a := range acts {
		at := dawn.Add(time.Duration(i+1) * time.Hour)
		list[i] = entry(idOf(100+sender, i+1), at, "hand-1", a)
		list[i].Late = true
	}
	return list
}

// A tablet that comes back late, sends in another order and sends twice leaves the same book as one that sent in order.
func TestLateRepeatedAndReordered(t *testing.T) {
	ctx := context.Background()
	draw := chance.NewStream(3).Split("order")
	want := map[string][]byte{}
	for round := range 8 {
		where := t.TempDir()
		found(t, where)
		l := open(t, where)
		for s := range 3 {
			list := way(s)
			if round > 0 {
				for i := range list {
					j := draw.IntN(i + 1)
					list[i], list[j] = list[j], list[i]
				}
				list = append(list, list[draw.IntN(len(list))], list[draw.IntN(len(list))])
			}
			for _, x := range list {
				if _, err := l.Append(ctx, x); err != nil {
					t.Fatalf("%s: %v", x.Entry.Act, err)
				}
			}
			thing, err := l.Thing(ctx, book.Ref{Kind: book.KindPiece, ID: fmt.Sprintf("T-%d", s)})
			if err != nil {
				t.Fatal(err)
			}
			switch key := thing.ID; {
			case round == 0:
				want[key] = thing.State
			case !bytes.Equal(want[key], thing.State):
				t.Errorf("round %d, piece %s:\n%s\nin order it was\n%s", round, key, thing.State, want[key])
			}
		}
		if page, err := l.Conflicts(ctx, "", 10); err != nil || len(page.Items) != 0 {
			t.Errorf("round %d: conflicts %+v, %v", round, page.Items, err)
		}
		sound(t, l)
		shut(t, l)
	}
}

// What cannot follow is kept with its reason, until a person resolves it.
func TestConflictIsKeptUntilResolved(t *testing.T) {
	ctx := context.Background()
	where := t.TempDir()
	found(t, where)
	l := open(t, where)
	defer shut(t, l)
	for _, x := range way(0) {
		if _, err := l.Append(ctx, x); err != nil {
			t.Fatal(err)
		}
	}
	reject := entry(idOf(200, 1), dawn.Add(90*time.Minute), "hand-1", &book.Reject{Thing: book.Ref{Kind: book.KindPiece, ID: "T-0"}, Cause: "crack"})
	if _, err := l.Append(ctx, reject); err == nil {
		t.Fatal("a rejection before later work was taken")
	}
	reject.Late = true
	r, err := l.Append(ctx, reject)
	if err != nil || r.Conflict == nil {
		t.Fatalf("a late rejection must be kept as a conflict: %+v, %v", r, err)
	}
	page, err := l.Conflicts(ctx, "", 10)
	if err != nil || len(page.Items) != 1 || page.Items[0].ID != reject.Entry.ID {
		t.Fatalf("conflicts: %+v, %v", page, err)
	}
	strike := entry(idOf(200, 2), dawn.Add(30*time.Hour), "lead-1", &book.Correct{Entry: reject.Entry.ID, Why: "it was another piece"})
	if _, err := l.Append(ctx, strike); err != nil {
		t.Fatal(err)
	}
	if page, err := l.Conflicts(ctx, "", 10); err != nil || len(page.Items) != 0 {
		t.Errorf("after it was struck out: %+v, %v", page.Items, err)
	}
	if e, err := l.Entry(ctx, reject.Entry.ID); err != nil || e.Standing.State != book.Struck {
		t.Errorf("the struck version must be kept: %+v, %v", e.Standing, err)
	}
	sound(t, l)
}

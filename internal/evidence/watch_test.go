package evidence_test

import (
	"context"
	"errors"
	"fmt"
	"testing"

	"slatewright/internal/book"
	"slatewright/internal/evidence"
	"slatewright/trouble"
)

func (b *bench) watch() book.Ledger {
	return evidence.Watch(&b.journal, &b.files, func() bool { return b.demo })
}

func submissions(t *testing.T, person string, acts ...book.Act) (list []book.Submission) {
	t.Helper()
	for i, a := range acts {
		word, body, err := book.Encode(a)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, book.Submission{Entry: book.Entry{ID: fmt.Sprint(person, " ", i), Act: word, Body: body}, Caller: book.Caller{Person: person}})
	}
	return list
}

// good and bad are a reading with its own file, and with that of another piece.
func goodAndBad(t *testing.T, b *bench) (good, bad *book.Read) {
	t.Helper()
	good = &book.Read{Thing: book.Ref{Kind: book.KindPiece, ID: "QH-0401"}, What: "top", Instruments: []string{"DIAL-1"}, Blob: b.keep(csv(t, aFace("QH-0401", 30, 40, 1)))}
	other := *good
	other.Thing.ID = "QH-0402"
	return good, &other
}

func TestWatchedActs(t *testing.T) {
	b := newBench(t)
	w := b.watch()
	good, bad := goodAndBad(t, b)
	one := submissions(t, "hand-1", good, bad, &book.Finish{Piece: "QH-0401"})
	for i, code := range []string{"", "two-pieces", ""} {
		r, err := w.Append(t.Context(), one[i])
		if codeOf(err) != code || (r.Entry.ID == one[i].Entry.ID) != (code == "") {
			t.Errorf("act %d: %+v, %v", i, r, err)
		}
	}
	if len(b.taken) != 2 {
		t.Errorf("%d are taken", len(b.taken))
	}
}

// An entry that the book has is not looked at again: what it names may have changed since, and it is answered as the first time.
func TestWhatIsSentAgainIsNotLookedAt(t *testing.T) {
	b := newBench(t)
	_, bad := goodAndBad(t, b)
	again := submissions(t, "hand-1", bad)
	b.taken = again
	if _, err := b.watch().Append(t.Context(), again[0]); err != nil {
		t.Error(err)
	}
}

// The program's own imports were looked at when they were first taken; what cannot be read as an act is the book's to refuse.
func TestWhatIsNotLookedAt(t *testing.T) {
	b := newBench(t)
	_, bad := goodAndBad(t, b)
	list := submissions(t, "importer", bad, bad)
	list[0].Caller.System = true
	list[1].Entry.Body = []byte(`{"thing":"piece:`)
	for _, s := range list {
		if _, err := b.watch().Append(t.Context(), s); err != nil {
			t.Error(err)
		}
	}
}

// All that is wrong is told at once, by the files and by the book, and then nothing is written.
func TestAllThatIsWrongIsTold(t *testing.T) {
	b := newBench(t)
	w := b.watch()
	good, bad := goodAndBad(t, b)
	list := append(submissions(t, "hand-1", good, bad, good), submissions(t, "refused", good, bad)...)
	receipts, refusals, err := w.AppendAll(t.Context(), list, false)
	if err != nil || receipts != nil || len(b.taken) > 0 || !b.dry {
		t.Errorf("%v, %v, %d taken", receipts, err, len(b.taken))
	}
	for i, code := range []string{"", "two-pieces", "", "not-allowed", "two-pieces"} {
		if codeOf(refusals[i]) != code {
			t.Errorf("act %d: %v, want %q", i, refusals[i], code)
		}
	}
	for _, dry := range []bool{true, false} {
		receipts, refusals, err = w.AppendAll(t.Context(), list[:1], dry)
		if err != nil || len(receipts) != 1 || errors.Join(refusals...) != nil || b.dry != dry || (len(b.taken) == 1) == dry {
			t.Errorf("dry %v: %v, %v, %v, %d taken", dry, receipts, refusals, err, len(b.taken))
		}
	}
}

// A book that cannot be asked is no reason to take an act, nor to call it wrong.
func TestABookThatFails(t *testing.T) {
	b := newBench(t)
	good, _ := goodAndBad(t, b)
	away := trouble.IO("away", "", "the book is away", "wait")
	w := evidence.Watch(failing{&b.journal, away}, &b.files, func() bool { return true })
	list := submissions(t, "hand-1", good)
	if _, err := w.Append(t.Context(), list[0]); !errors.Is(err, away) || len(b.taken) > 0 {
		t.Error(err)
	}
}

type failing struct {
	book.Ledger
	err error
}

func (f failing) Entry(context.Context, string) (book.Placed, error) { return book.Placed{}, f.err }

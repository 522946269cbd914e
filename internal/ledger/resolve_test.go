package ledger

import (
	"context"
	"errors"
	"path/filepath"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/rehearsal/halfyear"
	"slatewright/trouble"
)

// A commit whose answer was lost is settled by asking for what was in it: it is there, it is not, or nobody can tell.
func TestLostAnswerOfACommit(t *testing.T) {
	l, err := Open(t.Context(), filepath.Join(t.TempDir(), "mill"), Options{Site: halfyear.Site, Create: true})
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	var there, lost book.Receipt
	for s := range halfyear.Million(1, 2) {
		if there.Entry.ID == "" {
			if there, err = l.Append(t.Context(), s); err != nil {
				t.Fatal(err)
			}
			continue
		}
		lost.Entry = s.Entry
	}
	cause := errors.Join(errCommit, errors.New("the line went dead"))
	batch := func(last book.Receipt) []*request {
		return []*request{{receipts: []book.Receipt{there, last}, refusals: []error{nil, nil}},
			{receipts: []book.Receipt{{}}, refusals: []error{trouble.Data("no", "", "", "")}}}
	}
	if err := l.writer.resolve(batch(there), cause); err != nil {
		t.Errorf("it was written: %v", err)
	}
	if err := l.writer.resolve(batch(lost), cause); !errors.Is(err, errCommit) {
		t.Errorf("it was not written: %v", err)
	}
	if err := l.handles.Read.Close(); err != nil { // as when the database stays away
		t.Fatal(err)
	}
	began := time.Now()
	err = l.writer.resolve(batch(there), cause)
	var said *trouble.Trouble
	if !errors.As(err, &said) || said.Code != "outcome-unknown" || said.Next == "" {
		t.Errorf("nobody can tell: %v", err)
	}
	if time.Since(began) < resolving {
		t.Error("it was not asked for again")
	}
}

// A caller who stops waiting is let go, and the writer goes on.
func TestCallerStopsWaiting(t *testing.T) {
	l, err := Open(t.Context(), filepath.Join(t.TempDir(), "mill"), Options{Site: halfyear.Site, Create: true})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	for s := range halfyear.Million(1, 1) {
		if _, err := l.Append(ctx, s); !errors.Is(err, context.Canceled) && err != nil {
			t.Errorf("a caller who has gone: %v", err)
		}
		if _, err := l.Append(t.Context(), s); err != nil {
			t.Errorf("the next: %v", err)
		}
		if err := l.Close(); err != nil {
			t.Fatal(err)
		}
		var said *trouble.Trouble
		if _, err := l.Append(t.Context(), s); !errors.As(err, &said) || said.Code != "book-closed" {
			t.Errorf("after the end: %v", err)
		}
	}
}

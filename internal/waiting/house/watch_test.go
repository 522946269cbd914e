package house_test

import (
	"context"
	"errors"
	"slices"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/rehearsal/halfyear"
	"slatewright/internal/waiting/house"
)

// The watcher follows by itself, and tells those who wait.
func TestTheWatcherFollows(t *testing.T) {
	list := told(t)
	l := opened(t, halfyear.Site)
	for _, s := range list[:40] {
		handIn(t, l, nil, s)
	}
	w := followed(t, l)
	old := w.House()
	rows := old.Rows()
	for _, s := range list[40:60] {
		handIn(t, l, nil, s)
	}
	for deadline := time.After(time.Minute); w.Seq() < 60; {
		changed := w.Changed()
		if w.Seq() >= 60 {
			break
		}
		select {
		case <-changed:
		case <-deadline:
			t.Fatalf("the watcher stands at %d: %v", w.Seq(), w.Fault())
		}
	}
	sameAsFresh(t, l, w, "sixty entries")
	if !slices.Equal(rows, old.Rows()) {
		t.Error("a house that was handed out has changed")
	}
}

// far is a ledger that fails for a while.
type far struct {
	book.Ledger
	fails bool
}

func (f *far) Conflicts(ctx context.Context, cursor string, limit int) (book.Page[book.Placed], error) {
	if f.fails {
		return book.Page[book.Placed]{}, errors.New("the line is down")
	}
	return f.Ledger.Conflicts(ctx, cursor, limit)
}

// When the book cannot be read the house stays as it was, and is made current afterwards.
func TestTheLineIsDown(t *testing.T) {
	list := told(t)
	l := &far{Ledger: opened(t, halfyear.Site)}
	for _, s := range list[:100] {
		handIn(t, l, nil, s)
	}
	ctx, stop := context.WithCancel(context.Background())
	w, err := house.Follow(ctx, l, nil)
	if err != nil {
		t.Fatal(err)
	}
	stop() // from here on only Catch reads
	rows := w.House().Rows()
	l.fails = true
	handIn(t, l, nil, list[100])
	if err := w.Catch(context.Background()); err == nil {
		t.Fatal("nothing was wrong")
	}
	if !slices.Equal(rows, w.House().Rows()) || w.Seq() != 100 {
		t.Error("the house has changed")
	}
	l.fails = false
	if err := w.Catch(context.Background()); err != nil {
		t.Fatal(err)
	}
	sameAsFresh(t, l, w, "the line is up again")
}

// After a great many entries at once the house is read anew.
func TestManyEntriesAtOnce(t *testing.T) {
	l := opened(t, halfyear.Site)
	var first, rest []book.Submission
	for s := range halfyear.Million(3, 2400) {
		if len(first) < 200 {
			first = append(first, s)
		} else {
			rest = append(rest, s)
		}
	}
	if _, _, err := l.AppendAll(t.Context(), first, false); err != nil {
		t.Fatal(err)
	}
	w := followed(t, l)
	if _, _, err := l.AppendAll(t.Context(), rest, false); err != nil {
		t.Fatal(err)
	}
	if err := w.Catch(t.Context()); err != nil {
		t.Fatal(err)
	}
	if w.Seq() != 2400 {
		t.Errorf("the watcher stands at %d", w.Seq())
	}
	sameAsFresh(t, l, w, "2,200 entries at once")
}

package waiting_test

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"testing"
	"time"

	"slatewright/bed"
	"slatewright/internal/book"
	"slatewright/internal/rehearsal/halfyear"
	"slatewright/internal/waiting"
)

// The watcher follows by itself, and tells those who wait.
func TestTheWatcherFollows(t *testing.T) {
	list := told(t)
	l := opened(t, halfyear.Site)
	for _, s := range list[:40] {
		handIn(t, l, nil, s)
	}
	w := followed(t, l, nil)
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
	w, err := waiting.Follow(ctx, l, bed.NineFoot(), nil)
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
	w := followed(t, l, nil)
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

// numbered are the stones, sets, orders and shipments of the story.
var numbered = regexp.MustCompile(`\b(QH-[0-9]{4}|QH-S[0-9]{3}|QH-O[0-9]|SH-[0-9]{3}|L[12]-[0-9]{2})`)

// large is the house at the end of the story, so many times over: with 100 of them 5,000 loose pieces, 900 sets and their order.
func large(tb testing.TB, times int) *waiting.House {
	l := opened(tb, halfyear.Site)
	if _, _, err := l.AppendAll(context.Background(), told(tb), false); err != nil {
		tb.Fatal(err)
	}
	var things []book.Thing
	for cursor := ""; ; {
		p, err := l.Things(context.Background(), book.Filter{}, cursor, 1000)
		if err != nil {
			tb.Fatal(err)
		}
		things = append(things, p.Items...)
		if cursor = p.Next; cursor == "" {
			break
		}
	}
	all := slices.Clone(things)
	for i := 1; i < times; i++ {
		again := func(s string) string { return numbered.ReplaceAllString(s, fmt.Sprintf("x%02d-$1", i)) }
		for _, t := range things {
			if id := again(t.ID); id != t.ID {
				t.ID, t.Parent.ID, t.State = id, again(t.Parent.ID), []byte(again(string(t.State)))
				all = append(all, t)
			}
		}
	}
	h, err := waiting.NewHouse(halfyear.Site, all, nil, nil, bed.NineFoot(), nil)
	if err != nil {
		tb.Fatal(err)
	}
	return h
}

// A large house is asked as a small one is.
func TestALargeHouse(t *testing.T) {
	h := large(t, 12)
	first := waiting.Ask(h, until)
	if len(first) < 12*8 {
		t.Fatalf("%d questions", len(first))
	}
	if again := waiting.Ask(h, until); !slices.Equal(keys(first), keys(again)) {
		t.Error("another list")
	}
}

func BenchmarkAsk(b *testing.B) {
	h := large(b, 100)
	pieces := len(h.At(book.Surfacing)) + len(h.At(book.Bench))
	b.Run("first", func(b *testing.B) {
		for b.Loop() {
			b.StopTimer()
			fresh := h.Forgetful()
			b.StartTimer()
			waiting.Ask(fresh, until)
		}
	})
	b.Run("again", func(b *testing.B) {
		n := 0
		for b.Loop() {
			n = len(waiting.Ask(h, until))
		}
		b.ReportMetric(float64(n), "questions")
		b.ReportMetric(float64(pieces), "things-at-surfacing-and-bench")
	})
}

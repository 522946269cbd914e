package house_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/ledger"
	"slatewright/internal/rehearsal"
	"slatewright/internal/rehearsal/halfyear"
	"slatewright/internal/waiting/house"
)

// until is the end of the half year.
var until = time.Date(2026, time.November, 25, 15, 0, 0, 0, time.UTC)

var story = sync.OnceValues(func() ([]book.Submission, error) {
	s, err := halfyear.New(rehearsal.DemoSeed, until, "slatewright, in a test")
	if err != nil {
		return nil, err
	}
	return slices.Collect(s.Submissions()), nil
})

func told(t testing.TB) []book.Submission {
	t.Helper()
	list, err := story()
	if err != nil || len(list) < 1000 {
		t.Fatalf("%d acts, %v", len(list), err)
	}
	return list
}

// opened is a new book in a folder of the test.
func opened(t testing.TB, site string) *ledger.Ledger {
	t.Helper()
	l, err := ledger.Open(context.Background(), t.TempDir(), ledger.Options{Site: site, Create: true, CheckAfter: time.Hour, Clock: func() time.Time { return until.AddDate(1, 0, 0) }})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := l.Close(); err != nil {
			t.Error(err)
		}
	})
	return l
}

func followed(t testing.TB, l book.Ledger) *house.Watcher {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	t.Cleanup(stop)
	w, err := house.Follow(ctx, l, nil)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// handIn hands in an act, which must be taken or kept, and has the watcher catch up.
func handIn(t testing.TB, l book.Ledger, w *house.Watcher, s book.Submission) {
	t.Helper()
	if _, err := l.Append(context.Background(), s); err != nil {
		t.Fatalf("%s %s: %v", s.Entry.Act, s.Entry.Body, err)
	}
	if w != nil {
		if err := w.Catch(context.Background()); err != nil {
			t.Fatal(err)
		}
	}
}

// sameAsFresh wants the watcher's house to be the one that is read anew.
func sameAsFresh(t testing.TB, l book.Ledger, w *house.Watcher, after string) {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	other, err := house.Follow(ctx, l, nil)
	if err != nil {
		t.Fatal(err)
	}
	fresh := other.House().Rows()
	got := w.House().Rows()
	if slices.Equal(got, fresh) {
		return
	}
	var diff []string
	for _, r := range got {
		if !slices.Contains(fresh, r) {
			diff = append(diff, "- "+r)
		}
	}
	for _, r := range fresh {
		if !slices.Contains(got, r) {
			diff = append(diff, "+ "+r)
		}
	}
	slices.SortFunc(diff, func(a, b string) int { return strings.Compare(a[2:], b[2:]) })
	t.Fatalf("after %s the watcher's house is not the book's:\n%s", after, strings.Join(diff, "\n"))
}

// Through the whole half year the watcher's house is the one that is read anew, after every act.
func TestTheHalfYearIsFollowed(t *testing.T) {
	if testing.Short() {
		t.Skip("long, and one act after the other: TestTheWatcherFollows follows beside the sender")
	}
	list := told(t)
	l := opened(t, halfyear.Site)
	handIn(t, l, nil, list[0])
	w := followed(t, l)
	for i, s := range list[1:] {
		handIn(t, l, w, s)
		sameAsFresh(t, l, w, fmt.Sprintf("entry %d, %s", i+2, s.Entry.Act))
	}
	if !w.House().FurnitureHolds() {
		t.Error("the furniture is not what stands in the house")
	}
	if shipped := w.House().Shipped(); len(shipped) == 0 || len(w.House().Conflicts()) != 1 {
		t.Errorf("shipped: %v, conflicts: %d", shipped, len(w.House().Conflicts()))
	}
}

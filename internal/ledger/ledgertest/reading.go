package ledgertest

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"slatewright/internal/book"
	"slatewright/internal/ledger"
	"slatewright/internal/rehearsal/halfyear"
)

// filled is a book with the first acts of the large mill: its sets are shipped, and some came back.
func filled(t *testing.T, place Place) (*ledger.Ledger, int64) {
	t.Helper()
	const acts = 4600 // the first sets are shipped by then, eight weeks after their block was lifted
	l := place(t)()
	var subs []book.Submission
	for s := range halfyear.Million(7, acts) {
		subs = append(subs, s)
	}
	_, refused, err := l.AppendAll(t.Context(), subs, false)
	if err != nil {
		t.Fatal(err)
	}
	for i, err := range refused {
		if err != nil {
			t.Fatalf("%s %s: %v", subs[i].Entry.Act, subs[i].Entry.Body, err)
		}
	}
	return l, acts
}

// pages asks every list in large and in small pages, and compares them with each other.
func pages(t *testing.T, place Place) {
	l, acts := filled(t, place)
	ctx := t.Context()
	compare(t, "things", func(c string, n int) (book.Page[book.Thing], error) { return l.Things(ctx, book.Filter{}, c, n) })
	compare(t, "pieces", func(c string, n int) (book.Page[book.Thing], error) {
		return l.Things(ctx, book.Filter{Kind: book.KindPiece}, c, n)
	})
	compare(t, "history", func(c string, n int) (book.Page[book.Placed], error) {
		return l.History(ctx, ref("instrument:"+scale(t, l)), c, n)
	})
	compare(t, "affected", func(c string, n int) (book.Page[book.Reach], error) {
		return l.Affected(ctx, ref("instrument:"+scale(t, l)), c, n)
	})
	filters(t, l)

	var tail []book.Placed
	for after := int64(0); ; {
		some, err := l.Entries(ctx, after, 7)
		if err != nil {
			t.Fatal(err)
		}
		if len(some) == 0 {
			break
		}
		tail = append(tail, some...)
		after = some[len(some)-1].Seq
	}
	if int64(len(tail)) != acts || !slices.IsSortedFunc(tail, func(a, b book.Placed) int { return int(a.Seq - b.Seq) }) {
		t.Errorf("the journal in pages has %d entries", len(tail))
	}
	wrong := func(err error) {
		if code(err) != "bad-cursor" {
			t.Errorf("a cursor of nothing: %v", err)
		}
	}
	_, err := l.Things(ctx, book.Filter{}, "nothing", 3)
	wrong(err)
	_, err = l.History(ctx, ref("layer:L1"), "x~y", 3)
	wrong(err)
	_, err = l.Affected(ctx, ref("instrument:"+scale(t, l)), "1", 3)
	wrong(err)
}

// scale is a scale that weighed something.
func scale(t *testing.T, l *ledger.Ledger) string {
	t.Helper()
	for _, p := range everything(t, 100, func(c string, n int) (book.Page[book.Thing], error) {
		return l.Things(t.Context(), book.Filter{Kind: book.KindInstrument}, c, n)
	}) {
		if n, err := l.AffectedCount(t.Context(), p.Ref); err == nil && n.Shipped > 0 {
			return p.ID
		}
	}
	t.Fatal("no instrument reached a shipped set")
	return ""
}

func compare[T any](t *testing.T, what string, ask func(cursor string, limit int) (book.Page[T], error)) {
	t.Helper()
	whole := everything(t, 5000, ask)
	if len(whole) < 5 {
		t.Fatalf("%s: only %d", what, len(whole))
	}
	for _, limit := range []int{1, 3, len(whole)} {
		if parts := everything(t, limit, ask); !reflect.DeepEqual(parts, whole) {
			t.Errorf("%s in pages of %d differ: %d and %d", what, limit, len(parts), len(whole))
		}
	}
}

// filters holds each filter of the list of things to the whole list.
func filters(t *testing.T, l *ledger.Ledger) {
	list := func(f book.Filter) []book.Thing {
		return everything(t, 50, func(c string, n int) (book.Page[book.Thing], error) { return l.Things(t.Context(), f, c, n) })
	}
	all := list(book.Filter{})
	one := all[slices.IndexFunc(all, func(x book.Thing) bool { return x.Kind == book.KindPiece && x.Parent != book.Ref{} })]
	for _, f := range []book.Filter{{Kind: one.Kind}, {Station: one.Station}, {Parent: one.Parent}, {ID: one.ID}, {Begins: one.ID[:1]}, {Kind: one.Kind, Begins: one.ID}, {Kind: one.Kind, Station: one.Station, Parent: one.Parent, ID: one.ID}} {
		want := slices.DeleteFunc(slices.Clone(all), func(x book.Thing) bool {
			return f.Kind != "" && x.Kind != f.Kind || f.Station != "" && x.Station != f.Station || f.ID != "" && x.ID != f.ID || !strings.HasPrefix(x.ID, f.Begins) ||
				f.Parent != (book.Ref{}) && x.Parent != f.Parent
		})
		if got := list(f); len(got) == 0 || !reflect.DeepEqual(got, want) {
			t.Errorf("filter %+v: %d things, not %d", f, len(got), len(want))
		}
	}
	stations, err := l.Stations(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range all {
		stations[x.Station][x.Kind]--
	}
	for station, kinds := range stations {
		for kind, n := range kinds {
			if n != 0 {
				t.Errorf("%s at %s: the count differs by %d", kind, station, n)
			}
		}
	}
}

// thereAndBack holds "what did this reach" and "what reached this" to each other.
func thereAndBack(t *testing.T, place Place) {
	l, _ := filled(t, place)
	ctx := t.Context()
	all := everything(t, 500, func(c string, n int) (book.Page[book.Thing], error) { return l.Things(ctx, book.Filter{}, c, n) })
	back := map[book.Ref][]book.Ref{}
	shipped := 0
	for _, origin := range all {
		reached := everything(t, 60, func(c string, n int) (book.Page[book.Reach], error) { return l.Affected(ctx, origin.Ref, c, n) })
		if !slices.IsSortedFunc(reached, func(a, b book.Reach) int { return a.Rank - b.Rank }) {
			t.Errorf("%s: shipped sets do not come first", origin.Ref)
		}
		count, err := l.AffectedCount(ctx, origin.Ref)
		if err != nil || count.Shipped+count.Sets+count.Pieces+count.Gone != len(reached) {
			t.Errorf("%s: %+v of %d, %v", origin.Ref, count, len(reached), err)
		}
		shipped += count.Shipped
		for _, r := range reached {
			back[r.Target] = append(back[r.Target], origin.Ref)
		}
	}
	if len(back) == 0 || shipped == 0 {
		t.Fatalf("%d targets, %d ways to shipped sets", len(back), shipped)
	}
	for target, want := range back {
		if got, err := l.Origins(ctx, target); err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%s: from %v, not %v; %v", target, got, want, err)
		}
	}
	for _, x := range all {
		if x.Kind == book.KindCertificate {
			got, err := l.Origins(ctx, x.Ref)
			if err != nil || !reflect.DeepEqual(got, back[x.Parent]) {
				t.Errorf("a certificate comes from %v, its set from %v; %v", got, back[x.Parent], err)
			}
		}
	}
	for _, err := range []error{second(l.Affected(ctx, ref("layer:NONE"), "", 1)), second(l.AffectedCount(ctx, ref("layer:NONE"))),
		second(l.Origins(ctx, ref("set:NONE"))), second(l.History(ctx, ref("set:NONE"), "", 1)), second(l.Thing(ctx, ref("set:NONE")))} {
		if code(err) != "no-such-thing" {
			t.Errorf("a question about nothing: %v", err)
		}
	}
}

func second[T any](_ T, err error) error { return err }

package waiting_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"slatewright/bed"
	"slatewright/internal/book"
	"slatewright/internal/ledger"
	"slatewright/internal/rehearsal"
	"slatewright/internal/rehearsal/halfyear"
	"slatewright/internal/tongue"
	"slatewright/internal/waiting"
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

func followed(t testing.TB, l book.Ledger, m waiting.Measured) *waiting.Watcher {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	t.Cleanup(stop)
	w, err := waiting.Follow(ctx, l, bed.NineFoot(), m)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// handIn hands in an act, which must be taken or kept, and has the watcher catch up.
func handIn(t testing.TB, l book.Ledger, w *waiting.Watcher, s book.Submission) {
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

// Through the whole half year: what the mill does next was asked or told before, and every question can be said in every language.
func TestTheHalfYear(t *testing.T) {
	list := told(t)
	l := opened(t, halfyear.Site)
	handIn(t, l, nil, list[0])
	w := followed(t, l, nil)
	p := &prophecy{asked: map[string]int{}}
	kinds := map[waiting.Kind]int{}
	for i, s := range list[1:] {
		if !s.Late {
			p.check(t, w.House(), s)
		}
		handIn(t, l, w, s)
		if i%40 == 0 || i == len(list)-2 {
			for _, q := range waiting.Ask(w.House(), s.Entry.At) {
				kinds[q.Kind]++
				sayAll(t, q)
			}
			for _, c := range waiting.Next(w.House(), s.Entry.At) {
				say(t, c.What)
			}
		}
	}
	p.done(t)
	for _, k := range []waiting.Kind{waiting.Slice, waiting.Cut, waiting.Measure, waiting.Match, waiting.EnterRoom, waiting.LeaveRoom, waiting.Ship, waiting.Calibrate, waiting.Resolve} {
		if kinds[k] == 0 {
			t.Errorf("half a year went by without a question of the kind %s", k)
		}
	}
}

// prophecy holds what the mill does against what was asked or told just before.
type prophecy struct {
	asked      map[string]int
	unforeseen []string
}

// foreseen are the acts that a person decides on or does because they come next.
var foreseen = strings.Fields("slice cut surface lay-up drill enter-room leave-room glue-lining ream finish judge certify pack ship")

func (p *prophecy) check(t *testing.T, h *waiting.House, s book.Submission) {
	if !slices.Contains(foreseen, s.Entry.Act) {
		return
	}
	act, err := book.Decode(s.Entry.Act, s.Entry.Body)
	if err != nil {
		t.Fatal(err)
	}
	about := aboutOf(act)
	for _, q := range waiting.Ask(h, s.Entry.At) {
		if slices.Contains(q.Acts, s.Entry.Act) && slices.ContainsFunc(append(q.Also, q.Thing), func(r book.Ref) bool { return slices.Contains(about, r) }) {
			p.asked[s.Entry.Act]++
			return
		}
	}
	for _, next := range h.NextFor(s.Entry.At, about...) {
		// Which pass over a face is the last one nobody can tell before: read it, or surface on.
		if next.Key == "waiting.next.act" && next.Args["act"] == s.Entry.Act || next.Key == "waiting.next.read" && s.Entry.Act == "surface" {
			p.asked[s.Entry.Act]++
			return
		}
	}
	p.unforeseen = append(p.unforeseen, fmt.Sprintf("%s %v on %s", s.Entry.Act, about, s.Entry.At.Format(time.DateOnly)))
}

// aboutOf are the pieces, sets and stones that an act is about.
func aboutOf(a book.Act) (list []book.Ref) {
	one := func(k book.Kind, ids ...string) []book.Ref {
		for _, id := range ids {
			list = append(list, book.Ref{Kind: k, ID: id})
		}
		return list
	}
	switch a := a.(type) {
	case *book.Slice:
		return one(book.KindBlock, a.Block)
	case *book.Cut:
		return one(book.KindSlab, a.Slab)
	case *book.Surfaced:
		return one(book.KindPiece, a.Piece)
	case *book.LayUp:
		one(book.KindSet, a.Set)
		return one(book.KindPiece, a.Pieces...)
	case *book.Drill:
		return one(book.KindPiece, a.Piece)
	case *book.EnterRoom:
		return one(book.KindPiece, a.Piece)
	case *book.LeaveRoom:
		return one(book.KindPiece, a.Piece)
	case *book.GlueLining:
		return one(book.KindPiece, a.Piece)
	case *book.Ream:
		return one(book.KindPiece, a.Piece)
	case *book.Finish:
		return one(book.KindPiece, a.Piece)
	case *book.Judge:
		return one(book.KindSet, a.Set)
	case *book.Certify:
		return one(book.KindSet, a.Set)
	case *book.Pack:
		return one(book.KindSet, a.Set)
	case *book.Ship:
		return one(book.KindSet, a.Sets...)
	}
	return nil
}

// unforeseeable are acts of the story that the queue does not foresee, and why.
var unforeseeable = map[string]string{
	"leave-room": "the lead released three pieces before their time",
}

func (p *prophecy) done(t *testing.T) {
	t.Helper()
	for _, act := range foreseen {
		if p.asked[act] == 0 {
			t.Errorf("the story foresees no %s", act)
		}
	}
	counts := map[string]int{}
	for _, u := range p.unforeseen {
		act, _, _ := strings.Cut(u, " ")
		if counts[act]++; unforeseeable[act] == "" {
			t.Errorf("nobody was asked or told before: %s", u)
		}
	}
	if counts["leave-room"] != 3 {
		t.Errorf("%d pieces left the room unforeseen: %q", counts["leave-room"], p.unforeseen)
	}
}

// sayAll says a question in every language. Tongue panics at what is missing.
func sayAll(t testing.TB, q waiting.Question) {
	t.Helper()
	for _, s := range []waiting.Sentence{q.Say, q.Recommend, q.Sure.Says, q.Cost.Says} {
		say(t, s)
	}
}

func say(t testing.TB, s waiting.Sentence) {
	t.Helper()
	for _, l := range tongue.Languages() {
		if text := tongue.In(l, tongue.Metric).Tell(s.Key, s.Args); text == "" || strings.ContainsAny(text, "{}⟨") {
			t.Errorf("%s %s: %q", l, s.Key, text)
		} else if l == tongue.Chinese && strings.Contains(text, ", QH-") {
			t.Errorf("%s joins a list as English does: %q", s.Key, text)
		}
	}
}

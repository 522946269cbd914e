package ledgertest

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"sync"
	"testing"
	"time"

	"slatewright/internal/book"
)

func firstEntries(t *testing.T, place Place) {
	open := place(t)
	l := open()
	if l.Site() != Site {
		t.Fatalf("the site is %q", l.Site())
	}
	c := settled(t, l)
	first := c.do(stone("P1"))
	second := c.do(weighed("P1", 96))
	if first.Entry.Seq != settledEntries+1 || second.Entry.Seq != first.Entry.Seq+1 {
		t.Errorf("numbers %d and %d", first.Entry.Seq, second.Entry.Seq)
	}
	if second.Entry.Prev != first.Entry.Hash || second.Entry.Hash != book.HashOf(second.Entry) || second.Entry.Site != Site {
		t.Errorf("the second entry does not follow the first: %+v", second.Entry)
	}
	sound(t, l, settledEntries+2)
	p, err := l.Thing(t.Context(), ref("piece:P1"))
	if err != nil || p.Seq != second.Entry.Seq || !p.At.Equal(second.Entry.At) || !bytes.Contains(p.State, []byte("96")) {
		t.Errorf("the piece: %+v, %v", p, err)
	}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	again := open()
	if q, err := again.Thing(t.Context(), ref("piece:P1")); err != nil || !reflect.DeepEqual(p, q) {
		t.Errorf("after opening again: %+v, %v", q, err)
	}
	e, err := again.Entry(t.Context(), second.Entry.ID)
	if err != nil || !reflect.DeepEqual(e.Entry, second.Entry) || !e.At.Equal(second.Entry.At) {
		t.Errorf("the entry read back: %+v, %v", e, err)
	}
}

func sameAgain(t *testing.T, place Place) {
	open := place(t)
	l := open()
	c := settled(t, l)
	s := c.submission(stone("P1"))
	first, err := l.Append(t.Context(), s)
	if err != nil {
		t.Fatal(err)
	}
	c.do(weighed("P1", 96))
	again, err := l.Append(t.Context(), s)
	if err != nil || !again.Repeated || !reflect.DeepEqual(again.Entry, first.Entry) {
		t.Errorf("the second time: %+v, %v", again, err)
	}
	loose := s // the same act as another program may write it
	loose.Entry.Body = append([]byte(" "), bytes.ReplaceAll(s.Entry.Body, []byte(":"), []byte(" : "))...)
	loose.Entry.Body = bytes.ReplaceAll(loose.Entry.Body, []byte("piece : "), []byte("piece:"))
	if again, err := l.Append(t.Context(), loose); err != nil || !again.Repeated {
		t.Errorf("with other spaces: %+v, %v", again, err)
	}
	for what, change := range map[string]func(*book.Entry){
		"time":    func(e *book.Entry) { e.At = e.At.Add(time.Millisecond) },
		"person":  func(e *book.Entry) { e.Person = "saw-1" },
		"station": func(e *book.Entry) { e.Station = book.Saw },
		"body":    func(e *book.Entry) { e.Body = json.RawMessage(bytes.ReplaceAll(e.Body, []byte("914"), []byte("915"))) },
	} {
		other := s
		change(&other.Entry)
		if _, err := l.Append(t.Context(), other); code(err) != "same-id-other-entry" {
			t.Errorf("another %s: %v", what, err)
		}
	}
	two := []book.Submission{c.submission(stone("P2")), s, s}
	receipts, _, err := l.AppendAll(t.Context(), append(two, two[0]), false)
	if err != nil || len(receipts) != 4 || receipts[0].Repeated || !receipts[1].Repeated || !receipts[3].Repeated {
		t.Errorf("repeats among many: %+v, %v", receipts, err)
	}
	sound(t, l, settledEntries+3)
}

func refusalWritesNothing(t *testing.T, place Place) {
	l := place(t)()
	c := settled(t, l)
	c.do(stone("P1"))
	for want, s := range map[string]book.Submission{
		"no-such-thing": c.submission(weighed("P9", 90)),
		"already-there": c.submission(stone("P1")),
		"other-site":    elsewhere(c.submission(stone("P2"))),
	} {
		if _, err := l.Append(t.Context(), s); code(err) != want {
			t.Errorf("instead of %s: %v", want, err)
		}
		if _, err := l.Entry(t.Context(), s.Entry.ID); code(err) != "no-such-entry" {
			t.Errorf("what was refused is asked for: %v", err)
		}
	}
	if r := c.do(weighed("P1", 96)); r.Entry.Seq != settledEntries+2 {
		t.Errorf("after refusals the next number is %d", r.Entry.Seq)
	}
	sound(t, l, settledEntries+2)
}

func elsewhere(s book.Submission) book.Submission {
	s.Entry.Site = "another-mill"
	return s
}

func allOrNothing(t *testing.T, place Place) {
	l := place(t)()
	c := settled(t, l)
	good := []book.Submission{c.submission(stone("P1")), c.submission(weighed("P1", 96)), c.submission(stone("P2"))}
	bad := []book.Submission{c.submission(stone("P3")), c.submission(weighed("P9", 90)), c.submission(stone("P4"))}

	receipts, refused, err := l.AppendAll(t.Context(), bad, false)
	if err != nil || receipts != nil || len(refused) != 3 || refused[0] != nil || code(refused[1]) != "no-such-thing" || refused[2] != nil {
		t.Errorf("one that is refused: %v, %v, %v", receipts, refused, err)
	}
	receipts, refused, err = l.AppendAll(t.Context(), good, true)
	if err != nil || len(receipts) != 3 || receipts[2].Entry.Seq != settledEntries+3 {
		t.Errorf("a dry run: %v, %v, %v", receipts, refused, err)
	}
	sound(t, l, settledEntries)
	if _, err := l.Thing(t.Context(), ref("piece:P1")); code(err) != "no-such-thing" {
		t.Errorf("a piece of a dry run: %v", err)
	}
	if _, _, err = l.AppendAll(t.Context(), good, false); err != nil {
		t.Error(err)
	}
	if receipts, refused, err := l.AppendAll(t.Context(), nil, false); err != nil || len(receipts)+len(refused) > 0 {
		t.Errorf("nothing at all: %v, %v, %v", receipts, refused, err)
	}
	sound(t, l, settledEntries+3)
}

func conflictAndCorrection(t *testing.T, place Place) {
	open := place(t)
	l := open()
	c := settled(t, l)
	c.do(stone("P1"))
	reject := c.submission(&book.Reject{Thing: ref("piece:P1"), Cause: "crack"})
	later := c.do(weighed("P1", 96))
	if _, err := l.Append(t.Context(), reject); code(err) == "" {
		t.Error("a piece was rejected before it was weighed")
	}
	reject.Late = true
	kept, err := l.Append(t.Context(), reject)
	if err != nil || kept.Conflict == nil || kept.Conflict.State != book.InConflict {
		t.Fatalf("the same, having happened already: %+v, %v", kept, err)
	}
	if again, err := l.Append(t.Context(), reject); err != nil || !again.Repeated || !reflect.DeepEqual(again.Conflict, kept.Conflict) {
		t.Errorf("sent again: %+v, %v", again, err)
	}
	list, err := l.Conflicts(t.Context(), "", 0)
	if err != nil || len(list.Items) != 1 || list.Items[0].ID != reject.Entry.ID || list.Items[0].Standing != *kept.Conflict {
		t.Fatalf("conflicts: %+v, %v", list, err)
	}
	sound(t, l, settledEntries+3)
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	l = open() // what is remembered of conflicts must come from the tables
	c.l = l
	c.do(&book.Correct{Entry: later.Entry.ID, Why: "another piece was weighed"})
	if list, err := l.Conflicts(t.Context(), "", 0); err != nil || len(list.Items) != 0 {
		t.Errorf("after the correction: %+v, %v", list, err)
	}
	if p, err := l.Thing(t.Context(), ref("piece:P1")); err != nil || p.Station != book.Heap {
		t.Errorf("the piece: %+v, %v", p, err)
	}
	if e, err := l.Entry(t.Context(), later.Entry.ID); err != nil || e.Standing.State != book.Struck || e.Standing.By != settledEntries+4 {
		t.Errorf("the corrected entry: %+v, %v", e, err)
	}
	sound(t, l, settledEntries+4)
}

// eightWriters has eight clerks write at once, each about stones of its own and one that all weigh, and send everything twice.
func eightWriters(t *testing.T, place Place) {
	const writers, each = 8, 40
	l := place(t)()
	settled(t, l).do(stone("SHARED"))
	got := make([][]book.Receipt, writers)
	var all sync.WaitGroup
	for w := range writers {
		c := &clerk{t: t, l: l, hand: uint64(w + 1), n: 100}
		var subs []book.Submission
		for i := range each / 2 {
			subs = append(subs, c.submission(stone(fmt.Sprintf("P%d-%d", w, i))), c.submission(weighed("SHARED", 90)))
		}
		all.Go(func() {
			for _, s := range append(subs, subs...) {
				s.Late = true // another's weighing may have come first
				r, err := l.Append(t.Context(), s)
				if err != nil || r.Conflict != nil {
					t.Error(r.Conflict, err)
				}
				got[w] = append(got[w], r)
			}
		})
	}
	all.Wait()
	seen := map[int64]string{}
	for _, receipts := range got {
		for i, r := range receipts {
			if r.Repeated != (i >= each) {
				t.Errorf("entry %s: repeated %v at its turn %d", r.Entry.ID, r.Repeated, i/each)
			}
			if id, taken := seen[r.Entry.Seq]; taken && id != r.Entry.ID {
				t.Errorf("number %d was given to %s and %s", r.Entry.Seq, id, r.Entry.ID)
			}
			seen[r.Entry.Seq] = r.Entry.ID
		}
	}
	if len(seen) != writers*each {
		t.Errorf("%d entries were acknowledged", len(seen))
	}
	sound(t, l, settledEntries+1+writers*each)
}

func told(t *testing.T, place Place) {
	l := place(t)()
	c := settled(t, l)
	news := l.Changed()
	select {
	case <-news:
		t.Fatal("told before anything was written")
	default:
	}
	c.do(stone("P1"))
	select {
	case <-news:
	case <-time.After(10 * time.Second):
		t.Error("not told of a commit")
	}
}

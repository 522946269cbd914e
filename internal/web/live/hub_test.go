package live

import (
	"context"
	"encoding/json"
	"fmt"
	"log/slog"
	"slices"
	"testing"
	"testing/synctest"

	"slatewright/internal/book"
)

// journal is a ledger of entries alone.
type journal struct {
	book.Ledger
	entries []book.Placed
	changed chan struct{}
	asked   int
}

func (j *journal) Entries(_ context.Context, after int64, limit int) ([]book.Placed, error) {
	j.asked++
	if after >= int64(len(j.entries)) {
		return nil, nil
	}
	return j.entries[after:min(int(after)+limit, len(j.entries))], nil
}

func (j *journal) Changed() <-chan struct{} { return j.changed }

func (j *journal) add(act, body string) {
	n := int64(len(j.entries)) + 1
	j.entries = append(j.entries, book.Placed{Entry: book.Entry{Seq: n, Act: act, Body: json.RawMessage(body)}})
	close(j.changed)
	j.changed = make(chan struct{})
}

func newJournal(n int) *journal {
	j := &journal{changed: make(chan struct{})}
	for range n {
		j.add("weigh", `{}`)
	}
	return j
}

func TestTheEndIsFoundWithFewQuestions(t *testing.T) {
	for _, n := range []int{0, 1, 2, 3, 4, 7, 8, 9, 1000, 4097} {
		j := newJournal(n)
		j.asked = 0
		if end, err := End(t.Context(), j); err != nil || end != int64(n) {
			t.Errorf("a journal of %d ends at %d, %v", n, end, err)
		}
		if j.asked > 30 {
			t.Errorf("%d questions for a journal of %d", j.asked, n)
		}
	}
}

func TestEventsNameWhatEntriesName(t *testing.T) {
	for _, c := range []struct {
		act, body string
		want      []string
	}{
		{"weigh", `{"thing":"piece:A","scale":"W1","mass_kg":9}`, []string{"instrument:W1", "piece:A"}},
		{"cut", `{"slab":"S1","disc":"D","pieces":[{"id":"A"},{"id":"B"}],"last":true}`, []string{"disc:D", "piece:A", "piece:B", "slab:S1"}},
		{"lay-up", `{"set":"S","pieces":["A","B","C"],"steps_mm":[0.1]}`, []string{"piece:A", "piece:B", "piece:C", "set:S"}},
		{"glue-lining", `{"piece":"A","board_batch":"B1","glue_batch":"G1"}`, []string{"board-batch:B1", "glue-batch:G1", "piece:A"}},
		{"correct", `{"entry":"E","why":"a slip"}`, nil},
	} {
		got := namedIn([]book.Placed{{Entry: book.Entry{Act: c.act, Body: json.RawMessage(c.body)}}})
		if !slices.Equal(got, c.want) || (got == nil) != (c.want == nil) {
			t.Errorf("%s %s: %q, want %q", c.act, c.body, got, c.want)
		}
	}
}

// Whoever listens hears each change; whoever does not keep up hears once that all may have changed.
func TestListeners(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		ctx, stop := context.WithCancel(t.Context())
		defer stop()
		j := newJournal(3)
		h := New(j, slog.New(slog.DiscardHandler))
		go h.Run(ctx)
		synctest.Wait()
		if h.Head() != 3 {
			t.Fatalf("the head is %d", h.Head())
		}
		quick, done := h.listen()
		defer done()
		slow, left := h.listen()
		for i := range 50 {
			j.add("weigh", fmt.Sprintf(`{"thing":"piece:P%d"}`, i))
			synctest.Wait()
			if e := <-quick; e.Seq != int64(4+i) || !slices.Equal(e.Things, []string{fmt.Sprintf("piece:P%d", i)}) {
				t.Fatalf("event %d is %+v", i, e)
			}
		}
		var last Event
		heardAll := false
		for len(slow) > 0 {
			last = <-slow
			heardAll = heardAll || last.Things == nil
		}
		if last.Seq != 53 || !heardAll {
			t.Errorf("who was slow heard at last %+v, and of all: %t", last, heardAll)
		}
		left()
		if len(h.ears) != 1 {
			t.Errorf("%d listen", len(h.ears))
		}
	})
}

func TestEventsAsSent(t *testing.T) {
	if got := (Event{7, []string{"piece:A"}}).text(); got != "id: 7\nevent: changed\ndata: {\"seq\":7,\"things\":[\"piece:A\"]}\n\n" {
		t.Errorf("%q", got)
	}
	if got := (Event{Seq: 8}).text(); got != "id: 8\nevent: all\ndata: {\"seq\":8}\n\n" {
		t.Errorf("%q", got)
	}
}

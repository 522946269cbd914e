package house_test

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/rehearsal/halfyear"
)

// A tablet brings the story's acts out of order, a lead strikes entries out, moves them in time and puts them back: the watcher's house is
// the one that is read anew after each of them, and what was asked before is asked again.
func TestLateAndCorrectedActs(t *testing.T) {
	if testing.Short() {
		t.Skip("long, and one act after the other: TestTheWatcherFollows follows beside the sender")
	}
	for seed := range uint64(3) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) { lateAndCorrected(t, seed) })
	}
}

func lateAndCorrected(t *testing.T, seed uint64) {
	list := told(t)
	l := opened(t, halfyear.Site)
	draw := rand.New(rand.NewPCG(seed, 7))
	from := 350 + int(seed)*300
	for _, s := range list[:from] {
		handIn(t, l, nil, s)
	}
	w := followed(t, l)
	rest := slices.Clone(list[from : from+160])
	for i := 0; i+16 <= len(rest); i += 16 { // shuffled within windows
		draw.Shuffle(16, func(a, b int) { rest[i+a], rest[i+b] = rest[i+b], rest[i+a] })
	}
	conflicts, corrections, struck := 0, 0, 0
	for i, s := range rest {
		s.Late = true
		handIn(t, l, w, s)
		sameAsFresh(t, l, w, fmt.Sprintf("%s, out of order", s.Entry.Act))
		if i%3 != 0 {
			continue
		}
		c := correction(t, l, draw, from+i)
		if _, err := l.Append(context.Background(), c); err != nil {
			continue // what cannot be corrected
		}
		if err := w.Catch(context.Background()); err != nil {
			t.Fatal(err)
		}
		corrections++
		page, err := l.Conflicts(context.Background(), "", 1000)
		if err != nil {
			t.Fatal(err)
		}
		conflicts = max(conflicts, len(page.Items))
		if e, err := l.Entry(context.Background(), c.Entry.ID); err == nil && e.Standing.State == "" {
			struck++
		}
		sameAsFresh(t, l, w, string(c.Entry.Body))
	}
	if conflicts < 2 || corrections < 20 || struck < 5 {
		t.Fatalf("%d conflicts, %d corrections, %d of them applied: too few to show anything", conflicts, corrections, struck)
	}
}

// correction strikes out one of the last entries, or puts it elsewhere in time.
func correction(t *testing.T, l book.Ledger, draw *rand.Rand, until int) book.Submission {
	t.Helper()
	seq := int64(until - draw.IntN(120))
	found, err := l.Entries(context.Background(), seq-1, 1)
	if err != nil || len(found) != 1 {
		t.Fatalf("%d: %v", len(found), err)
	}
	old := found[0]
	c := book.Correct{Entry: old.ID, Why: "a test"}
	if draw.IntN(2) == 0 && old.Act != "correct" {
		moved := old.At.Add(time.Duration(draw.IntN(4000)-3000) * time.Minute)
		c.Act, c.Body, c.At = old.Act, json.RawMessage(old.Body), &moved
	}
	_, body, err := book.Encode(&c)
	if err != nil {
		t.Fatal(err)
	}
	id := fmt.Sprintf("7Y%024d", draw.IntN(1_000_000_000))
	return book.Submission{Entry: book.Entry{ID: id, Site: halfyear.Site, At: afterwards(draw), Person: "lead", Station: book.Office, Act: "correct", Body: body},
		Caller: book.Caller{Person: "lead", Role: book.Lead, Reaffirmed: true}, Late: true}
}

// afterwards is some time after the half year.
func afterwards(draw *rand.Rand) time.Time {
	return until.Add(time.Duration(draw.IntN(1000)) * time.Minute)
}

package ledgertest

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/ledger"
	"slatewright/internal/rehearsal/halfyear"
)

// randomHistories sends the days of the large mill out of order, twice, and with corrections of anything. Whatever comes of it, the
// tables must be those that a replay gives, on every engine the same.
func randomHistories(t *testing.T, place Place) {
	for seed := range uint64(3) {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			l := place(t)()
			draw := rand.New(rand.NewPCG(seed, 1))
			sent := disordered(draw, 500)
			entries, kept := int64(0), 0
			for i, s := range sent {
				r, err := l.Append(t.Context(), s)
				if err == nil && !r.Repeated {
					entries++
				}
				if err == nil && r.Conflict != nil {
					kept++
				}
				if err == nil && i > 50 && draw.IntN(25) == 0 {
					entries += correctSomething(t, l, draw, r.Entry)
				}
			}
			if entries < 400 || kept == 0 {
				t.Fatalf("%d entries, %d in conflict: this tries little", entries, kept)
			}
			sound(t, l, entries)
			before := dump(t, l)
			if _, err := l.Rebuild(t.Context(), false, nil); err != nil {
				t.Fatal(err)
			}
			if after := dump(t, l); !slices.Equal(before, after) {
				t.Error("tables made anew differ")
			}
			sound(t, l, entries)
		})
	}
}

// disordered lets entries, which all have happened, come up to thirty places late or early, and some twice.
func disordered(draw *rand.Rand, n int) (sent []book.Submission) {
	type turn struct {
		at int
		s  book.Submission
	}
	var turns []turn
	i := 0
	for s := range halfyear.Million(3, n) {
		s.Late = i > 40 // the mill must be settled before anything can come late
		at := i
		if s.Late {
			at += draw.IntN(60)
		}
		turns = append(turns, turn{at, s})
		if draw.IntN(10) == 0 {
			turns = append(turns, turn{at + draw.IntN(100), s})
		}
		i++
	}
	slices.SortStableFunc(turns, func(a, b turn) int { return a.at - b.at })
	for _, t := range turns {
		sent = append(sent, t.s)
	}
	return sent
}

// correctSomething strikes an entry, or moves it to another time; the book may refuse. It returns how many entries came of it.
func correctSomething(t *testing.T, l *ledger.Ledger, draw *rand.Rand, last book.Entry) int64 {
	t.Helper()
	some, err := l.Entries(t.Context(), max(0, last.Seq-int64(draw.IntN(40)))-1, 1)
	if err != nil || len(some) != 1 {
		t.Fatalf("entries near %d: %v, %v", last.Seq, some, err)
	}
	c := &book.Correct{Entry: some[0].ID, Why: "the exercise"}
	if draw.IntN(2) == 0 && some[0].Act != c.Word() {
		at := some[0].At.Add(time.Duration(draw.IntN(7200)-3600) * time.Second)
		c.At, c.Act, c.Body = &at, some[0].Act, some[0].Body
	}
	s := (&clerk{t: t, l: l, hand: 9, n: uint64(last.Seq)}).submission(c)
	if r, err := l.Append(t.Context(), s); err != nil || r.Repeated {
		return 0
	}
	return 1
}

// dump writes every derived row down.
func dump(t *testing.T, l *ledger.Ledger) (all []string) {
	t.Helper()
	for _, x := range everything(t, 500, func(c string, n int) (book.Page[book.Thing], error) {
		return l.Things(t.Context(), book.Filter{}, c, n)
	}) {
		all = append(all, fmt.Sprintf("%+v", x))
		for _, p := range everything(t, 500, func(c string, n int) (book.Page[book.Placed], error) { return l.History(t.Context(), x.Ref, c, n) }) {
			all = append(all, fmt.Sprintf("%d %s %+v", p.Seq, p.Part, p.Standing))
		}
		for _, r := range everything(t, 500, func(c string, n int) (book.Page[book.Reach], error) { return l.Affected(t.Context(), x.Ref, c, n) }) {
			all = append(all, fmt.Sprintf("%+v", r))
		}
	}
	return all
}

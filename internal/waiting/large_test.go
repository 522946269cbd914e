package waiting_test

import (
	"context"
	"fmt"
	"regexp"
	"slices"
	"testing"

	"slatewright/bed"
	"slatewright/internal/book"
	"slatewright/internal/rehearsal/halfyear"
	"slatewright/internal/waiting"
)

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

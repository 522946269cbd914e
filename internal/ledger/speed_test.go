package ledger_test

import (
	"context"
	"iter"
	"sync"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/ledger"
	"slatewright/internal/rehearsal/halfyear"
)

// largeMill opens a book in a folder and fills it with the first n acts of the large mill; next gives those that follow.
func largeMill(b testing.TB, n, more int) (l *ledger.Ledger, next func() (book.Submission, bool)) {
	b.Helper()
	l, err := ledger.Open(context.Background(), b.TempDir(), ledger.Options{Site: halfyear.Site, Create: true, Holder: "benchmark", CheckAfter: time.Hour})
	if err != nil {
		b.Fatal(err)
	}
	next, stop := iter.Pull(halfyear.Million(1, n+more))
	b.Cleanup(func() {
		stop()
		if err := l.Close(); err != nil {
			b.Error(err)
		}
	})
	for n > 0 {
		some := make([]book.Submission, 0, 2000)
		for ; n > 0 && len(some) < cap(some); n-- {
			s, ok := next()
			if !ok {
				b.Fatal("the story is over")
			}
			some = append(some, s)
		}
		_, refused, err := l.AppendAll(context.Background(), some, false)
		if err != nil {
			b.Fatal(err)
		}
		for i, err := range refused {
			if err != nil {
				b.Fatalf("%s %s: %v", some[i].Entry.Act, some[i].Entry.Body, err)
			}
		}
	}
	return l, next
}

// filled is how many acts are in the book before a benchmark begins; the speed of an append hardly depends on it.
const filled = 20000

func BenchmarkAppend(b *testing.B) {
	l, next := largeMill(b, filled, 1_000_000)
	for b.Loop() {
		s, _ := next()
		if _, err := l.Append(context.Background(), s); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "acts/s")
}

// Acts of one sender must not overtake each other, so each takes the next act only when its last is answered, and those that
// could not follow yet are kept as late ones.
func BenchmarkAppend64Senders(b *testing.B) {
	l, next := largeMill(b, filled, 1_000_000)
	var mu sync.Mutex
	b.ResetTimer()
	var senders sync.WaitGroup
	left := b.N
	for range 64 {
		senders.Go(func() {
			for {
				mu.Lock()
				s, ok := next()
				left--
				done := !ok || left < 0
				mu.Unlock()
				if done {
					return
				}
				s.Late = true
				if _, err := l.Append(context.Background(), s); err != nil {
					b.Error(err)
					return
				}
			}
		})
	}
	senders.Wait()
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "acts/s")
}

func BenchmarkAppendAll(b *testing.B) {
	largeMill(b, b.N, 0)
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "acts/s")
}

func BenchmarkRebuildCheck(b *testing.B) { benchmarkRebuild(b, true) }
func BenchmarkRebuild(b *testing.B)      { benchmarkRebuild(b, false) }

func benchmarkRebuild(b *testing.B, check bool) {
	l, _ := largeMill(b, filled, 0)
	for b.Loop() {
		report, err := l.Rebuild(context.Background(), check, nil)
		if err != nil {
			b.Fatal(err)
		}
		for _, t := range report.Tables {
			if t.Differences > 0 {
				b.Fatalf("%s: %v", t.Table, t.First)
			}
		}
	}
	b.ReportMetric(filled*float64(b.N)/b.Elapsed().Seconds(), "acts/s")
}

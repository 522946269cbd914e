package faults_test

import (
	"context"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"slatewright/internal/ledger/pgtest"
)

// A database that is stopped and started under load loses no acknowledged act and applies none twice; the program mends its
// connections by itself.
func TestPostgresStoppedUnderLoad(t *testing.T) {
	server := pgtest.StartServer(t)
	found(t, server.URL)
	l := open(t, server.URL)
	defer shut(t, l)
	var done [senders]int
	var total, failed atomic.Int64
	var all sync.WaitGroup
	stop := make(chan struct{})
	for s := range senders {
		all.Go(func() {
			for n := 1; ; {
				select {
				case <-stop:
					return
				default:
				}
				ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
				if _, err := l.Append(ctx, submission(s, n)); err != nil {
					failed.Add(1)
					time.Sleep(50 * time.Millisecond) // then the same act with the same id again
				} else {
					done[s] = n
					n++
					total.Add(1)
				}
				cancel()
			}
		})
	}
	reach := func(n int64) {
		for limit := time.Now().Add(time.Minute); total.Load() < n; time.Sleep(10 * time.Millisecond) {
			if time.Now().After(limit) {
				t.Errorf("only %d of %d acts got through", total.Load(), n)
				return
			}
		}
	}
	for round := int64(1); round <= 2; round++ {
		reach(100 * round)
		server.Stop()
		time.Sleep(300 * time.Millisecond)
		server.Start()
	}
	reach(total.Load() + 100)
	close(stop)
	all.Wait()
	if failed.Load() == 0 {
		t.Log("no act was refused while the database was away")
	}
	for s, n := range done {
		if got := countOf(t, l, s); got < n || got > n+1 {
			t.Errorf("sender %d: %d acts acknowledged, %d in the book", s, n, got)
		}
	}
	sound(t, l)
}

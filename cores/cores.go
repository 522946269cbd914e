// Package cores shares work over the processor's cores, so that the answer does not depend on how many there are.
//
// It splits a range into as many stretches as there are cores and waits for all of them. It does not queue, cancel or
// order anything: what a stretch writes must be its own. A panic in a stretch is raised again in the caller, where the
// program can still turn it into words.
package cores

import (
	"runtime"
	"sync"
)

// Share calls work for stretches [from, to) that together are 0 … n, each once, on all cores, and returns when all are
// done. With fewer than least pieces of work for each core it uses fewer cores, and at last the caller's own.
func Share(n, least int, work func(from, to int)) {
	workers := min(runtime.GOMAXPROCS(0), n/max(1, least))
	if workers < 2 {
		if n > 0 {
			work(0, n)
		}
		return
	}
	var wait sync.WaitGroup
	broken := make([]any, workers)
	for c := range workers {
		wait.Go(func() {
			defer func() { broken[c] = recover() }()
			work(n*c/workers, n*(c+1)/workers)
		})
	}
	wait.Wait()
	for _, b := range broken {
		if b != nil {
			panic(b)
		}
	}
}

package cores_test

import (
	"runtime"
	"sync/atomic"
	"testing"

	"slatewright/cores"
)

func TestEveryPlaceOnce(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for _, procs := range []int{1, 2, 3, 8} {
		runtime.GOMAXPROCS(procs)
		for _, n := range []int{0, 1, 2, 7, 100, 1001} {
			for _, least := range []int{0, 1, 10, 5000} {
				count := make([]int32, n)
				cores.Share(n, least, func(from, to int) {
					for i := from; i < to; i++ {
						atomic.AddInt32(&count[i], 1)
					}
				})
				for i, c := range count {
					if c != 1 {
						t.Fatalf("%d cores, n %d, least %d: place %d was worked on %d times", procs, n, least, i, c)
					}
				}
			}
		}
	}
}

func TestPanicReachesTheCaller(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for _, procs := range []int{1, 4} {
		runtime.GOMAXPROCS(procs)
		func() {
			defer func() {
				if got := recover(); got != "broken at 77" {
					t.Errorf("%d cores: recovered %v", procs, got)
				}
			}()
			cores.Share(100, 1, func(from, to int) {
				if from <= 77 && 77 < to {
					panic("broken at 77")
				}
			})
			t.Errorf("%d cores: no panic", procs)
		}()
	}
}

package flatness

import (
	"runtime"
	"sync"
)

// block is the number of points that are looked at as one: sums are taken within a block from the front, then over the
// blocks from the front, so that no result depends on how many cores shared the work.
const block = 4096

// blocks is how many blocks n points make.
func blocks(n int) int { return (n + block - 1) / block }

// cores is how many cores share the work on n points.
func cores(n int) int { return max(1, min(runtime.GOMAXPROCS(0), blocks(n))) }

// share cuts n points into that many contiguous ranges of whole blocks and calls do for each, at the same time; part
// numbers the ranges from the front.
func share(n, parts int, do func(part, lo, hi int)) {
	from := func(part int) int { return min(n, blocks(n)*part/parts*block) }
	var wg sync.WaitGroup
	for part := 1; part < parts; part++ {
		wg.Go(func() { do(part, from(part), from(part+1)) })
	}
	do(0, 0, from(1))
	wg.Wait()
}

// sums adds up width numbers over n points; add adds those of the points lo to hi−1 to sum.
func sums(n, width int, add func(sum []float64, lo, hi int)) []float64 {
	each := make([]float64, blocks(n)*width)
	share(n, cores(n), func(_, lo, hi int) {
		for ; lo < hi; lo += block {
			b := lo / block
			add(each[b*width:(b+1)*width], lo, min(lo+block, hi))
		}
	})
	total := make([]float64, width)
	for b := range blocks(n) {
		for k := range width {
			total[k] += each[b*width+k]
		}
	}
	return total
}

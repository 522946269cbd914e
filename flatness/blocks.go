package flatness

import (
	"runtime"
	"sync"
)

// block is the number of points that are looked at as one: sums are taken within a block from the front, then over the
// blocks from the front, so that no result depends on how many cores shared the work.
const block = 4096

// share cuts the blocks of n points into one contiguous range per core and calls do for each, at the same time. Ranges
// begin at multiples of block; part numbers them from the front.
func share(n int, do func(part, lo, hi int)) (parts int) {
	blocks := (n + block - 1) / block
	parts = max(1, min(runtime.GOMAXPROCS(0), blocks))
	var wg sync.WaitGroup
	for part := 1; part < parts; part++ {
		wg.Go(func() { do(part, blocks*part/parts*block, min(n, blocks*(part+1)/parts*block)) })
	}
	do(0, 0, min(n, blocks/parts*block))
	wg.Wait()
	return parts
}

// sums adds up width numbers over n points; add adds those of the points lo to hi−1 to sum.
func sums(n, width int, add func(sum []float64, lo, hi int)) []float64 {
	blocks := (n + block - 1) / block
	each := make([]float64, blocks*width)
	share(n, func(_, lo, hi int) {
		for ; lo < hi; lo += block {
			b := lo / block
			add(each[b*width:(b+1)*width], lo, min(lo+block, hi))
		}
	})
	total := make([]float64, width)
	for b := range blocks {
		for k := range width {
			total[k] += each[b*width+k]
		}
	}
	return total
}

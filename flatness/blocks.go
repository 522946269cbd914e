package flatness

import "slatewright/cores"

// block is the number of points that are looked at as one: sums are taken within a block from the front, then over the
// blocks from the front, so that no result depends on how many cores shared the work.
const block = 4096

// blocks is how many blocks n points make.
func blocks(n int) int { return (n + block - 1) / block }

// share cuts n points into contiguous ranges of whole blocks, one for each core, and calls do for each, at the same time.
func share(n int, do func(lo, hi int)) {
	cores.Share(blocks(n), 1, func(from, to int) { do(from*block, min(to*block, n)) })
}

// sums adds up width numbers over n points; add adds those of the points lo to hi−1 to sum.
func sums(n, width int, add func(sum []float64, lo, hi int)) []float64 {
	each := make([]float64, blocks(n)*width)
	share(n, func(lo, hi int) {
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

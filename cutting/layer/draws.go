package layer

import (
	"strconv"

	"slatewright/chance"
)

// draws says of each joint in which samples it is there and where: bit s of there is sample s.
type draws struct {
	n     int
	all   uint64
	there []uint64
	off   [][]float64 // mm across the joint, by sample; nil where its place is sure
}

// draw spreads n samples evenly over what may be: each joint is there in as near as possible its share of them, and its places are the middles of n
// equally likely stretches, in an order of its own (M. D. McKay, R. J. Beckman and W. J. Conover, Technometrics 21, 1979).
func draw(joints []Joint, n int, seed uint64) draws {
	sure := true
	for _, j := range joints {
		sure = sure && (j.sure() || j.Chance == 0)
	}
	if sure {
		n = 1
	}
	d := draws{n: n, all: ^uint64(0) >> (64 - n)}
	stream := chance.NewStream(seed)
	for i, j := range joints {
		there, off := d.all, []float64(nil)
		s := stream.Split(strconv.Itoa(i))
		if j.Chance < 1 {
			there = 0
			for k, at := range order(s, n) {
				if float64(at)+0.5 < j.Chance*float64(n) {
					there |= 1 << k
				}
			}
		}
		if j.Error > 0 {
			off = make([]float64, n)
			for k, at := range order(s, n) {
				off[k] = j.Error * chance.Quantile((float64(at)+0.5)/float64(n))
			}
		}
		d.there, d.off = append(d.there, there), append(d.off, off)
	}
	return d
}

// order is a shuffled 0 … n−1.
func order(s *chance.Stream, n int) []int {
	list := make([]int, n)
	for i := range list {
		k := s.IntN(i + 1)
		list[i], list[k] = list[k], i
	}
	return list
}

package beds_test

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"slatewright/bed"
	"slatewright/sets/beds"
)

// BenchmarkNew makes 300 pieces of the invented mill ready: readings on 6 by 9 places and along both joints.
func BenchmarkNew(b *testing.B) {
	list := milled(1, 300)
	for b.Loop() {
		if _, err := beds.New(list, bed.NineFoot(), usual(), weights()); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkNewScans makes 20 scans of 100,000 readings ready.
func BenchmarkNewScans(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	var list []beds.Piece
	for range 20 {
		list = append(list, beds.Piece{Face: drawn(r, kind{scan: 100_000}), Ways: beds.AnyWay()})
	}
	for b.Loop() {
		if _, err := beds.New(list, bed.NineFoot(), usual(), weights()); err != nil {
			b.Fatal(err)
		}
	}
}

// three is a triple with its floor.
type three struct {
	i, j, k int
	floor   float64
}

// cheapest lists the triples of a stock whose floors are finite, the cheapest first.
func cheapest(s *beds.Stock) (list []three) {
	n := s.Len()
	floors := make([]float64, n)
	for i := range n {
		for j := i + 1; j < n; j++ {
			s.Floors(i, j, floors[:n-1-j])
			for k := j + 1; k < n; k++ {
				if f := floors[k-j-1]; !math.IsInf(f, 1) {
					list = append(list, three{i, j, k, f})
				}
			}
		}
	}
	slices.SortStableFunc(list, func(a, b three) int { return cmp.Compare(a.floor, b.floor) })
	return list
}

// BenchmarkPrice prices the thousand triples of a stock of 300 with the lowest floors, one an iteration, and tells how far above its floor a price is.
func BenchmarkPrice(b *testing.B) {
	s := stock(b, milled(1, 300), usual(), weights())
	list := cheapest(s)[:1000]
	var over []float64
	for _, t := range list {
		if bed := s.Price(t.i, t.j, t.k); bed.Serves != 0 {
			over = append(over, 100*(bed.Cost/t.floor-1))
		}
	}
	slices.Sort(over)
	n := 0
	for b.Loop() {
		t := list[n%len(list)]
		s.Price(t.i, t.j, t.k)
		n++
	}
	b.ReportMetric(over[len(over)/2], "%over-median")
	b.ReportMetric(over[len(over)*9/10], "%over-tenth")
}

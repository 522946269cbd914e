package threes_test

import (
	"math"
	"math/bits"
	"testing"

	"slatewright/chance"
	"slatewright/sets/threes"
)

// costs is a table of true costs; everything serves every demand.
type costs struct {
	n    int
	cost func(i, j, k int) float64
}

func (c costs) Floors(i, j int, floors []float64) {
	for r := range floors {
		floors[r] = c.cost(i, j, j+1+r)
	}
}

func (c costs) Price(i, j, k int) (float64, uint32) { return c.cost(i, j, k), math.MaxUint32 }

func drawn(n int, stream *chance.Stream) costs {
	v := make([]float64, n*n*n)
	for i := range v {
		v[i] = stream.Float64()
	}
	return costs{n, func(i, j, k int) float64 { return v[(i*n+j)*n+k] }}
}

// bySubsets is the least cost of n/3 disjoint threes by dynamic programming over all subsets.
func bySubsets(c costs) float64 {
	best := make([]float64, 1<<c.n)
	least := math.Inf(1)
	for set := 1; set < len(best); set++ {
		best[set] = math.Inf(1)
		if bits.OnesCount(uint(set))%3 != 0 {
			continue
		}
		i := bits.TrailingZeros(uint(set))
		for j := i + 1; j < c.n; j++ {
			for k := j + 1; k < c.n; k++ {
				if part := 1<<i | 1<<j | 1<<k; set&part == part {
					best[set] = min(best[set], best[set&^part]+c.cost(i, j, k))
				}
			}
		}
		if bits.OnesCount(uint(set)) == c.n/3*3 {
			least = min(least, best[set])
		}
	}
	return least
}

func TestAgainstSubsets(t *testing.T) {
	stream := chance.NewStream(1)
	for n := 3; n <= 13; n++ {
		for range 5 {
			c := drawn(n, stream)
			want := bySubsets(c)
			p, err := threes.Choose(threes.Ask{N: n, Triples: c})
			if err != nil {
				t.Fatal(err)
			}
			if p.Numbers[0] != n/3 || p.Bound > want+1e-9 || math.Abs(p.Cost-want) > 1e-9 {
				t.Errorf("%d things: %d sets, bound %.9f, cost %.9f; the least is %.9f", n, p.Numbers[0], p.Bound, p.Cost, want)
			}
		}
	}
}

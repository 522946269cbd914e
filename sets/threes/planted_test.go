package threes_test

import (
	"math"
	"testing"

	"slatewright/chance"
	"slatewright/sets/threes"
)

// planted is a table in which few threes can be sets, among them a parting of all things; some of the others do not look it.
func planted(n int, share float64, stream *chance.Stream) mixed {
	m := mixed{n, map[[3]int]float64{}, map[[3]int]float64{}, map[[3]int]uint32{}}
	at := make([]int, n) // the parting, in a drawn order
	for i := range at {
		j := stream.IntN(i + 1)
		at[i], at[j] = at[j], i
	}
	of := make([]int, n)
	for a, i := range at {
		of[i] = a / 3
	}
	for i := range n {
		for j := i + 1; j < n; j++ {
			for k := j + 1; k < n; k++ {
				t := [3]int{i, j, k}
				m.cost[t], m.floor[t] = stream.Float64(), math.Inf(1)
				can := of[i] == of[j] && of[j] == of[k] || stream.Float64() < share
				if can {
					m.serves[t] = 1
				}
				if can || stream.Float64() < 0.01 {
					m.floor[t] = m.cost[t] / 2
				}
			}
		}
	}
	return m
}

// TestFindsThePlantedNumber asks for numbers that a greedy plan does not reach. That all things can be used is known.
func TestFindsThePlantedNumber(t *testing.T) {
	stream := chance.NewStream(14)
	for _, n := range []int{30, 63} {
		m := planted(n, 0.6/float64(n), stream)
		p, err := threes.Choose(threes.Ask{N: n, Triples: m})
		if err != nil || p.Numbers[0] != n/3 || p.NumbersBound[0] != n/3 || p.Bound != p.Cost {
			t.Errorf("%d things: %d of %d sets, at most %d; cost %v, bound %v, %v", n, p.Numbers[0], n/3, p.NumbersBound[0], p.Cost, p.Bound, err)
		}
		holds(t, m, []int{-1}, p)
	}
}

func TestReasonsHaveWords(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range []threes.Reason{threes.NoSet, threes.TooCostly, threes.NotNeeded} {
		if s := r.String(); s == "" || seen[s] {
			t.Errorf("reason %d: %q", r, s)
		}
		seen[r.String()] = true
	}
}

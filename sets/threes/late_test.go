package threes_test

import (
	"math"
	"slices"
	"testing"

	"slatewright/sets/threes"
)

// Seven things whose demands turn out to differ only when exchanges price the last threes: costs in hundreds, and what each three serves
// (x: its floor shows that it is none), in lexicographic order.
const (
	lateCosts  = "02112110112212212100212002010220022"
	lateServes = "007000000x4x07600704000x4x00744006x"
)

func TestExchangesLearnDemands(t *testing.T) {
	m := mixed{7, map[[3]int]float64{}, map[[3]int]float64{}, map[[3]int]uint32{}}
	at := 0
	for i := range m.n {
		for j := i + 1; j < m.n; j++ {
			for k := j + 1; k < m.n; k++ {
				c := [3]int{i, j, k}
				m.cost[c], m.floor[c] = 100*float64(lateCosts[at]-'0')+30, -1070
				if lateServes[at] == 'x' {
					m.floor[c] = math.Inf(1)
				} else {
					m.serves[c] = uint32(lateServes[at] - '0')
				}
				at++
			}
		}
	}
	ask := threes.Ask{N: m.n, Triples: m, Wanted: []int{1, 0, 1}, Before: [][3]int{{2, 4, 5}, {1, 2, 5}}}
	p, err := threes.ChooseWithin(ask, threes.Few)
	if err != nil || at != len(lateCosts) || !slices.Equal(p.Numbers, ask.Wanted) || p.Cost != 360 {
		t.Errorf("numbers %v, cost %v, %v; want %v for 360", p.Numbers, p.Cost, err, ask.Wanted)
	}
	holds(t, m, ask.Wanted, p)
}

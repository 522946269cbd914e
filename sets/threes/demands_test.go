package threes_test

import (
	"math"
	"slices"
	"testing"

	"slatewright/chance"
	"slatewright/sets/threes"
)

// mixed is a table in which threes differ in what they can serve; some are none, and some floors are low or hide that.
type mixed struct {
	n      int
	cost   map[[3]int]float64
	floor  map[[3]int]float64
	serves map[[3]int]uint32
}

func (m mixed) Floors(i, j int, floors []float64) {
	for r := range floors {
		floors[r] = m.floor[[3]int{i, j, j + 1 + r}]
	}
}

func (m mixed) Price(i, j, k int) (float64, uint32) {
	t := [3]int{i, j, k}
	return m.cost[t], m.serves[t]
}

// drawnMixed lets a three serve each demand with the given chance; costs may be negative.
func drawnMixed(n, demands int, share float64, stream *chance.Stream) mixed {
	m := mixed{n, map[[3]int]float64{}, map[[3]int]float64{}, map[[3]int]uint32{}}
	for i := range n {
		for j := i + 1; j < n; j++ {
			for k := j + 1; k < n; k++ {
				t := [3]int{i, j, k}
				m.cost[t] = stream.Float64() - 0.3
				m.floor[t] = m.cost[t]
				for d := range demands {
					if stream.Float64() < share {
						m.serves[t] |= 1 << d
					}
				}
				if stream.Float64() < 0.4 {
					m.floor[t] -= 0.2
				}
				if m.serves[t] == 0 && stream.Float64() < 0.5 {
					m.floor[t] = math.Inf(1)
				}
			}
		}
	}
	return m
}

// enumerated tries every plan.
type enumerated struct {
	mixed
	wanted  []int
	used    []bool
	now     []int
	numbers []int
	best    float64
}

func (e *enumerated) from(i int, cost float64) {
	for i < e.n && e.used[i] {
		i++
	}
	if i == e.n {
		if c := slices.Compare(e.now, e.numbers); c > 0 || c == 0 && cost < e.best {
			e.numbers, e.best = slices.Clone(e.now), cost
		}
		return
	}
	e.used[i] = true
	e.from(i+1, cost)
	for j := i + 1; j < e.n; j++ {
		for k := j + 1; k < e.n && !e.used[j]; k++ {
			t := [3]int{i, j, k}
			if e.used[k] {
				continue
			}
			e.used[j], e.used[k] = true, true
			for d := range e.wanted {
				if e.serves[t]>>d&1 == 1 && (e.wanted[d] < 0 || e.now[d] < e.wanted[d]) {
					e.now[d]++
					e.from(i+1, cost+e.mixed.cost[t])
					e.now[d]--
				}
			}
			e.used[j], e.used[k] = false, false
		}
	}
	e.used[i] = false
}

func TestDemandsAgainstEnumeration(t *testing.T) {
	stream := chance.NewStream(4)
	for round := range 120 {
		n, demands := 6+stream.IntN(4), 1+stream.IntN(3)
		m := drawnMixed(n, demands, 0.05+0.4*stream.Float64(), stream)
		wanted := make([]int, demands)
		for d := range wanted {
			wanted[d] = stream.IntN(3)
		}
		if stream.IntN(2) == 0 {
			wanted[demands-1] = -1
		}
		e := enumerated{mixed: m, wanted: wanted, used: make([]bool, n), now: make([]int, demands), numbers: make([]int, demands)}
		e.from(0, 0)
		p, err := threes.Choose(threes.Ask{N: n, Triples: m, Wanted: wanted})
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(p.Numbers, e.numbers) || !slices.Equal(p.NumbersBound, e.numbers) || math.Abs(p.Cost-e.best) > 1e-9 || p.Bound != p.Cost {
			t.Errorf("round %d, %d things, wanted %v: numbers %v (at most %v), cost %.9f, bound %.9f; the best is %v, %.9f", round, n, wanted,
				p.Numbers, p.NumbersBound, p.Cost, p.Bound, e.numbers, e.best)
		}
		holds(t, m, wanted, p)
	}
}

// holds checks what every plan must keep: disjoint threes that serve their demand at their cost, and sums that add up.
func holds(t *testing.T, m threes.Triples, wanted []int, p threes.Plan) {
	t.Helper()
	seen := map[int]bool{}
	numbers := make([]int, len(wanted))
	sum := 0.0
	for _, c := range p.Sets {
		cost, serves := m.Price(c.Three[0], c.Three[1], c.Three[2])
		if cost != c.Cost || serves>>c.Demand&1 == 0 || !slices.IsSorted(c.Three[:]) {
			t.Errorf("%v for demand %d at %.9f: it costs %.9f and serves %b", c.Three, c.Demand, c.Cost, cost, serves)
		}
		for _, i := range c.Three {
			if seen[i] {
				t.Errorf("thing %d twice", i)
			}
			seen[i] = true
		}
		numbers[c.Demand]++
		sum += cost
	}
	for _, i := range p.Unused {
		if seen[i] {
			t.Errorf("thing %d is used and unused", i)
		}
	}
	spared := 0
	for _, w := range p.Why {
		spared += w.Count
	}
	if !slices.Equal(numbers, p.Numbers) || math.Abs(sum-p.Cost) > 1e-9 || spared != p.Triples-p.Priced {
		t.Errorf("numbers %v for %v, cost %.9f for %.9f, %d spared of %d less %d", numbers, p.Numbers, sum, p.Cost, spared, p.Triples, p.Priced)
	}
}

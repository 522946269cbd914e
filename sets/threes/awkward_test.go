package threes_test

import (
	"math"
	"math/bits"
	"slices"
	"testing"

	"slatewright/chance"
	"slatewright/sets/threes"
)

// How many questions of either kind are drawn.
const (
	awkwardSmall = 1000
	awkwardLarge = 60
)

// never is how often a search of so few things may ask whether to stop: one that asks more often does not end.
const never = 100_000

// awkward is a question drawn to be hard to prove: ties, negative and shifted costs in any unit, low floors, gaps in what can be a
// set, things of fixed places, patterns of what serves whom, a search that is stopped or content with a gap.
type awkward struct {
	mixed
	ask   threes.Ask
	swing float64 // the largest cost less the lowest floor
	asked int
	end   int // it is stopped when it asks more often
}

func (a *awkward) stop() bool {
	a.asked++
	return a.asked > a.end
}

func (a *awkward) ended() bool { return a.asked < never }

// drawnAwkward is a question of n things for some demands, the last without end if that is drawn.
func drawnAwkward(n, demands int, s *chance.Stream) *awkward {
	a := &awkward{mixed: mixed{n, map[[3]int]float64{}, map[[3]int]float64{}, map[[3]int]uint32{}}, end: never}
	cost, none, floor, serves := drawnCosts(n, s), drawnGaps(n, s), drawnFloors(s), drawnPatterns(demands, s)
	unit, plus := []float64{1, 0.01, 100, 10_000}[s.IntN(4)], []float64{0, 0, 30, -30}[s.IntN(4)]
	high, low := math.Inf(-1), math.Inf(1)
	for i := range n {
		for j := i + 1; j < n; j++ {
			for k := j + 1; k < n; k++ {
				t := [3]int{i, j, k}
				c := cost(i, j, k)
				a.mixed.cost[t], a.floor[t], a.mixed.serves[t] = unit*c+plus, unit*floor(c)+plus, serves()
				if known, gap := none(i, j, k); gap {
					a.mixed.serves[t] = 0
					if known {
						a.floor[t] = math.Inf(1)
					}
				}
				high, low = max(high, a.mixed.cost[t]), min(low, a.floor[t])
			}
		}
	}
	if high > low && !math.IsInf(low, 1) {
		a.swing = high - low
	}
	a.ask = threes.Ask{N: n, Triples: a, Wanted: make([]int, demands), Stop: a.stop}
	for d := range a.ask.Wanted {
		a.ask.Wanted[d] = s.IntN(2 + n/4)
	}
	if s.IntN(3) > 0 {
		a.ask.Wanted[demands-1] = -1
	}
	if s.IntN(4) == 0 {
		a.end = s.IntN(60)
	}
	if s.IntN(4) == 0 {
		a.ask.Gap = 0.2 * s.Float64()
	}
	for range s.IntN(4) {
		if n > 0 {
			a.ask.Before = append(a.ask.Before, [3]int{s.IntN(n), s.IntN(n), s.IntN(n)})
		}
	}
	return a
}

// drawnCosts are costs of one kind of several.
func drawnCosts(n int, s *chance.Stream) func(i, j, k int) float64 {
	x, z := make([]float64, n), make([]float64, n)
	for i := range x {
		x[i], z[i] = s.Normal(), s.Float64()
	}
	spread := func(i, j, k int) float64 { return max(x[i], x[j], x[k]) - min(x[i], x[j], x[k]) }
	noise := []float64{0, 0, 1e-9, 1e-12}[s.IntN(4)]
	kinds := []func(i, j, k int) float64{
		func(i, j, k int) float64 { return s.Float64() },
		func(i, j, k int) float64 { return float64(s.IntN(4)) },
		spread,
		func(i, j, k int) float64 { return math.Round(4*spread(i, j, k)) / 4 },
		func(i, j, k int) float64 { return spread(i, j, k) + max(z[i], z[j], z[k]) + 0.2*float64(s.IntN(3)) },
		func(i, j, k int) float64 { return 1 + 0.01*s.Float64() - 10*float64(i%2) },
		func(i, j, k int) float64 { return 0 },
	}
	kind := kinds[s.IntN(len(kinds))]
	return func(i, j, k int) float64 { return kind(i, j, k) + noise*s.Float64() }
}

// drawnGaps says which threes are none, and whether their floor shows it.
func drawnGaps(n int, s *chance.Stream) func(i, j, k int) (known, gap bool) {
	share, hidden := 0.8*s.Float64()*float64(s.IntN(2)), 0.6*s.Float64()*float64(s.IntN(2))
	place := make([]int, n) // 3 and more: any
	for i := range place {
		place[i] = 3
		if n > 5 {
			place[i] = s.IntN(6)
		}
	}
	fixed := s.IntN(3) == 0
	clash := func(i, j int) bool { return place[i] < 3 && place[i] == place[j] }
	return func(i, j, k int) (known, gap bool) {
		known = s.Float64() < share || fixed && (clash(i, j) || clash(i, k) || clash(j, k))
		return known, known || s.Float64() < hidden
	}
}

// drawnFloors are true, a little too low, or the same for all.
func drawnFloors(s *chance.Stream) func(cost float64) float64 {
	switch s.IntN(3) {
	case 0:
		return func(cost float64) float64 { return cost }
	case 1:
		return func(cost float64) float64 { return cost - 0.5*s.Float64() }
	}
	return func(float64) float64 { return -11 }
}

// drawnPatterns are what threes serve: a demand and all after it, or any of them, or few are unlike the rest.
func drawnPatterns(demands int, s *chance.Stream) func() uint32 {
	all := uint32(1)<<demands - 1
	switch {
	case demands == 1:
		return func() uint32 { return 1 }
	case s.IntN(2) == 0:
		return func() uint32 { return all &^ (1<<s.IntN(demands+1) - 1) }
	}
	rare := 1 + s.IntN(30)*s.IntN(2) // one three in so many differs
	return func() uint32 {
		if s.IntN(rare) > 0 {
			return all
		}
		return uint32(s.IntN(1 << demands))
	}
}

// against checks an answer against the best there is.
func (a *awkward) against(t *testing.T, round int, p threes.Plan, numbers []int, best float64) {
	t.Helper()
	slight := 2e-9*max(1, math.Abs(best)) + 1e-13*a.swing
	same := slices.Equal(p.Numbers, numbers)
	wrong := ""
	for d := range numbers {
		if p.NumbersBound[d] < p.Numbers[d] || numbers[d] > p.NumbersBound[d] || numbers[d] < p.Numbers[d] {
			wrong = "numbers"
		}
		if numbers[d] != p.Numbers[d] { // those after it are of other plans
			break
		}
	}
	switch {
	case wrong != "":
	case !a.ended():
		wrong = "does not end"
	case !p.Stopped && (!same || !slices.Equal(p.NumbersBound, numbers)):
		wrong = "numbers at the end"
	case math.IsInf(p.Bound, 0) || math.IsNaN(p.Bound) || p.Bound > p.Cost:
		wrong = "a bound that is none"
	case same && (p.Bound > best+slight || p.Cost < best-slight):
		wrong = "bound"
	case !p.Stopped && p.Cost-p.Bound > a.ask.Gap*math.Abs(p.Cost)+slight+1e-9*a.swing:
		wrong = "gap at the end"
	}
	if wrong != "" {
		t.Errorf("round %d: %s: %d things, wanted %v, gap %g, stopped %v: numbers %v (at most %v), cost %.12g, bound %.12g; the best is %v, %.12g", round,
			wrong, a.n, a.ask.Wanted, a.ask.Gap, p.Stopped, p.Numbers, p.NumbersBound, p.Cost, p.Bound, numbers, best)
	}
	for _, w := range p.Why {
		if w.Count < 0 {
			t.Errorf("round %d: %d threes spared as %v", round, w.Count, w.Why)
		}
	}
	holds(t, a, a.ask.Wanted, p)
}

// answers checks the answer of Choose, and that to the same question put in parts as large ones are.
func (a *awkward) answers(t *testing.T, round int, numbers []int, best float64) (stopped bool) {
	t.Helper()
	p, err := threes.Choose(a.ask)
	if err != nil {
		t.Fatal(err)
	}
	a.against(t, round, p, numbers, best)
	a.asked = 0
	inParts, err := threes.ChooseWithin(a.ask, threes.Few)
	if err != nil {
		t.Fatal(err)
	}
	a.against(t, round, inParts, numbers, best)
	return p.Stopped
}

func TestAwkwardAgainstEnumeration(t *testing.T) {
	stopped := 0
	for round := range awkwardSmall {
		s := chance.NewStream(uint64(round)).Split("small")
		n, demands := s.IntN(10), 1+s.IntN(4)
		if n == 9 && s.IntN(3) > 0 {
			demands = 1
		}
		a := drawnAwkward(n, demands, s)
		e := enumerated{mixed: a.mixed, wanted: a.ask.Wanted, used: make([]bool, n), now: make([]int, demands), numbers: make([]int, demands), best: math.Inf(1)}
		e.from(0, 0)
		if a.answers(t, round, e.numbers, e.best) {
			stopped++
		}
	}
	if stopped == 0 || stopped == awkwardSmall {
		t.Errorf("%d of %d searches were stopped", stopped, awkwardSmall)
	}
}

// leastOfNumbers is the least cost of 0, 1, 2 … disjoint threes, by dynamic programming over all subsets; +Inf where there are not so many.
func leastOfNumbers(m mixed) []float64 {
	best, least := make([]float64, 1<<m.n), make([]float64, m.n/3+1)
	for a := range least[1:] {
		least[1+a] = math.Inf(1)
	}
	for set := 1; set < len(best); set++ {
		size := bits.OnesCount(uint(set))
		if best[set] = math.Inf(1); size%3 != 0 {
			continue
		}
		i := bits.TrailingZeros(uint(set))
		for j := i + 1; j < m.n; j++ {
			for k := j + 1; k < m.n && set>>j&1 == 1; k++ {
				if t := [3]int{i, j, k}; set>>k&1 == 1 && m.serves[t] != 0 {
					best[set] = min(best[set], best[set&^(1<<i|1<<j|1<<k)]+m.cost[t])
				}
			}
		}
		least[size/3] = min(least[size/3], best[set])
	}
	return least
}

func TestAwkwardAgainstSubsets(t *testing.T) {
	for round := range awkwardLarge {
		s := chance.NewStream(uint64(round)).Split("large")
		n := 10 + s.IntN(5)
		a := drawnAwkward(n, 1, s)
		least := leastOfNumbers(a.mixed)
		most := 0
		for number, cost := range least {
			if w := a.ask.Wanted[0]; !math.IsInf(cost, 1) && (w < 0 || number <= w) {
				most = number
			}
		}
		a.answers(t, round, []int{most}, least[most])
	}
}

// TestAwkwardServesDemands asks questions of more things than can be tried, in which exchanges still learn which demands differ: what is
// told adds up, and every set serves its demand.
func TestAwkwardServesDemands(t *testing.T) {
	for round := range awkwardLarge {
		s := chance.NewStream(uint64(round)).Split("demands")
		a := drawnAwkward(12+s.IntN(8), 2+s.IntN(2), s)
		for _, l := range []threes.Limits{threes.Usual, threes.Few} {
			a.asked = 0
			p, err := threes.ChooseWithin(a.ask, l)
			if err != nil {
				t.Fatal(err)
			}
			if !a.ended() || p.Bound > p.Cost || math.IsInf(p.Bound, 0) {
				t.Errorf("round %d: asked %d times; cost %v, bound %v", round, a.asked, p.Cost, p.Bound)
			}
			holds(t, a, a.ask.Wanted, p)
		}
	}
}

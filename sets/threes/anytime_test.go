package threes_test

import (
	"errors"
	"math"
	"reflect"
	"slices"
	"sync/atomic"
	"testing"

	"slatewright/chance"
	"slatewright/sets/threes"
	"slatewright/trouble"
)

// TestStoppedAtAnyTime stops a search after ever more questions whether to stop: what it says holds each time.
func TestStoppedAtAnyTime(t *testing.T) {
	stream := chance.NewStream(6)
	c := drawn(24, stream)
	whole, err := threes.Choose(threes.Ask{N: c.n, Triples: c})
	if err != nil || whole.Bound != whole.Cost {
		t.Fatalf("cost %v, bound %v, error %v", whole.Cost, whole.Bound, err)
	}
	stopped, gaps := 0, 0
	for after := range 40 {
		var told []threes.State
		asked := 0
		p, err := threes.Choose(threes.Ask{N: c.n, Triples: c, Stop: func() bool { asked++; return asked > after },
			Tell: func(s threes.State) { told = append(told, s) }})
		if err != nil {
			t.Fatal(err)
		}
		holds(t, c, []int{-1}, p)
		if p.Numbers[0] > 8 || p.NumbersBound[0] < 8 || p.Numbers[0] == 8 && (p.Bound > whole.Cost+1e-9 || p.Cost < whole.Cost-1e-9) {
			t.Errorf("stopped after %d: numbers %v of %v, cost %v, bound %v; the least is %v", after, p.Numbers, p.NumbersBound, p.Cost, p.Bound, whole.Cost)
		}
		if math.IsInf(p.Bound, 0) || math.IsNaN(p.Bound) {
			t.Errorf("stopped after %d: bound %v", after, p.Bound)
		}
		for a := 1; a < len(told); a++ {
			if slices.Equal(told[a].Numbers, told[a-1].Numbers) && (told[a].Cost > told[a-1].Cost+1e-12 || told[a].Bound < told[a-1].Bound) {
				t.Errorf("progress went back: %v, then %v", told[a-1], told[a])
			}
		}
		if p.Stopped {
			stopped++
		}
		if p.Bound < p.Cost {
			gaps++
		}
	}
	if stopped == 0 || gaps == 0 {
		t.Errorf("%d of 40 were stopped, %d left a gap: the test does not see an unfinished search", stopped, gaps)
	}
}

// counted counts how often true prices are asked for.
type counted struct {
	costs
	asked *atomic.Int64
}

func (c counted) Floors(i, j int, floors []float64) {
	c.costs.Floors(i, j, floors)
	for r := range floors {
		floors[r] -= 0.1 * float64((i+j+r)%3)
	}
}

func (c counted) Price(i, j, k int) (float64, uint32) {
	c.asked.Add(1)
	return c.costs.Price(i, j, k)
}

func TestSameAnswerEachTimeAndFewPrices(t *testing.T) {
	c := counted{seatLike(60, chance.NewStream(7)), new(atomic.Int64)}
	first, err := threes.Choose(threes.Ask{N: 60, Triples: c})
	if err != nil {
		t.Fatal(err)
	}
	if got := c.asked.Load(); got != int64(first.Priced) || first.Priced*4 > first.Triples {
		t.Errorf("%d true prices were asked for, %d are told, of %d", got, first.Priced, first.Triples)
	}
	exact, err := threes.Choose(threes.Ask{N: 60, Triples: c.costs})
	if err != nil || math.Abs(exact.Cost-first.Cost) > 1e-9 || first.Bound != first.Cost {
		t.Errorf("low floors: cost %.9f, bound %.9f; true floors: %.9f, %v", first.Cost, first.Bound, exact.Cost, err)
	}
	again, err := threes.Choose(threes.Ask{N: 60, Triples: c})
	if err != nil || !reflect.DeepEqual(first, again) {
		t.Errorf("asked twice: %v, then %v (%v)", first, again, err)
	}
}

func TestBeginsWithThePlanGiven(t *testing.T) {
	c := drawn(21, chance.NewStream(8))
	best, err := threes.Choose(threes.Ask{N: c.n, Triples: c})
	if err != nil {
		t.Fatal(err)
	}
	var before [][3]int
	for _, s := range best.Sets {
		before = append(before, [3]int{s.Three[2], s.Three[0], s.Three[1]})
	}
	before = append(before, before[0], [3]int{1, 1, 2}, [3]int{-1, 2, 3}, [3]int{3, 4, c.n})
	p, err := threes.Choose(threes.Ask{N: c.n, Triples: c, Before: before, Stop: func() bool { return true }})
	if err != nil || p.Cost != best.Cost || !p.Stopped {
		t.Errorf("the best plan given and no time: cost %v, stopped %v, %v; want %v", p.Cost, p.Stopped, err, best.Cost)
	}
}

func TestGoodEnough(t *testing.T) {
	c := onALine(60, 4, chance.NewStream(9))
	p, err := threes.Choose(threes.Ask{N: c.n, Triples: c, Gap: 0.2})
	if err != nil || p.Gap() > 0.2 || p.Gap() == 0 {
		t.Errorf("asked for a gap of 0.2: %v (%v)", p.Gap(), err)
	}
}

func TestSmallQuestions(t *testing.T) {
	for n := range 4 {
		c := drawn(n, chance.NewStream(10))
		p, err := threes.Choose(threes.Ask{N: n, Triples: c})
		if err != nil || p.Numbers[0] != n/3 || len(p.Unused) != n%3 || p.Bound != p.Cost {
			t.Errorf("%d things: %+v, %v", n, p, err)
		}
	}
	none := costs{6, func(i, j, k int) float64 { return math.Inf(1) }}
	p, err := threes.Choose(threes.Ask{N: 6, Triples: none, Wanted: []int{1, -1}})
	if err != nil || len(p.Sets) != 0 || !slices.Equal(p.NumbersBound, []int{0, 0}) || p.Possible != 0 || p.Cost != 0 || p.Bound != 0 {
		t.Errorf("nothing can be a set: %+v, %v", p, err)
	}
}

func TestRefused(t *testing.T) {
	c := drawn(6, chance.NewStream(11))
	nan := costs{6, func(i, j, k int) float64 { return math.NaN() }}
	list := map[string]threes.Ask{
		"stock-size": {N: threes.MostThings + 1, Triples: c},
		"demands":    {N: 6, Triples: c, Wanted: []int{-1, 2}},
		"no-triples": {N: 6},
		"no-number":  {N: 6, Triples: nan},
	}
	for code, a := range list {
		var told *trouble.Trouble
		if _, err := threes.Choose(a); !errors.As(err, &told) || told.Code != code {
			t.Errorf("%s: %v", code, err)
		}
	}
}

// TestUnitsOfCost asks the same in other units of cost, and with much the same added to every cost.
func TestUnitsOfCost(t *testing.T) {
	c := seatLike(24, chance.NewStream(12))
	want, err := threes.Choose(threes.Ask{N: c.n, Triples: c})
	if err != nil {
		t.Fatal(err)
	}
	for _, unit := range []struct{ by, plus float64 }{{1e-3, 0}, {1e3, 0}, {1e6, 0}, {1, 1e4}, {1, -1e4}} {
		p, err := threes.Choose(threes.Ask{N: c.n, Triples: costs{c.n, func(i, j, k int) float64 { return unit.by*c.cost(i, j, k) + unit.plus }}})
		got := (p.Cost - unit.plus*8) / unit.by
		if err != nil || p.Numbers[0] != 8 || math.Abs(got-want.Cost) > 1e-6 || p.Gap() > 1e-9 {
			t.Errorf("by %g plus %g: cost %.9f, bound %.9f, %v; want %.9f", unit.by, unit.plus, p.Cost, p.Bound, err, want.Cost)
		}
	}
}

// TestBoundComesBeforeTheNumbersAreCounted: a search that is stopped early has been told a bound by then, not only that of the floors.
func TestBoundComesBeforeTheNumbersAreCounted(t *testing.T) {
	c := seatLike(60, chance.NewStream(15))
	gap := math.Inf(1)
	p, err := threes.Choose(threes.Ask{N: c.n, Triples: c, Tell: func(now threes.State) {
		if !now.Counted {
			gap = min(gap, (now.Cost-now.Bound)/now.Cost)
		}
	}})
	if err != nil || gap > 0.05 || p.Bound != p.Cost {
		t.Errorf("before numbers were counted a gap of %v was told; cost %v, bound %v, %v", gap, p.Cost, p.Bound, err)
	}
}

// TestBoundsOfNumbersThatGrow: more sets turn out to be possible than a first plan has; what is told of such numbers on the way no plan of them is below.
func TestBoundsOfNumbersThatGrow(t *testing.T) {
	stream := chance.NewStream(16)
	grew := 0
	for range 6 {
		m := planted(30, 0.02, stream)
		for c := range m.cost { // a set more makes a plan cheaper
			m.cost[c]--
			m.floor[c]--
		}
		var told []threes.State
		p, err := threes.Choose(threes.Ask{N: m.n, Triples: m, Tell: func(now threes.State) { told = append(told, now) }})
		if err != nil || p.Bound != p.Cost {
			t.Fatalf("cost %v, bound %v, %v", p.Cost, p.Bound, err)
		}
		if told[0].Numbers[0] < p.Numbers[0] {
			grew++
		}
		for a, now := range told {
			if a > 0 && now.Numbers[0] < told[a-1].Numbers[0] {
				t.Errorf("%v sets after %v", now.Numbers, told[a-1].Numbers)
			}
			if now.Numbers[0] == p.Numbers[0] && (now.Bound > p.Cost+1e-9 || now.Cost < p.Cost-1e-9) {
				t.Errorf("told %v to %v of %v sets; the least is %v", now.Bound, now.Cost, now.Numbers, p.Cost)
			}
		}
	}
	if grew == 0 {
		t.Error("no first plan had too few sets")
	}
}

package tour

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"slatewright/chance"
)

// drawn invents stops in a square of 1000 mm; some are left elsewhere than they are reached when apart is set.
func drawn(seed uint64, n int, apart bool) (begin Point, stops []Stop, end Point) {
	s := chance.NewStream(seed)
	place := func() Point { return Point{1000 * s.Float64(), 1000 * s.Float64()} }
	for range n {
		stop := At(place())
		if apart && s.IntN(2) == 0 {
			stop.Out = place()
		}
		stops = append(stops, stop)
	}
	return place(), stops, place()
}

// walked adds the way of an order up, stop by stop.
func walked(t *testing.T, begin Point, stops []Stop, end *Point, order []int) (l float64) {
	t.Helper()
	if sorted := slices.Sorted(slices.Values(order)); len(sorted) != len(stops) || len(slices.Compact(sorted)) != len(stops) {
		t.Fatalf("%v does not visit each of %d stops once", order, len(stops))
	}
	at := begin
	for _, i := range order {
		l += way(at, stops[i].In)
		at = stops[i].Out
	}
	if end != nil {
		l += way(at, *end)
	}
	return l
}

// everyOrder is the shortest of all orders.
func everyOrder(t *testing.T, begin Point, stops []Stop, end *Point) float64 {
	best := math.Inf(1)
	var try func(order []int)
	try = func(order []int) {
		if len(order) == len(stops) {
			best = math.Min(best, walked(t, begin, stops, end, order))
			return
		}
		for i := range stops {
			if !slices.Contains(order, i) {
				try(append(slices.Clone(order), i))
			}
		}
	}
	try(nil)
	return best
}

func TestFewStopsAreVisitedByTheShortestTour(t *testing.T) {
	for seed := range uint64(24) {
		begin, stops, last := drawn(seed, 1+int(seed)%7, seed%2 == 0)
		var end *Point
		if seed%3 > 0 {
			end = &last
		}
		got := Solve(begin, stops, end)
		want := everyOrder(t, begin, stops, end)
		if l := walked(t, begin, stops, end, got.Order); math.Abs(l-want) > 1e-9 || math.Abs(got.Length-l) > 1e-9 || !got.Proven || got.Bound != got.Length {
			t.Errorf("seed %d: %.9f in the order %v, every order gives %.9f at best; said %+v", seed, l, got.Order, want, got)
		}
	}
}

// The same search that serves many stops, on as many as the dynamic program still takes.
func TestSearchAndBoundBesideTheExactTour(t *testing.T) {
	for seed := range uint64(30) {
		begin, stops, last := drawn(100+seed, 12, seed%2 == 0)
		exact := Solve(begin, stops, &last)
		p := ways(begin, stops, &last)
		found, bound := p.length(p.search()), p.bound(exact.Length)
		if found > exact.Length*1.002 {
			t.Errorf("seed %d: found %.3f, the shortest is %.3f", seed, found, exact.Length)
		}
		if bound > exact.Length+1e-9 {
			t.Errorf("seed %d: the bound %.6f is above the shortest tour %.6f", seed, bound, exact.Length)
		}
		if seed%2 == 1 && bound < 0.93*exact.Length {
			t.Errorf("seed %d: the bound %.3f is far below %.3f", seed, bound, exact.Length)
		}
	}
}

// The holes of a piece lie in rows: there the bound must come near.
func TestRowsOfHoles(t *testing.T) {
	var stops []Stop
	for i := range 14 {
		stops = append(stops, At(Point{60 * float64(i), 0}), At(Point{60 * float64(i), 900}))
	}
	got := Solve(Point{-500, 450}, stops, nil)
	// Over to one row's end, along it, across, and back along the other.
	if want := math.Hypot(500, 450) + 2*13*60 + 900; math.Abs(got.Length-want) > 1e-6 {
		t.Errorf("%.3f, two rows need %.3f", got.Length, want)
	}
	if got.Bound > got.Length || got.Bound < 0.97*got.Length {
		t.Errorf("the bound is %.3f of %.3f", got.Bound, got.Length)
	}
}

func TestNothingToVisit(t *testing.T) {
	if got := Solve(Point{}, nil, &Point{3, 4}); got.Length != 5 || len(got.Order) != 0 || !got.Proven {
		t.Errorf("%+v", got)
	}
}

// For every draw: each stop once, the length as walked, the bound no longer than the tour, the same again.
func TestEveryTour(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 26).Draw(t, "stops")
		place := func(name string) Point {
			return Point{float64(rapid.IntRange(-20, 20).Draw(t, name+" x")), float64(rapid.IntRange(-20, 20).Draw(t, name+" y"))}
		}
		var stops []Stop
		for range n {
			stops = append(stops, Stop{place("in"), place("out")})
		}
		begin := place("begin")
		got := Solve(begin, stops, nil)
		seen := make([]bool, n)
		at, l := begin, 0.0
		for _, i := range got.Order {
			if seen[i] {
				t.Fatalf("stop %d twice", i)
			}
			seen[i] = true
			l += way(at, stops[i].In)
			at = stops[i].Out
		}
		if len(got.Order) != n || math.Abs(l-got.Length) > 1e-9 || got.Bound > got.Length {
			t.Fatalf("%+v, walked %g", got, l)
		}
		if again := Solve(begin, stops, nil); !slices.Equal(again.Order, got.Order) {
			t.Fatalf("%v, and then %v", got.Order, again.Order)
		}
	})
}

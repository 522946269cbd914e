package learned

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"slatewright/chance"
	"slatewright/internal/truth"
)

func pairsOf(errs []float64) []Pair {
	pairs := make([]Pair, len(errs))
	for i, e := range errs {
		pairs[i] = Pair{Set: fmt.Sprintf("S-%d", i+1), Read: e}
	}
	return pairs
}

// TestOutliersAgainstPublishedValues: deviates and critical values one after another, and the three that are found.
func TestOutliersAgainstPublishedValues(t *testing.T) {
	r := truth.Rosner()
	if len(r.Values) != 54 || len(r.Deviates) != 10 || len(r.Critical) != 10 {
		t.Fatalf("%d values, %d deviates, %d critical", len(r.Values), len(r.Deviates), len(r.Critical))
	}
	left := make([]int, len(r.Values))
	for i := range left {
		left[i] = i
	}
	for step, want := range r.Deviates {
		at, got := farthest(r.Values, left)
		if math.Abs(got-want) > 1.1e-3 || math.Abs(critical(len(left))-r.Critical[step]) > 1.1e-3 {
			t.Errorf("step %d: %.4f above %.4f, published %.3f above %.3f", step, got, critical(len(left)), want, r.Critical[step])
		}
		left = slices.Delete(left, at, at+1)
	}
	if got := outliers(r.Values); !slices.Equal(got, []int{53, 52, 51}) {
		t.Errorf("outliers %v, published three: the last, 6.01, 5.42, 5.34", got)
	}
	a := From(pairsOf(r.Values))
	if len(a.Outliers) != 3 || len(a.Warnings) != 3 {
		t.Errorf("%v %q", a.Outliers, a.Warnings)
	}
}

// TestTrendAgainstCertifiedLine: NIST's Norris has a slope with its standard deviation, certified to 15 digits; t of 34 degrees of freedom at 95 % is 1.6909
// (tables of statistics, from memory).
func TestTrendAgainstCertifiedLine(t *testing.T) {
	line := truth.Norris()
	pairs := make([]Pair, len(line.X))
	for i := range pairs {
		pairs[i] = Pair{Set: "S", Read: line.Y[i], Day: line.X[i]}
	}
	a := From(pairs)
	half := (a.TrendWithin.High - a.TrendWithin.Low) / 2
	if a.N != 36 || math.Abs(a.Trend-line.Slope) > 1e-12 || math.Abs(half-1.6909*line.SlopeSD) > 1e-4*line.SlopeSD || !a.Drifts {
		t.Errorf("slope %.15g ± %.6g, certified %.15g ± 1.6909·%.6g; drifts %v", a.Trend, half, line.Slope, line.SlopeSD, a.Drifts)
	}
}

// TestByHand: 1, 2, 3, 4, 5 µm too much: mean 3, standard deviation √2.5; t(4) at 95 % is 2.132, χ²(4) at 5 and 95 % are 0.711 and 9.488 (tables of statistics,
// from memory).
func TestByHand(t *testing.T) {
	a := From(pairsOf([]float64{0.001, 0.002, 0.003, 0.004, 0.005}))
	sd := math.Sqrt(2.5) / 1000
	for name, pair := range map[string][2]float64{
		"bias": {a.Bias, 0.003}, "low": {a.BiasWithin.Low, 0.003 - 2.132*sd/math.Sqrt(5)}, "high": {a.BiasWithin.High, 0.003 + 2.132*sd/math.Sqrt(5)},
		"SD": {a.SD, sd}, "SD low": {a.SDWithin.Low, sd * math.Sqrt(4/9.488)}, "SD high": {a.SDWithin.High, sd * math.Sqrt(4/0.711)},
		"room": {a.Room, 0.003 + 2.132*sd*math.Sqrt(1.2)},
	} {
		if math.Abs(pair[0]-pair[1]) > 3e-6 {
			t.Errorf("%s: %.6f, by hand %.6f", name, pair[0], pair[1])
		}
	}
	if !a.Enough || a.Drifts || len(a.Outliers)+len(a.Warnings) > 0 || !math.IsNaN(a.Trend) {
		t.Errorf("%+v", a)
	}
}

// TestRoomHoldsTheNextSet: of seeded mills, with and without drift that is not there, the next set is read within the room in 95 of 100; intervals hold the truth
// in 90 of 100. The band is four standard errors of so many trials.
func TestRoomHoldsTheNextSet(t *testing.T) {
	const trials, bias, sd = 8000, 0.03, 0.01
	for _, n := range []int{5, 12} {
		var room, mean, spread, trend, drifts int
		for trial := range trials {
			s := chance.NewStream(uint64(trial)).Split(fmt.Sprint(n))
			pairs := make([]Pair, n)
			for i := range pairs {
				foretold := 0.1 * s.Float64()
				pairs[i] = Pair{Foretold: foretold, Read: foretold + bias + sd*s.Normal(), Day: float64(i)}
			}
			still := slices.Clone(pairs)
			for i := range still {
				still[i].Day = 0
			}
			a, b := From(still), From(pairs)
			count(&room, bias+sd*s.Normal() <= a.Room)
			count(&mean, a.BiasWithin.Low <= bias && bias <= a.BiasWithin.High)
			count(&spread, a.SDWithin.Low <= sd && sd <= a.SDWithin.High)
			count(&trend, b.TrendWithin.Low <= 0 && 0 <= b.TrendWithin.High)
			count(&drifts, b.Drifts)
		}
		for name, c := range map[string]struct {
			hits int
			want float64
		}{"room": {room, 0.95}, "bias": {mean, 0.9}, "SD": {spread, 0.9}, "trend": {trend, 0.9}, "drifts": {drifts, 0.05}} {
			if got := float64(c.hits) / trials; math.Abs(got-c.want) > 4*math.Sqrt(c.want*(1-c.want)/trials) {
				t.Errorf("%d sets, %s: %.4f, promised %.2f", n, name, got, c.want)
			}
		}
	}
}

func count(n *int, hit bool) {
	if hit {
		*n++
	}
}

// TestADriftLeadsTheRoom: where each set is read 2 µm worse than the one before, the room is that of the last.
func TestADriftLeadsTheRoom(t *testing.T) {
	pairs := pairsOf(make([]float64, 20))
	s := chance.NewStream(3)
	for i := range pairs {
		pairs[i].Day, pairs[i].Read = float64(7*i), 0.002*float64(i)+0.001*s.Normal()
	}
	slices.Reverse(pairs) // the last day need not come last
	a := From(pairs)
	if !a.Drifts || math.Abs(a.Trend-0.002/7) > 0.0002/7 || a.Room < 0.038 || a.Room > 0.043 || len(a.Warnings) != 1 {
		t.Errorf("%+v", a)
	}
}

// TestADriftByHand: 0.1, 0.8, 2.1, 3.2, 3.8 µm on five days: the line rises by 0.98 a day to 3.96, with a standard deviation of √(0.136/3) about it, and the room at its
// end is 3.96 + 2.353·0.2129·√(1 + 1/5 + 4/10); t(3) at 95 % is 2.353, from memory.
func TestADriftByHand(t *testing.T) {
	pairs := pairsOf([]float64{0.0001, 0.0008, 0.0021, 0.0032, 0.0038})
	for i := range pairs {
		pairs[i].Day = 20400 + float64(i)
	}
	a := From(pairs)
	if want := 0.0045938; math.Abs(a.Room-want) > 1e-7 || math.Abs(a.Trend-0.00098) > 1e-12 || !a.Drifts {
		t.Errorf("room %.7f, trend %.7f, by hand %.7f and 0.00098", a.Room, a.Trend, want)
	}
}

func TestFewSets(t *testing.T) {
	nan := math.NaN()
	for n, words := range map[int]string{0: "no set was", 1: "1 set was", 4: "4 sets were"} {
		pairs := append(pairsOf(make([]float64, n)), Pair{Foretold: nan, Read: 1}, Pair{Foretold: 1, Read: nan})
		a := From(pairs)
		if a.N != n || a.Enough || a.Room != 0 || len(a.Warnings) != 1 || a.Warnings[0][:len(words)] != words {
			t.Errorf("%d: %+v", n, a)
		}
		if (n < 1) != math.IsNaN(a.Bias) || (n < 2) != math.IsNaN(a.SD) || (n < 2) != math.IsInf(a.BiasWithin.High, 1) {
			t.Errorf("%d: bias %g %v, SD %g", n, a.Bias, a.BiasWithin, a.SD)
		}
	}
}

// TestOrderAndUnitDoNotMatter: pairs in another order, or ten times as large, say the same.
func TestOrderAndUnitDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		errs := rapid.SliceOfN(rapid.Float64Range(-0.1, 0.1), Few, 20).Draw(t, "errors")
		turned, large := slices.Clone(errs), slices.Clone(errs)
		slices.Reverse(turned)
		for i := range large {
			large[i] *= 16 // a power of two: no rounding
		}
		a, b, c := From(pairsOf(errs)), From(pairsOf(turned)), From(pairsOf(large))
		if near := 1e-12; math.Abs(a.Room-b.Room) > near || math.Abs(16*a.Room-c.Room) > near || math.Abs(a.SD-b.SD) > near {
			t.Fatalf("room %g, turned round %g, 16 times as large %g", a.Room, b.Room, c.Room)
		}
		if !slices.Equal(a.Outliers, c.Outliers) {
			t.Fatalf("outliers %v, 16 times as large %v", a.Outliers, c.Outliers)
		}
	})
}

// ExampleFrom learns from six sets how much the joint steps exceed what was foretold.
func ExampleFrom() {
	a := From([]Pair{
		{"S-1", 0.031, 0.038, 0}, {"S-2", 0.044, 0.049, 3}, {"S-3", 0.025, 0.041, 4}, {"S-4", 0.052, 0.050, 8}, {"S-5", 0.038, 0.047, 9}, {"S-6", 0.040, 0.052, 15},
	})
	fmt.Printf("%d sets: read %.3f mm more than foretold (%.3f to %.3f), from set to set %.3f mm; keep %.3f mm from the limit\n", a.N, a.Bias, a.BiasWithin.Low,
		a.BiasWithin.High, a.SD, a.Room)
	// Output: 6 sets: read 0.008 mm more than foretold (0.003 to 0.013), from set to set 0.006 mm; keep 0.021 mm from the limit
}

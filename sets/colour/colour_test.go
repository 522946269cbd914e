package colour_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"slatewright/internal/truth"
	"slatewright/sets/colour"
)

// TestPublishedPairs: the 34 pairs of Sharma, Wu and Dalal 2005, to the four decimals that they print, both ways round.
func TestPublishedPairs(t *testing.T) {
	pairs := truth.ColourPairs()
	if len(pairs) != 34 {
		t.Fatalf("%d pairs", len(pairs))
	}
	for _, p := range pairs {
		for way, got := range []float64{colour.Difference(p.Lab1, p.Lab2), colour.Difference(p.Lab2, p.Lab1)} {
			if math.Abs(got-p.Expected) > 0.5e-4+1e-9 {
				t.Errorf("pair %s, way %d: %.6f, published %.4f", p.Name, way, got, p.Expected)
			}
		}
	}
}

// TestGreys: between greys only lightness counts, and ΔE00 is |ΔL*|/S_L, by hand: 50 and 60 have S_L = 1 + 0.015·25/√(20 + 25).
func TestGreys(t *testing.T) {
	want := 10 / (1 + 0.015*25/math.Sqrt(45))
	if got := colour.Difference([3]float64{50, 0, 0}, [3]float64{60, 0, 0}); math.Abs(got-want) > 1e-12 {
		t.Errorf("%.12f, by hand %.12f", got, want)
	}
}

// near is where a slate's colour lies, and anything else.
var near = rapid.Custom(func(t *rapid.T) [3]float64 {
	return [3]float64{rapid.Float64Range(0, 100).Draw(t, "L"), rapid.Float64Range(-128, 128).Draw(t, "a"), rapid.Float64Range(-128, 128).Draw(t, "b")}
})

func TestADifferenceIsNoneToItselfAndTheSameBothWays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		one, other := near.Draw(t, "one"), near.Draw(t, "other")
		there, back := colour.Difference(one, other), colour.Difference(other, one)
		if colour.Difference(one, one) != 0 || !(there >= 0) || math.Abs(there-back) > 1e-9*(1+there) {
			t.Fatalf("%g there, %g back", there, back)
		}
	})
}

func TestNoColour(t *testing.T) {
	for _, bad := range []float64{math.NaN(), math.Inf(1)} {
		if got := colour.Difference([3]float64{50, bad, 0}, [3]float64{50, 0, 0}); !math.IsNaN(got) {
			t.Errorf("%v gives %v", bad, got)
		}
	}
}

func ExampleDifference() {
	fmt.Printf("%.2f\n", colour.Difference([3]float64{38, -1.2, -2.5}, [3]float64{41, -0.8, -3.1}))
	// Output: 2.74
}

// TestHuesOnBothSidesOfRed: hues just above 0 and just below 2π are as near to each other as to red itself.
func TestHuesOnBothSidesOfRed(t *testing.T) {
	for _, at := range [][2]float64{{30, 1e-300}, {30, 1e-17}, {30, 1e-9}, {30, 1e-3}, {0.1, 5e-324}} {
		a, b := at[0], at[1]
		across := colour.Difference([3]float64{50, a, b}, [3]float64{50, a, -b})
		along := colour.Difference([3]float64{50, a, 2 * b}, [3]float64{50, a, 0})
		if math.Abs(across-along) > 1e-3*b+1e-12 {
			t.Errorf("%g ± %gi: %g across red, %g on one side", a, b, across, along)
		}
		// The hue halfway counts too: a third of the way out, in chroma, the same pair beside red itself.
		if one, other := colour.Difference([3]float64{50, a, b}, [3]float64{50, a / 3, -b}), colour.Difference([3]float64{50, a, 0}, [3]float64{50, a / 3, 0}); math.Abs(one-other) > b+1e-12 {
			t.Errorf("%g ± %gi: %g across red, %g on it", a, b, one, other)
		}
	}
}

package chance

import (
	"math"
	"testing"
)

func TestExpAndLogAgainstTheStandardLibrary(t *testing.T) {
	// The standard library's own error is below 1 unit in the last place.
	const unit = 0x1p-52
	s := NewStream(1)
	for _, span := range []float64{1e-9, 0.01, 1, 50, 708} {
		for range 4000 {
			x := -span * s.Float64()
			if got, want := exp(x), math.Exp(x); math.Abs(got-want) > 2*unit*want {
				t.Fatalf("exp(%v) = %v, want %v", x, got, want)
			}
			y := math.Exp(span * (2*s.Float64() - 1))
			if got, want := log(y), math.Log(y); math.Abs(got-want) > 3*unit*math.Abs(want) {
				t.Fatalf("log(%v) = %v, want %v", y, got, want)
			}
		}
	}
}

func TestExpAndLogAtTheEnds(t *testing.T) {
	for x, want := range map[float64]float64{0: 1, math.Copysign(0, -1): 1, -746: 0, -1e300: 0, math.Inf(-1): 0} {
		if got := exp(x); got != want {
			t.Errorf("exp(%v) = %v, want %v", x, got, want)
		}
	}
	if got := exp(-745); got != math.SmallestNonzeroFloat64 { // e⁻⁷⁴⁵ = 4.99e-324
		t.Errorf("exp(-745) = %v", got)
	}
	if got := log(1); got != 0 {
		t.Errorf("log(1) = %v", got)
	}
	if got, want := log(math.SmallestNonzeroFloat64), -1074*math.Ln2; math.Abs(got-want) > 1e-12 {
		t.Errorf("log of the smallest float64 = %v, want %v", got, want)
	}
}

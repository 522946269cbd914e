package look

import (
	"math"
	"testing"
)

func TestFixedAndSigned(t *testing.T) {
	for _, c := range []struct {
		x            float64
		d            int
		fixed, signs string
	}{
		{0.0314, 3, "0.031", "+0.031"}, {-0.0314, 3, "−0.031", "−0.031"}, {-0.0001, 3, "0.000", "0.000"}, {0.0001, 3, "0.000", "0.000"},
		{0, 1, "0.0", "0.0"}, {1000.04, 1, "1000.0", "+1000.0"}, {-17.5, 0, "−18", "−18"}, {2.5, 0, "2", "+2"},
		{math.NaN(), 3, "–", "–"}, {math.Inf(1), 1, "∞", "+∞"}, {math.Inf(-1), 1, "−∞", "−∞"},
	} {
		if got := Fixed(c.x, c.d); got != c.fixed {
			t.Errorf("%g with %d decimals: %q, want %q", c.x, c.d, got, c.fixed)
		}
		if got := Signed(c.x, c.d); got != c.signs {
			t.Errorf("%g with a sign: %q, want %q", c.x, got, c.signs)
		}
	}
}

// The inch is 25.4 mm exactly (international yard and pound agreement of 1959), so these are exact.
func TestThou(t *testing.T) {
	for mm, want := range map[float64]string{0.0254: "1.0", 0.127: "5.0", 0.254: "10.0", 0.508: "20.0", 0.762: "30.0", 25.4: "1000.0", -0.0508: "−2.0"} {
		if got := InThou(mm); got != want {
			t.Errorf("%g mm is %s thou, want %s", mm, got, want)
		}
	}
	if got := Both(0.508); got != "0.508 mm (20.0 thou)" {
		t.Error(got)
	}
}

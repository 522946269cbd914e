package worked_test

import (
	"math"
	"testing"

	"slatewright/chance"
	"slatewright/surfacing/worked"
)

// agrees is Fieller's own condition: the ratio does not make the difference of the two numbers larger than its doubt allows.
func agrees(top, below worked.Measured, factor, r float64) bool {
	d := top.Value - r*below.Value
	return d*d <= factor*factor*(top.U*top.U+r*r*below.U*below.U)
}

// The closed form against trying ratios one by one.
func TestRatioAgainstTrying(t *testing.T) {
	s := chance.NewStream(9)
	bounded, open := 0, 0
	for range 400 {
		top, below := worked.Measured{Value: 1 + s.Float64(), U: 0.3 * s.Float64()}, worked.Measured{Value: s.Float64() - 0.1, U: 0.3*s.Float64() + 1e-3}
		got := worked.Ratio(top, below, 1.96)
		low, high := math.Inf(1), 0.0
		for k := -4000; k <= 8000; k++ { // from 1e-2 to 1e4 and more, each 0.1 % on
			if r := math.Exp(float64(k) * 0.00115); agrees(top, below, 1.96, r) {
				low, high = math.Min(low, r), math.Max(high, r)
			}
		}
		if high > 9000 {
			high = math.Inf(1)
		}
		if math.IsInf(low, 1) { // no ratio above zero agrees: nothing is said
			if got.Low != 0 || !math.IsInf(got.High, 1) {
				t.Errorf("%v over %v: %v", top, below, got)
			}
			continue
		}
		if low <= math.Exp(-4000*0.00115)*1.01 {
			low = got.Low
		}
		if math.Abs(got.Low-low) > 0.003*low || math.IsInf(got.High, 1) != math.IsInf(high, 1) && got.High < 8000 || !math.IsInf(high, 1) && math.Abs(got.High-high) > 0.003*high {
			t.Errorf("%v over %v: %v, tried %g to %g", top, below, got, low, high)
		}
		if math.IsInf(got.High, 1) {
			open++
		} else {
			bounded++
		}
	}
	if bounded < 50 || open < 50 {
		t.Errorf("%d bounded, %d open", bounded, open)
	}
}

// What is known by hand: without doubt of the lower number the interval is that of the upper one.
func TestRatioByHand(t *testing.T) {
	r := worked.Ratio(worked.Measured{Value: 10, U: 1}, worked.Measured{Value: 2}, 2)
	if math.Abs(r.Value-5) > 1e-12 || math.Abs(r.Low-4) > 1e-12 || math.Abs(r.High-6) > 1e-12 {
		t.Errorf("%v", r)
	}
	// 100 ± 0 over 10 ± 1 with factor 2: r = 100/(10 ± 2)
	r = worked.Ratio(worked.Measured{Value: 100}, worked.Measured{Value: 10, U: 1}, 2)
	if math.Abs(r.Low-100.0/12) > 1e-9 || math.Abs(r.High-100.0/8) > 1e-9 {
		t.Errorf("%v", r)
	}
	if r = worked.Ratio(worked.Measured{Value: 100, U: 1}, worked.Measured{Value: -1, U: 1}, 2); !math.IsNaN(r.Value) || !math.IsInf(r.High, 1) || r.Low < 50 {
		t.Errorf("%v", r)
	}
}

// The interval holds the truth in 95 of 100, wide doubts or narrow.
func TestRatioHolds(t *testing.T) {
	s := chance.NewStream(10)
	for _, u := range []float64{0.02, 0.2, 0.5, 1} {
		held := 0
		const n = 4000
		for range n {
			top, below := worked.Measured{Value: 1000 + 10*s.Normal(), U: 10}, worked.Measured{Value: 1 + u*s.Normal(), U: u}
			if r := worked.Ratio(top, below, 1.959964); r.Low <= 1000 && 1000 <= r.High {
				held++
			}
		}
		// one side is given up where the wear lies below its doubt, so more than 95 of 100 may hold
		if share := float64(held) / n; share < 0.94 || share > 0.985 {
			t.Errorf("u %g: %.3f", u, share)
		}
	}
}

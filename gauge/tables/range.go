package tables

import (
	"math"

	"slatewright/chance"
)

// Range returns the mean and the standard deviation of the range of n independent draws from a normal distribution of standard
// deviation 1, which control charts call d₂ and d₃ (L. H. C. Tippett, Biometrika 17, 1925). n is 2 to 1000; otherwise both are NaN.
//
// It integrates over the lowest draw and the range by Simpson's rule; the error is below 1e-9.
func Range(n int) (mean, sd float64) {
	if n < 2 || n > 1000 {
		return math.NaN(), math.NaN()
	}
	const widest, steps = 16.0, 400 // of a range, and the number of its steps
	second := 0.0
	for i := range steps + 1 {
		w := float64(i) * widest / steps
		above := 1 - rangeBelow(w, n)
		weight := simpson(i, steps) * widest / steps / 3
		mean += weight * above
		second += weight * 2 * w * above
	}
	return mean, math.Sqrt(second - mean*mean)
}

// rangeBelow is the probability that the range of n draws is at most w.
func rangeBelow(w float64, n int) float64 {
	const reach, steps = 9.0, 360
	sum := 0.0
	for i := range steps + 1 {
		x := -reach + float64(i)*2*reach/steps
		density := math.Exp(-x*x/2) / math.Sqrt(2*math.Pi)
		sum += simpson(i, steps) * density * math.Pow(chance.Cumulative(x+w)-chance.Cumulative(x), float64(n-1))
	}
	return math.Min(1, float64(n)*sum*2*reach/steps/3)
}

// simpson is the weight of node i of an even number of steps.
func simpson(i, steps int) float64 {
	switch {
	case i == 0 || i == steps:
		return 1
	case i%2 == 1:
		return 4
	}
	return 2
}

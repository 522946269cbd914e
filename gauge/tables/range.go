package tables

import (
	"math"

	"slatewright/chance"
)

// Range returns the mean and the standard deviation of the range of n independent draws from a normal distribution of standard
// deviation 1, which control charts call d₂ and d₃ (L. H. C. Tippett, Biometrika 17, 1925). n is 2 to 1000; otherwise both are NaN.
//
// It integrates over the lowest draw by equal steps, which is as exact as float64 for a bell, and over the range by Simpson's rule, to 1e-7.
func Range(n int) (mean, sd float64) {
	if n < 2 || n > 1000 {
		return math.NaN(), math.NaN()
	}
	const step, reach, widest = 0.08, 9.04, 200 // of draws and ranges alike; reach of a draw; steps of the widest range
	const places = 2 * 113                      // reach in steps, both ways
	var density, below [places + widest + 1]float64
	for i := range below {
		x := -reach + float64(i)*step
		density[i], below[i] = math.Exp(-x*x/2)/math.Sqrt(2*math.Pi), chance.Cumulative(x)
	}
	second := 0.0
	for i := range widest + 1 {
		within := 0.0 // the probability of a range of at most i steps
		for k := range places + 1 {
			within += density[k] * math.Pow(below[k+i]-below[k], float64(n-1))
		}
		above := 1 - min(1, float64(n)*step*within)
		weight := simpson(i, widest) * step / 3
		mean += weight * above
		second += weight * 2 * float64(i) * step * above
	}
	return mean, math.Sqrt(second - mean*mean)
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

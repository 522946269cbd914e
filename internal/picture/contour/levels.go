package contour

import "math"

// Levels returns the multiples of a round step that lie strictly between low and high, at most so many, ascending, and the
// step: 1, 2 or 5 times a power of ten. It returns none when high ≤ low or most < 1.
func Levels(low, high float64, most int) (levels []float64, step float64) {
	if !(high > low) || most < 1 {
		return nil, 0
	}
	power := math.Floor(math.Log10((high-low)/float64(most))) - 1
	for {
		for _, m := range [3]float64{1, 2, 5} {
			step = m * math.Pow(10, power)
			first, last := math.Floor(low/step)+1, math.Ceil(high/step)-1
			if last-first+1 <= float64(most) {
				return multiples(first, last, m, power), step
			}
		}
		power++
	}
}

// multiples divides by a power of ten where it can, so that 3 times 0.1 is the 0.3 that people write.
func multiples(first, last, m, power float64) []float64 {
	var out []float64
	for k := first; k <= last; k++ {
		if power < 0 {
			out = append(out, k*m/math.Pow(10, -power))
		} else {
			out = append(out, k*m*math.Pow(10, power))
		}
	}
	return out
}

// Decimals returns how many decimals a multiple of the step needs.
func Decimals(step float64) int {
	for d := 0; d < 9; d++ {
		s := step * math.Pow(10, float64(d))
		if math.Abs(s-math.Round(s)) < 1e-6 {
			return d
		}
	}
	return 9
}

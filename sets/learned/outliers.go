package learned

import (
	"math"

	"slatewright/gauge/tables"
)

// outliers returns the indices of the values that do not belong to the others, the farthest first: the generalised extreme Studentized deviate (B. Rosner,
// Percentage points for a generalized ESD many-outlier procedure, Technometrics 25, 1983, 165), with at most one in five, at 5 % for any at all. Of values as
// far as each other the first is taken.
func outliers(values []float64) []int {
	left := make([]int, len(values))
	for i := range left {
		left[i] = i
	}
	var far []int
	count := 0
	for range len(values) / 5 {
		at, deviate := farthest(values, left)
		if at < 0 {
			break
		}
		far = append(far, left[at])
		if deviate > critical(len(left)) {
			count = len(far)
		}
		left = append(left[:at:at], left[at+1:]...)
	}
	return far[:count]
}

// farthest finds the value farthest from the mean of those left, in standard deviations; −1: they are all the same.
func farthest(values []float64, left []int) (at int, deviate float64) {
	rest := make([]float64, len(left))
	for i, v := range left {
		rest[i] = values[v]
	}
	m := mean(rest)
	sd := deviation(rest, m)
	if !(sd > 0) {
		return -1, 0
	}
	for i, v := range rest {
		if d := math.Abs(v-m) / sd; d > deviate {
			at, deviate = i, d
		}
	}
	return at, deviate
}

// critical is what the farthest of n normal values stays below with 95 %.
func critical(n int) float64 {
	of := float64(n)
	t := tables.StudentPoint(1-doubt/(2*of), of-2)
	return (of - 1) / math.Sqrt(of) * math.Sqrt(t*t/(of-2+t*t))
}

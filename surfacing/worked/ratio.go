package worked

import "math"

// Interval is a value with the limits that hold it in 95 of 100 cases. A limit may be infinite: nothing bounds it there.
type Interval struct{ Value, Low, High float64 }

// Measured is a number with its standard uncertainty.
type Measured struct{ Value, U float64 }

// Ratio divides two measured numbers that do not hang together and are above zero in truth, by E. C. Fieller, Journal of the Royal Statistical Society B 16 (1954) 175:
// the limits are those ratios r at which top − r·below differs from zero by factor times its standard uncertainty. Where below itself does not differ from
// zero so far, nothing bounds the ratio above and High is +Inf; Value is then NaN where below is not even above zero, for no digit of it is earned.
func Ratio(top, below Measured, factor float64) Interval {
	r := Interval{Value: top.Value / below.Value}
	if !(below.Value > 0) {
		r.Value = math.NaN()
	}
	// a·r² − 2·b·r + c = 0
	f2 := factor * factor
	a := below.Value*below.Value - f2*below.U*below.U
	b := top.Value * below.Value
	c := top.Value*top.Value - f2*top.U*top.U
	root := math.Sqrt(math.Max(b*b-a*c, 0))
	r.High = math.Inf(1)
	if a > 0 && b+root > 0 {
		r.High = (b + root) / a
	}
	// c over the sum is the smaller root without a difference of large numbers, and the only positive one where a < 0; the upper number itself may be zero, or
	// the lower one so far below zero that no ratio agrees: then nothing is said
	if c > 0 && b+root > 0 {
		r.Low = c / (b + root)
	}
	return r
}

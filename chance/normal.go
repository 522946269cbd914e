package chance

import "math"

// Cumulative returns Φ(z), the probability that a standard normal draw is at most z. The absolute error is below 2e-16 and, for
// z < 0, the relative error below 2e-15 down to z = −37.5, where Φ leaves the normal float64 numbers: for a small upper tail ask
// for Cumulative(−z). ±Inf gives 0 or 1, NaN gives NaN.
//
// It uses the rational approximations of W. J. Cody, "Rational Chebyshev approximations for the error function", Mathematics of
// Computation 23, 1969, in the form for Φ given in "Algorithm 715: SPECFUN", ACM Transactions on Mathematical Software 19, 1993.
func Cumulative(z float64) float64 {
	if math.IsNaN(z) {
		return z
	}
	if size := math.Abs(z); size <= centre {
		square := float64(z * z)
		return 0.5 + float64(z*horner(square, middleNum[:])/horner(square, middleDen[:]))
	} else if z < 0 {
		return tail(size)
	} else {
		return 1 - tail(size)
	}
}

const (
	centre = 0.67448975 // about the upper quartile, where Cody changes the approximation
	far    = 5.656854249492380195206754896838
	vanish = 38.6 // Φ(−38.6) is below half the smallest float64, 4.94e-324
)

// tail returns Φ(−z) for z > centre.
func tail(z float64) float64 {
	if z > vanish {
		return 0
	}
	if z <= far {
		return bell(z, horner(z, shoulderNum[:])/horner(z, shoulderDen[:]))
	}
	const inverseRootTwoPi = 0.39894228040143267793994605993438
	square := 1 / float64(z*z)
	bracket := float64(square * horner(square, tailNum[:]) / horner(square, tailDen[:]))
	return bell(z, (inverseRootTwoPi-bracket)/z)
}

// bell returns factor·exp(−z²/2). z is taken as a multiple of 1/16, whose square is exact, plus a rest; so the exponent is not
// spoiled by the rounding of z².
func bell(z, factor float64) float64 {
	stair := float64(math.Trunc(z*16) / 16)
	rest := float64((z - stair) * (z + stair))
	return float64(exp(-float64(stair*stair)/2)*exp(-rest/2)) * factor
}

// Quantile returns Φ⁻¹(p), the number that a standard normal draw stays below with probability p; its relative error is below
// 1e-15. 0 and 1 give ∓Inf; NaN and p outside [0, 1] give NaN.
//
// It uses the rational approximations PPND16 of M. J. Wichura, "Algorithm AS 241: The percentage points of the normal
// distribution", Applied Statistics 37(3), 1988.
func Quantile(p float64) float64 {
	switch {
	case math.IsNaN(p) || p < 0 || p > 1:
		return math.NaN()
	case p == 0:
		return math.Inf(-1)
	case p == 1:
		return math.Inf(1)
	}
	q := p - 0.5
	if math.Abs(q) <= 0.425 {
		r := 0.180625 - float64(q*q)
		return float64(q * horner(r, innerNum[:]) / horner(r, innerDen[:]))
	}
	if q < 0 {
		return -outer(p)
	}
	return outer(1 - p) // exact: p ≥ ½
}

// outer returns −Φ⁻¹(p) for 0 < p < 0.075.
func outer(p float64) float64 {
	r := math.Sqrt(-log(p))
	if r <= 5 {
		r -= 1.6
		return horner(r, outerNum[:]) / horner(r, outerDen[:])
	}
	r -= 5
	return horner(r, endNum[:]) / horner(r, endDen[:])
}

// horner returns the polynomial in x whose coefficients are c, the highest power first.
func horner(x float64, c []float64) float64 {
	sum := c[0]
	for _, next := range c[1:] {
		sum = float64(sum*x) + next
	}
	return sum
}

package tables

import "math"

// The continued fractions stop where a step changes nothing, or after as many steps as any argument here needs: about the root of
// the larger parameter, and 10⁷ degrees of freedom are the most that make sense.
const mostSteps = 20000

// tiny stands for 0 where a continued fraction would divide by it (W. J. Lentz; I. J. Thompson and A. R. Barnett, J. Comput. Phys. 64, 1986).
const tiny = 1e-300

// gamma returns the incomplete gamma function of a > 0 at x from both sides; they add up to 1, and the smaller has all its digits.
func gamma(a, x float64) (below, above float64) {
	if x <= 0 {
		return 0, 1
	}
	if math.IsInf(x, 1) {
		return 1, 0
	}
	logGamma, _ := math.Lgamma(a)
	front := math.Exp(a*math.Log(x) - x - logGamma)
	if x < a+1 {
		term := 1 / a
		sum := term
		for n := 1; n < mostSteps && term > sum*1e-17; n++ {
			term *= x / (a + float64(n))
			sum += term
		}
		below = math.Min(1, front*sum)
		return below, 1 - below
	}
	b := x + 1 - a
	c, d := 1/tiny, 1/b
	h := d
	for n := 1; n < mostSteps; n++ {
		an := -float64(n) * (float64(n) - a)
		b += 2
		d = 1 / away(an*d+b)
		c = away(b + an/c)
		h *= d * c
		if math.Abs(d*c-1) < 1e-16 {
			break
		}
	}
	above = math.Min(1, front*h)
	return 1 - above, above
}

// proportion returns the incomplete beta function of a, b > 0 at x from both sides.
func proportion(x, a, b float64) (below, above float64) {
	if x <= 0 {
		return 0, 1
	}
	if x >= 1 {
		return 1, 0
	}
	if x > (a+1)/(a+b+2) {
		above, below = proportionBelow(1-x, x, b, a)
		return below, above
	}
	return proportionBelow(x, 1-x, a, b)
}

// proportionBelow is proportion where x is on the lower side; rest = 1 − x.
func proportionBelow(x, rest, a, b float64) (below, above float64) {
	la, _ := math.Lgamma(a)
	lb, _ := math.Lgamma(b)
	lab, _ := math.Lgamma(a + b)
	front := math.Exp(lab-la-lb+a*math.Log(x)+b*math.Log(rest)) / a
	c, d := 1.0, 1/away(1-(a+b)*x/(a+1))
	h := d
	for n := 1; n < mostSteps; n++ {
		m := float64(n)
		even := m * (b - m) * x / ((a + 2*m - 1) * (a + 2*m))
		d = 1 / away(1+even*d)
		c = away(1 + even/c)
		h *= d * c
		odd := -(a + m) * (a + b + m) * x / ((a + 2*m) * (a + 2*m + 1))
		d = 1 / away(1+odd*d)
		c = away(1 + odd/c)
		h *= d * c
		if math.Abs(d*c-1) < 1e-16 {
			break
		}
	}
	below = math.Min(1, front*h)
	return below, 1 - below
}

func away(x float64) float64 {
	if math.Abs(x) < tiny {
		return tiny
	}
	return x
}

// point returns the x of [0, most] at which a distribution, given from both sides, reaches p: by halving, in equal steps or in equal
// ratios, until no float64 lies between.
func point(p, most float64, distribution func(x float64) (below, above float64)) float64 {
	if p == 0 || p == 1 {
		return p * math.Min(most, math.MaxFloat64)
	}
	short := func(x float64) bool { // x is too small
		below, above := distribution(x)
		if p < 0.5 {
			return below < p
		}
		return above > 1-p
	}
	low, high := 0.0, most
	if math.IsInf(most, 1) {
		for high = 1; short(high); high *= 2 {
			low = high
		}
	}
	for range 1200 {
		middle := low + (high-low)/2
		if low > 0 && high > 4*low {
			middle = math.Sqrt(low) * math.Sqrt(high)
		} else if low == 0 && high > 1e-300 {
			middle = high / 16
		}
		if middle <= low || middle >= high {
			break
		}
		if short(middle) {
			low = middle
		} else {
			high = middle
		}
	}
	return high
}

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

// point returns the x of [0, most] at which a distribution, given from both sides, reaches p. It brackets x within a factor of two and
// closes in by T. R. Chandrupatla's method (Adv. Eng. Softw. 28, 1997): inverse quadratic steps where they are safe, halves elsewhere.
func point(p, most float64, distribution func(x float64) (below, above float64)) float64 {
	if p == 0 || p == 1 {
		return p * math.Min(most, math.MaxFloat64)
	}
	off := func(x float64) float64 { // below 0: x is too small
		below, above := distribution(x)
		if p < 0.5 {
			return below - p
		}
		return (1 - p) - above
	}
	high := math.Min(most, 1)
	for ; math.IsInf(most, 1) && high < math.MaxFloat64/2 && off(high) < 0; high *= 2 {
	}
	low := high / 2
	for low > tiny && off(low) > 0 {
		high, low = low, low/2
	}
	return root(off, low, high)
}

// root finds where f changes its sign between a and b, to the last bits.
func root(f func(float64) float64, a, b float64) float64 {
	fa, fb := f(a), f(b)
	switch {
	case fa == 0:
		return a
	case fb == 0:
		return b
	}
	c, fc, t := a, fa, 0.5
	for range 200 {
		x := a + t*(b-a)
		fx := f(x)
		if math.Signbit(fx) == math.Signbit(fa) {
			c, fc = a, fa
		} else {
			c, fc, b, fb = b, fb, a, fa
		}
		a, fa = x, fx
		if fa == 0 || math.Abs(b-a) <= 4e-16*math.Abs(a) {
			return a
		}
		xi, phi := (a-b)/(c-b), (fa-fb)/(fc-fb)
		t = 0.5
		if phi*phi < xi && (1-phi)*(1-phi) < 1-xi {
			t = fa/(fb-fa)*fc/(fb-fc) + (c-a)/(b-a)*fa/(fc-fa)*fb/(fc-fb)
		}
		least := 2e-16 * math.Abs(a) / math.Abs(b-a)
		t = math.Min(math.Max(t, least), 1-least)
	}
	return a
}

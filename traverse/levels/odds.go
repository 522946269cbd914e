package levels

import "math"

// chiSquare is the probability that a sum of n squared standard normal draws is at most x: the regularised incomplete gamma function
// P(n/2, x/2), by its series or its continued fraction (NIST Digital Library of Mathematical Functions, 8.11.4 and 8.9.2).
func chiSquare(x float64, n int) float64 {
	a, y := float64(n)/2, x/2
	if x <= 0 {
		return 0
	}
	lg, _ := math.Lgamma(a)
	front := math.Exp(a*math.Log(y) - y - lg)
	if y < a+1 {
		sum, term := 1/a, 1/a
		for k := 1.0; term > 1e-17*sum; k++ {
			term *= y / (a + k)
			sum += term
		}
		return front * sum
	}
	return 1 - front/fraction(func(k float64) (float64, float64) { return -k * (k - a), y + 2*k + 1 - a })
}

// fraction evaluates b₀ + a₁/(b₁ + a₂/(b₂ + …)) by the modified Lentz algorithm.
func fraction(term func(k float64) (a, b float64)) float64 {
	const tiny = 1e-300
	_, b := term(0)
	f := b
	if f == 0 {
		f = tiny
	}
	c, d := f, 0.0
	for k := 1.0; k < 100_000; k++ {
		a, b := term(k)
		if d = b + a*d; d == 0 {
			d = tiny
		}
		if c = b + a/c; c == 0 {
			c = tiny
		}
		d = 1 / d
		f *= c * d
		if math.Abs(c*d-1) < 1e-16 {
			break
		}
	}
	return f
}

// chiQuantile is the x for which chiSquare is p, by halving.
func chiQuantile(p float64, n int) float64 {
	lo, hi := 0.0, float64(n)
	for chiSquare(hi, n) < p && hi < 1e9 {
		lo, hi = hi, 2*hi
	}
	for range 200 {
		mid := (lo + hi) / 2
		if chiSquare(mid, n) < p {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// studentTail is the probability that Student's t with n degrees of freedom is farther from 0 than t: the regularised incomplete beta
// function I(n/(n+t²); n/2, 1/2), by its continued fraction (NIST Digital Library of Mathematical Functions, 8.17.22).
func studentTail(t float64, n int) float64 {
	x, a, b := float64(n)/(float64(n)+t*t), float64(n)/2, 0.5
	if math.IsInf(t, 0) {
		return 0
	}
	if x > (a+1)/(a+b+2) {
		return 1 - beta(1-x, b, a)
	}
	return beta(x, a, b)
}

func beta(x, a, b float64) float64 {
	if x <= 0 {
		return 0
	}
	la, _ := math.Lgamma(a)
	lb, _ := math.Lgamma(b)
	lab, _ := math.Lgamma(a + b)
	front := math.Exp(lab-la-lb+a*math.Log(x)+b*math.Log1p(-x)) / a
	return front / fraction(func(k float64) (float64, float64) {
		m := math.Floor(k / 2)
		switch {
		case k == 0:
			return 0, 1
		case math.Mod(k, 2) == 0:
			return m * (b - m) * x / ((a + 2*m - 1) * (a + 2*m)), 1
		}
		return -(a + m) * (a + b + m) * x / ((a + 2*m) * (a + 2*m + 1)), 1
	})
}

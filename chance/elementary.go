package chance

import "math"

// ln 2 whole and in two parts: the first has 32 significant bits, so its product with any exponent of a float64 is exact.
const (
	ln2     = 0.693147180559945309417232121458176568075500134360255254120680009
	ln2High = 0x1.62e42feep-1
	ln2Low  = ln2 - ln2High
)

// exp returns eˣ for x ≤ 0, within 1 unit in the last place where the result is a normal number.
//
// x = k·ln 2 + r with |r| ≤ ½ ln 2; the Taylor series of eʳ to r¹⁴/14!, whose rest is below 1e-19.
func exp(x float64) float64 {
	if x < -746 { // e⁻⁷⁴⁶ is below half the smallest float64
		return 0
	}
	k := math.Round(x / ln2)
	high := x - float64(k*ln2High)
	low := float64(k * ln2Low)
	r := high - low
	lost := (high - r) - low // what the rounding of r dropped
	sum := 1.0
	for n := 14.0; n > 2; n-- {
		sum = 1 + float64(sum*r)/n
	}
	return math.Ldexp(1+(r+(lost+float64(float64(r*r)*sum/2))), int(k))
}

// log returns the natural logarithm of x > 0, finite, within 2 units in the last place.
//
// x = m·2ᵏ with m in about [√½, √2); ln m = 2 artanh s with s = (m − 1)/(m + 1), |s| ≤ 0.172, by the series s + s³/3 + … + s²³/23, whose
// rest is below 1e-20.
func log(x float64) float64 {
	m, k := math.Frexp(x)
	if m < 0.7071 { // about √½
		m *= 2
		k--
	}
	s := (m - 1) / (m + 1)
	square := float64(s * s)
	sum := 0.0
	for n := 23.0; n > 1; n -= 2 {
		sum = float64((sum + 1/n) * square)
	}
	exponent := float64(k)
	return float64(exponent*ln2High) + (s + s + (float64((s+s)*sum) + float64(exponent*ln2Low)))
}

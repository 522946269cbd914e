// Package measure reads and prints quantities as the people of the trade write them.
//
// Inside the program a length is a float64 in millimetres; here, and only here, it meets "0,25 mm", "250 µm", "0.010 in", "10 thou",
// "1/32 in" and `9' 2 1/4"`. Conversion is exact and rounded once, so what is printed in full reads back as the very same number.
//
// The rule for numbers, which no setting changes:
//
//   - A number has at most one mark, a point or a comma, and it is the decimal mark. Digits are never grouped: "1 473", "1.234,5" and
//     "1,234.5" are refused.
//   - A point is always the decimal mark; digits may be missing on one side of it (".010", "12.").
//   - A comma has digits on both sides. Where it could be a thousands separator to someone (one to three digits before it, the first
//     not 0, and exactly three after: "1,234") the number is refused, and the error gives both ways to write it. "0,250", "12,5" and
//     "1234,567" can only be decimals and are read.
//   - An exponent may follow ("1.5e-3").
//
// A quantity needs its unit. Words that mean different things on different floors ("mil", "tenth") are refused. Every error is a
// *trouble.Trouble of kind Data that says what to write instead; its Where is left for the caller to fill.
//
// The package does not know masses, areas, angles or money, and it has no locale.
package measure

import (
	"math"
	"math/big"
	"math/bits"
	"strconv"
)

// Unit is a unit of length.
type Unit int

// The units of length. One inch is 25.4 mm exactly (international yard and pound agreement, 1959); a thou is a thousandth of it.
const (
	MM Unit = iota
	Micron
	Inch
	Thou
	Centimetre
	Metre
	Foot
)

// scale is an exact factor: num/den·10^exp; den 0 means 1.
type scale struct {
	num, den uint64
	exp      int
}

var units = [...]struct {
	symbol string
	mm     scale // one unit in mm
}{
	MM:         {"mm", scale{num: 1}},
	Micron:     {"µm", scale{num: 1, exp: -3}},
	Inch:       {"in", scale{num: 254, exp: -1}},
	Thou:       {"thou", scale{num: 254, exp: -4}},
	Centimetre: {"cm", scale{num: 1, exp: 1}},
	Metre:      {"m", scale{num: 1, exp: 3}},
	Foot:       {"ft", scale{num: 3048, exp: -1}},
}

// String returns the symbol that FormatLength prints: mm, µm, in, thou, cm, m or ft.
func (u Unit) String() string { return units[u].symbol }

// ToMM returns the length of a plain decimal number of units in mm, rounded once to the nearest float64. The number follows the rule
// of the package.
func (u Unit) ToMM(decimal string) (float64, error) {
	return parseNumber(decimal, units[u].mm)
}

// FromDecimal returns the length of mantissa·10^exp units in mm, rounded once; false if it is beyond the largest float64. It is meant
// for readers that have already picked the digits out of a file.
func (u Unit) FromDecimal(mantissa uint64, exp int) (mm float64, ok bool) {
	return units[u].mm.times(mantissa, exp)
}

// FromFloat returns the length of v units in mm, rounded once where that is 0 or no smaller than the smallest normal float64; ±Inf beyond
// the largest. v is finite. It is meant for readers of binary files; zero comes without a sign.
func (u Unit) FromFloat(v float64) float64 {
	if u == MM || v == 0 {
		return v + 0
	}
	num, den := units[u].mm.fraction()
	part, exp := math.Frexp(math.Abs(v))
	product := uint64(part*(1<<53)) * num // 53 bits and 11
	left, right := bits.LeadingZeros64(product), bits.LeadingZeros64(den)
	product <<= left
	quotient, rest := bits.Div64(product>>1, product<<63, den<<right) // product·2^63/den, 63 or 64 bits
	if rest != 0 {
		quotient |= 1 // what was cut off cannot make a half
	}
	return math.Copysign(math.Ldexp(float64(quotient), exp-53-63-left+right), v)
}

// fraction returns the scale of a unit of length as num/den, num below 2^11.
func (s scale) fraction() (num, den uint64) {
	num, den = s.num, max(s.den, 1)
	for range s.exp {
		num *= 10
	}
	for range -s.exp {
		den *= 10
	}
	for num%2 == 0 && den%2 == 0 {
		num, den = num/2, den/2
	}
	return num, den
}

// Powers of ten that a float64 holds exactly.
var powers = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// times returns mantissa·10^exp·s, rounded once. An integer below 2⁵³ and a power of ten up to 10²² are exact float64, so their
// product or quotient is rounded once (W. D. Clinger, "How to read floating point numbers accurately", PLDI 1990); strconv rounds
// longer ones, and those that do not fit 64 bits are multiplied as rationals.
func (s scale) times(mantissa uint64, exp int) (float64, bool) {
	over, m := bits.Mul64(mantissa, s.num)
	e := exp + s.exp
	switch {
	case m == 0 && over == 0:
		return 0, true
	case over != 0 || s.den > 1:
		return nearest(s.exact(new(big.Int).SetUint64(mantissa), exp))
	case m >= 1<<53 || e < -22 || e > 22:
		var buffer [48]byte
		text := append(strconv.AppendUint(buffer[:0], m, 10), 'e')
		x, err := strconv.ParseFloat(string(strconv.AppendInt(text, int64(e), 10)), 64)
		return x, err == nil
	case e < 0:
		return float64(m) / powers[-e], true
	}
	return float64(m) * powers[e], true
}

// far is an exponent beyond which a number is too large or rounds to nothing, whatever its unit and its digits.
const far = 400

// exact returns mantissa·10^exp·s. Exponents are first cut to what can still make a difference.
func (s scale) exact(mantissa *big.Int, exp int) *big.Rat {
	digits := len(mantissa.Text(10))
	exp = min(max(exp, -far-digits), far)
	den := new(big.Int).SetUint64(max(s.den, 1))
	num := new(big.Int).SetUint64(s.num)
	num.Mul(num, mantissa)
	if exp += s.exp; exp < 0 {
		den.Mul(den, tenTo(-exp))
	} else {
		num.Mul(num, tenTo(exp))
	}
	return new(big.Rat).SetFrac(num, den)
}

// nearest returns the float64 nearest to x, ties to even; false if x is beyond the largest one.
func nearest(x *big.Rat) (float64, bool) {
	f, _ := x.Float64()
	return f, f-f == 0 // false for ±Inf
}

func tenTo(n int) *big.Int {
	return new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(n)), nil)
}

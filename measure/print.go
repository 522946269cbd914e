package measure

import (
	"math"
	"math/big"
	"strconv"
	"strings"
)

// FormatLength prints a length in full: the shortest decimal number of that unit which ParseLength reads back as the very same
// float64, and the unit. Of several shortest ones it prints the nearest. Very large and very small numbers have an exponent. A length
// that is NaN or infinite is printed as such, and no parser takes it.
func FormatLength(mm float64, u Unit) string {
	if mm-mm != 0 {
		return strconv.FormatFloat(mm, 'g', -1, 64) + " " + u.String()
	}
	size := math.Abs(mm)
	digits, exp := shortest(size)
	switch by := units[u].mm; {
	case size == 0:
	case by.num == 1:
		exp -= by.exp
	default:
		digits, exp = u.shortest(size, exp)
	}
	text := layout(digits, exp) + " " + u.String()
	if math.Signbit(mm) {
		return "-" + text
	}
	return text
}

// shortest returns the digits of the shortest decimal number d.ddd·10^exp that is read back as x ≥ 0.
func shortest(x float64) (digits string, exp int) {
	mantissa, power, _ := strings.Cut(strconv.FormatFloat(x, 'e', -1, 64), "e")
	exp, err := strconv.Atoi(power)
	if err != nil {
		panic("measure: strconv changed its form: " + err.Error())
	}
	return strings.Replace(mantissa, ".", "", 1), exp
}

// shortest is the same for a length size > 0 in mm, printed in the unit u; exp is that of the size in mm. For each number of digits
// it tries the two decimals around the exact value, the nearer first. Eighteen digits always suffice, and they fit 64 bits.
func (u Unit) shortest(size float64, exp int) (digits string, exponent int) {
	exact := u.of(size)
	for exp -= units[u].mm.exp; exact.Cmp(power(exp)) < 0; exp-- {
	}
	const most = 18
	last := exp - most + 1 // the decimal place of the eighteenth digit
	exact.Quo(exact, power(last))
	whole, rest := new(big.Int).QuoRem(exact.Num(), exact.Denom(), new(big.Int))
	longest, more := whole.Uint64(), rest.Sign() > 0
	past := rest.Lsh(rest, 1).Cmp(exact.Denom()) > 0 // the nineteenth digit and so on are more than half a step

	step := uint64(1e17) // of the digit that is tried as the last one
	for place := exp; place >= last; place-- {
		first, second := longest/step, longest/step+1
		if cut := 2 * (longest % step); cut > step || cut == step && more || step == 1 && past {
			first, second = second, first
		}
		for _, candidate := range [...]uint64{first, second} {
			if mm, ok := u.FromDecimal(candidate, place); ok && mm == size {
				digits = strconv.FormatUint(candidate, 10)
				return strings.TrimRight(digits, "0"), place + len(digits) - 1
			}
		}
		step /= 10
	}
	panic("measure: a length without a decimal: " + strconv.FormatFloat(size, 'g', -1, 64))
}

// of returns how many units a length in mm is, exactly.
func (u Unit) of(mm float64) *big.Rat {
	one := units[u].mm.exact(big.NewInt(1), 0)
	return one.Quo(new(big.Rat).SetFloat64(mm), one)
}

// power returns 10^exp.
func power(exp int) *big.Rat {
	if exp < 0 {
		return new(big.Rat).SetFrac(big.NewInt(1), tenTo(-exp))
	}
	return new(big.Rat).SetInt(tenTo(exp))
}

// layout writes d.ddd·10^exp, without an exponent where that is readable.
func layout(digits string, exp int) string {
	switch {
	case exp < -7 || exp > 20:
		text := digits[:1]
		if len(digits) > 1 {
			text += "." + digits[1:]
		}
		return text + "e" + strconv.Itoa(exp)
	case exp < 0:
		return "0." + strings.Repeat("0", -exp-1) + digits
	case len(digits) <= exp+1:
		return digits + strings.Repeat("0", exp+1-len(digits))
	}
	return digits[:exp+1] + "." + digits[exp+1:]
}

// FormatRounded prints a length with a fixed number of decimals and its unit. It is rounded once, from its exact value in that unit,
// ties to even (rule A of ISO 80000-1:2009, annex B). decimals must not be negative.
func FormatRounded(mm float64, u Unit, decimals int) string {
	if decimals < 0 {
		panic("measure: a negative number of decimals")
	}
	if mm-mm != 0 || u == MM {
		return Decimal(mm, decimals) + " " + u.String()
	}
	scaled := u.of(math.Abs(mm))
	digits := halfEven(scaled.Mul(scaled, power(decimals))).String()
	if short := decimals + 1 - len(digits); short > 0 {
		digits = strings.Repeat("0", short) + digits
	}
	text := digits[:len(digits)-decimals]
	if decimals > 0 {
		text += "." + digits[len(text):]
	}
	if mm < 0 {
		text = unsigned("-" + text)
	}
	return text + " " + u.String()
}

// halfEven returns the integer nearest to x ≥ 0, ties to even.
func halfEven(x *big.Rat) *big.Int {
	whole, rest := new(big.Int).QuoRem(x.Num(), x.Denom(), new(big.Int))
	if c := rest.Lsh(rest, 1).Cmp(x.Denom()); c > 0 || c == 0 && whole.Bit(0) == 1 {
		whole.Add(whole, big.NewInt(1))
	}
	return whole
}

// Decimal prints x with a fixed number of decimals, rounded from its exact binary value, ties to even. What is rounded to zero has no
// sign. decimals must not be negative.
func Decimal(x float64, decimals int) string {
	if decimals < 0 {
		panic("measure: a negative number of decimals")
	}
	return unsigned(strconv.FormatFloat(x, 'f', decimals, 64))
}

// Round returns the float64 nearest to x rounded to that many decimals from its exact binary value, ties to even; so Decimal prints
// both alike, and the shortest form of the result has no further decimals. Zero comes without a sign; NaN and infinities stay.
func Round(x float64, decimals int) float64 {
	if x-x != 0 {
		return x
	}
	rounded, err := strconv.ParseFloat(Decimal(x, decimals), 64)
	if err != nil {
		panic("measure: a rounded number cannot be read: " + err.Error())
	}
	return rounded
}

// unsigned takes the minus from a printed zero.
func unsigned(text string) string {
	if size, negative := strings.CutPrefix(text, "-"); negative && strings.Trim(size, "0.") == "" {
		return size
	}
	return text
}

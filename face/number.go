package face

import (
	"math"
	"strings"

	"slatewright/measure"
)

// reach is the largest coordinate that is taken, in mm: a kilometre. Larger ones are damage.
const reach = 1e6

// Powers of ten that a float64 holds exactly, as far as 19 decimals need them.
var powers = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19}

// plain reads a number of the plain form (sign, digits, mark, digits; at most 19 that count) in the unit from t[p:], where t
// ends with a byte that belongs to no number. It returns the value in mm, the place behind it, and the decimal mark met or 0. If the
// text has another form, or the number is beyond reach, the returned place is p.
//
// An integer below 2^53 and a power of ten up to 10^22 are exact, so their quotient is rounded once (W. D. Clinger, "How to read
// floating point numbers accurately", PLDI 1990); measure rounds the others.
func plain(t []byte, p int, comma bool, u measure.Unit) (mm float64, end int, mark byte) {
	q := p
	if t[q] == '-' || t[q] == '+' {
		q++
	}
	first, mantissa := q, uint64(0)
	for d := t[q] - '0'; d <= 9; d = t[q] - '0' {
		mantissa = mantissa*10 + uint64(d)
		q++
	}
	digits, decimals := q-first, 0
	if t[q] == '.' || comma && t[q] == ',' {
		mark = t[q]
		q++
		fraction := q
		for d := t[q] - '0'; d <= 9; d = t[q] - '0' {
			mantissa = mantissa*10 + uint64(d)
			q++
		}
		decimals = q - fraction
		digits += decimals
	}
	if digits == 0 || digits > 19 && digits-leadingZeros(t[first:q]) > 19 {
		return 0, p, 0
	}
	ok := true
	if u == measure.MM && mantissa < 1<<53 && decimals < len(powers) {
		mm = float64(mantissa) / powers[decimals]
	} else {
		mm, ok = u.FromDecimal(mantissa, -decimals)
	}
	if !ok || mm > reach {
		return 0, p, 0
	}
	if t[p] == '-' && mm != 0 { // 0 and -0 are the same place
		mm = -mm
	}
	return mm, q, mark
}

func leadingZeros(number []byte) int {
	n := 0
	for _, c := range number {
		if c >= '1' && c <= '9' {
			break
		}
		if c == '0' {
			n++
		}
	}
	return n
}

// form is what a cell turns out to be.
type form int

const (
	number   form = iota
	missing       // empty, or "nan"
	infinite      // "inf"
	tooLarge      // beyond reach
	noNumber
)

// careful reads a whole cell of any form that is accepted. The mark is as plain returns it.
func careful(cell string, comma bool, u measure.Unit) (mm float64, mark byte, f form) {
	switch strings.ToLower(strings.TrimLeft(cell, "+-")) {
	case "nan":
		return 0, 0, missing
	case "inf", "infinity":
		return 0, 0, infinite
	}
	if cell == "" {
		return 0, 0, missing
	}
	if i := strings.IndexAny(cell, ".,"); i >= 0 {
		mark = cell[i]
	}
	if mark == ',' && !comma {
		return 0, 0, noNumber
	}
	mm, err := u.ToMM(strings.Replace(cell, ",", ".", 1))
	switch {
	case isTrouble(err, "out-of-range") || math.Abs(mm) > reach:
		return 0, mark, tooLarge
	case err != nil:
		return 0, 0, noNumber
	case mm == 0:
		return 0, mark, number // not -0
	}
	return mm, mark, number
}

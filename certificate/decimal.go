package certificate

import (
	"math"
	"strconv"
	"strings"

	"slatewright/measure"
	"slatewright/trouble"
)

// Decimal is a sealed number: a whole count of the last decimal of its places, written with exactly that many decimals.
// Whole counts compare, print and read back exactly, and there is no minus zero.
type Decimal[P places] int64

// places says how many decimals a kind of number has.
type places interface{ decimals() int }

// The places of sealed numbers.
type (
	inNanometres  struct{}
	inNanoradians struct{}
	inMillionths  struct{}
	inMyriads     struct{}
	inThousandths struct{}
)

func (inNanometres) decimals() int  { return 6 }
func (inNanoradians) decimals() int { return 9 }
func (inMillionths) decimals() int  { return 6 }
func (inMyriads) decimals() int     { return 4 }
func (inThousandths) decimals() int { return 3 }

// The kinds of sealed numbers.
type (
	Length      = Decimal[inNanometres]  // mm, to 1e-6 mm
	Angle       = Decimal[inNanoradians] // rad, and slopes in mm per mm, to 1e-9
	Share       = Decimal[inMillionths]  // a given risk, to 1e-6
	Probability = Decimal[inMyriads]     // to 1e-4
	Amount      = Decimal[inThousandths] // to 1e-3 of the unit in the field's name: °C, kg, kg/m³, divisions of a level
)

// decimalLimit keeps a count exact as a float64, so that its value has the same bits everywhere.
const decimalLimit = 1 << 53

// decimalOf rounds x half to even, from its exact value. What is not finite or too large for its places is our own fault:
// nothing in a mill is so large.
func decimalOf[P places](x float64) (Decimal[P], error) {
	if math.IsNaN(x) || math.Abs(x) >= decimalLimit/scale[P]() {
		return 0, trouble.Own("no-number", "", "a result is not a number that can be sealed: "+strconv.FormatFloat(x, 'g', -1, 64), "report this, with the readings")
	}
	var p P
	return parseDecimal[P](measure.Decimal(x, p.decimals()))
}

// scale is the count of one whole.
func scale[P places]() float64 {
	var p P
	s := 1.0
	for range p.decimals() {
		s *= 10
	}
	return s
}

// Float64 returns the nearest float64: a whole number below 2^53 over a power of ten, which is one correctly rounded division.
func (d Decimal[P]) Float64() float64 { return float64(d) / scale[P]() }

// String writes the number with all its decimals.
func (d Decimal[P]) String() string {
	var p P
	sign, n := "", int64(d)
	if n < 0 {
		sign, n = "-", -n
	}
	digits := strconv.FormatInt(n, 10)
	if short := p.decimals() + 1 - len(digits); short > 0 {
		digits = strings.Repeat("0", short) + digits
	}
	point := len(digits) - p.decimals()
	return sign + digits[:point] + "." + digits[point:]
}

// MarshalJSON writes the number as [Decimal.String] does.
func (d Decimal[P]) MarshalJSON() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalJSON reads only what MarshalJSON writes.
func (d *Decimal[P]) UnmarshalJSON(text []byte) (err error) {
	*d, err = parseDecimal[P](string(text))
	return err
}

func parseDecimal[P places](text string) (Decimal[P], error) {
	var p P
	whole, decimals, _ := strings.Cut(text, ".")
	n, err := strconv.ParseInt(whole+decimals, 10, 64)
	d := Decimal[P](n)
	if err != nil || n <= -decimalLimit || n >= decimalLimit || d.String() != text {
		return 0, trouble.Data("not-canonical", "", "the number "+clipped(text)+" is not in the form that is sealed",
			"it has exactly "+strconv.Itoa(p.decimals())+" decimals, no plus sign, no exponent, no needless zero in front and no minus zero")
	}
	return d, nil
}

// clipped keeps a message short whatever was read.
func clipped(text string) string {
	const most = 40
	if len(text) > most {
		text = text[:most] + "…"
	}
	return strconv.Quote(text)
}

package measure_test

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatewright/measure"
	"slatewright/trouble"
)

// refusal checks that err is a Trouble of kind Data with that code and that its next step contains the hint.
func refusal(t rapid.TB, text string, err error, code, hint string) {
	t.Helper()
	var refused *trouble.Trouble
	switch {
	case err == nil:
		t.Errorf("%q was read", text)
	case !errors.As(err, &refused):
		t.Errorf("%q: %v is no Trouble", text, err)
	case refused.Kind != trouble.KindData || refused.Code != code || !strings.Contains(refused.Next, hint):
		t.Errorf("%q: %s, %q; want code %s and a next step with %q", text, refused.Code, refused.Error(), code, hint)
	}
}

// same tells whether two float64 have the same bits.
func same(a, b float64) bool { return math.Float64bits(a) == math.Float64bits(b) }

// anyFinite draws finite float64 of all sizes, subnormal and huge ones and both zeros among them.
func anyFinite() *rapid.Generator[float64] {
	bits := rapid.Map(rapid.Uint64(), math.Float64frombits)
	return rapid.OneOf(bits, rapid.Float64(), rapid.Float64Range(-3000, 3000)).Filter(func(x float64) bool { return x-x == 0 })
}

func TestParseNumber(t *testing.T) {
	cases := map[string]float64{
		"0": 0, "12.34": 12.34, "12,34": 12.34, ".010": 0.01, "12.": 12, "-0,5": -0.5, "+3": 3, "−7.5": -7.5, " 5\t": 5,
		"0,250": 0.25, "00,250": 0.25, "1234,567": 1234.567, "12,3456": 12.3456, "1,23": 1.23, "1.234": 1.234, "1,2e3": 1200,
		"1.5e-3": 0.0015, "2E+2": 200, "1e-400": 0, "0e999999999999999999999": 0, "9007199254740993": 9007199254740992, "99999999999999999999": 1e20,
		"0.1000000000000000055511151231257827021181583404541015625": 0.1, "179769313486231570814e288": math.MaxFloat64,
		"4.9406564584124654e-324": math.SmallestNonzeroFloat64, "1" + strings.Repeat("0", 1500) + "e-1500": 1,
	}
	for text, want := range cases {
		if got, err := measure.ParseNumber(text); err != nil || !same(got, want) {
			t.Errorf("%q: got %v, %v; want %v", text, got, err, want)
		}
	}
	if got, err := measure.ParseNumber("-0"); err != nil || !same(got, math.Copysign(0, -1)) {
		t.Errorf("-0: got %v, %v", got, err)
	}
}

func TestParseNumberRefuses(t *testing.T) {
	cases := []struct{ text, code, hint string }{
		{"1,234", "ambiguous-number", `write "1.234" or "1234"`},
		{"-12,500", "ambiguous-number", `write "-12.500" or "-12500"`},
		{"999,999e-2", "ambiguous-number", `"999.999e-2" or "999999e-2"`},
		{"1.234,5", "bad-number", "nothing between thousands"},
		{"1,234.5", "bad-number", "nothing between thousands"},
		{"1,234,567", "bad-number", "nothing between thousands"},
		{"1.234.567", "bad-number", "nothing between thousands"},
		{"1 234", "bad-number", "12.34"},
		{",5", "bad-number", "12,34"},
		{"5,", "bad-number", "12.34"},
		{"", "bad-number", "12.34"},
		{"-", "bad-number", "12.34"},
		{".", "bad-number", "12.34"},
		{",", "bad-number", "12.34"},
		{"--5", "bad-number", "12.34"},
		{"+-5", "bad-number", "12.34"},
		{"5 mm", "bad-number", "12.34"},
		{"1/2", "bad-number", "12.34"},
		{"nan", "bad-number", "12.34"},
		{"Inf", "bad-number", "12.34"},
		{"0x10", "bad-number", "12.34"},
		{"1_000", "bad-number", "12.34"},
		{"e5", "bad-number", "12.34"},
		{"5e", "bad-number", "12.34"},
		{"1e309", "out-of-range", "exponent"},
		{"-1e999999999999999999", "out-of-range", "exponent"},
		{strings.Repeat("1", 2001), "too-long", "12.34"},
		{strings.Repeat("\x80", 100), "bad-number", "12.34"}, // no character starts anywhere in it
	}
	for _, c := range cases {
		_, err := measure.ParseNumber(c.text)
		refusal(t, c.text, err, c.code, c.hint)
	}
}

// A hand in Portugal writes 1,5 and a hand in Vermont 1.5. The comma is refused just where the two would mean different numbers.
func TestCommaRule(t *testing.T) {
	digits := rapid.StringMatching(`[0-9]{1,6}`)
	rapid.Check(t, func(t *rapid.T) {
		whole, part := digits.Draw(t, "whole"), digits.Draw(t, "part")
		text := whole + "," + part
		got, err := measure.ParseNumber(text)
		if thousands := len(part) == 3 && len(whole) <= 3 && whole[0] != '0'; thousands {
			refusal(t, text, err, "ambiguous-number", `"`+whole+"."+part+`" or "`+whole+part+`"`)
			return
		}
		if want, _ := measure.ParseNumber(whole + "." + part); err != nil || !same(got, want) {
			t.Fatalf("%q: got %v, %v; want %v", text, got, err, want)
		}
	})
}

func TestParseNumberReadsWhatIsPrinted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := anyFinite().Draw(t, "x")
		format := rapid.SampledFrom([]byte{'e', 'E', 'f', 'g'}).Draw(t, "format")
		precision := rapid.IntRange(-1, 25).Draw(t, "precision")
		text := strconv.FormatFloat(x, format, precision, 64)
		want, err := strconv.ParseFloat(text, 64)
		if err != nil { // rounded up beyond the largest
			t.Skip()
		}
		if got, err := measure.ParseNumber(text); err != nil || !same(got, want) {
			t.Fatalf("%q: got %v, %v; want %v", text, got, err, want)
		}
	})
}

// unitsInMM are the exact values of the units: SI prefixes, and the international inch and foot of 1959 (NIST Special Publication
// 811, 2008, appendix B).
var unitsInMM = map[measure.Unit]*big.Rat{
	measure.MM: big.NewRat(1, 1), measure.Micron: big.NewRat(1, 1000), measure.Inch: big.NewRat(254, 10), measure.Thou: big.NewRat(254, 10000),
	measure.Centimetre: big.NewRat(10, 1), measure.Metre: big.NewRat(1000, 1), measure.Foot: big.NewRat(3048, 10),
}

func anyUnit() *rapid.Generator[measure.Unit] {
	return rapid.SampledFrom([]measure.Unit{measure.MM, measure.Micron, measure.Inch, measure.Thou, measure.Centimetre, measure.Metre, measure.Foot})
}

func TestConversionIsExactAndRoundedOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unit := anyUnit().Draw(t, "unit")
		digits := rapid.StringMatching(`[0-9]{1,25}`).Draw(t, "digits")
		exp := rapid.OneOf(rapid.IntRange(-12, 3), rapid.IntRange(-360, 280)).Draw(t, "exp")
		text := fmt.Sprintf("%se%d", digits, exp)
		exact, ok := new(big.Rat).SetString(text)
		if !ok {
			t.Fatalf("math/big does not read %q", text)
		}
		want, _ := exact.Mul(exact, unitsInMM[unit]).Float64()
		if got, err := unit.ToMM(text); err != nil || !same(got, want) {
			t.Fatalf("%s %v: got %v, %v; want %v", text, unit, got, err, want)
		}
		if mantissa, err := strconv.ParseUint(digits, 10, 64); err == nil {
			if got, ok := unit.FromDecimal(mantissa, exp); !ok || !same(got, want) {
				t.Fatalf("%d·10^%d %v: got %v, %v; want %v", mantissa, exp, unit, got, ok, want)
			}
		}
	})
}

func TestFloatsAreConvertedExactlyAndRoundedOnce(t *testing.T) {
	const smallestNormal = 0x1p-1022
	rapid.Check(t, func(t *rapid.T) {
		unit := anyUnit().Draw(t, "unit")
		v := rapid.OneOf(rapid.Float64Range(-3000, 3000), anyFinite()).Draw(t, "v")
		exact := new(big.Rat).SetFloat64(v)
		want, _ := exact.Mul(exact, unitsInMM[unit]).Float64()
		if want != 0 && math.Abs(want) < smallestNormal {
			t.Skip()
		}
		if got := unit.FromFloat(v); !same(got, want+0) {
			t.Fatalf("%v %v: got %v, want %v", v, unit, got, want)
		}
	})
	for unit := range unitsInMM {
		if got := unit.FromFloat(math.Copysign(0, -1)); !same(got, 0) {
			t.Errorf("-0 %v is %v mm", unit, got)
		}
	}
}

func TestConversionKnowsItsLimits(t *testing.T) {
	if got, ok := measure.Metre.FromDecimal(2, 305); ok {
		t.Errorf("2e305 m is %v mm", got)
	}
	if got, ok := measure.Thou.FromDecimal(math.MaxUint64, 400); ok {
		t.Errorf("1.8e419 thou is %v mm", got)
	}
	if got, ok := measure.Foot.FromDecimal(math.MaxUint64, -1e6); !ok || got != 0 {
		t.Errorf("a millionth of a millionth … of a foot is %v mm, %v", got, ok)
	}
	_, err := measure.Inch.ToMM("1,234")
	refusal(t, "1,234", err, "ambiguous-number", "1234")
	_, err = measure.Inch.ToMM("1/2")
	refusal(t, "1/2", err, "bad-number", "12.34")
}

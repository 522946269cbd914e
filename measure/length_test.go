package measure_test

import (
	"fmt"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatewright/measure"
)

func TestParseLength(t *testing.T) {
	cases := []struct {
		text string
		mm   float64
		unit measure.Unit
	}{
		// limits and sizes of the WPA tournament table and equipment specifications, text of 2001, which prints both units
		{"0.010 in", 0.254, measure.Inch}, {"0.020 in", 0.508, measure.Inch}, {"0.030 in", 0.762, measure.Inch}, {"0.005 in", 0.127, measure.Inch},
		{"1 in", 25.4, measure.Inch}, {"3/4 in", 19.05, measure.Inch}, {"1/8 in", 3.175, measure.Inch}, {"29 1/4 in", 742.95, measure.Inch},
		{"12 1/2 in", 317.5, measure.Inch}, {"3 11/16 in", 93.6625, measure.Inch}, {"1 7/8 in", 47.625, measure.Inch}, {"100 in", 2540, measure.Inch},
		{"4.625 in", 117.475, measure.Inch}, {"1/16 in", 1.5875, measure.Inch},
		// metric
		{"0.25 mm", 0.25, measure.MM}, {"0,25mm", 0.25, measure.MM}, {"-12.5 MM", -12.5, measure.MM}, {"250 µm", 0.25, measure.Micron},
		{"250 μm", 0.25, measure.Micron}, {"250um", 0.25, measure.Micron}, {"1 micron", 0.001, measure.Micron}, {"30 microns", 0.03, measure.Micron},
		{"147.3 cm", 1473, measure.Centimetre}, {"1.473 m", 1473, measure.Metre}, {"1,4730 m", 1473, measure.Metre},
		{"1473\u00a0mm", 1473, measure.MM}, {"1/2 mm", 0.5, measure.MM}, {"2e-3 m", 2, measure.Metre}, {"0.25 mm.", 0.25, measure.MM},
		// inch: decimals, thousandths, fractions
		{"10 thou", 0.254, measure.Thou}, {"0.5 Thou", 0.0127, measure.Thou}, {`.010"`, 0.254, measure.Inch}, {"2.25 inches", 57.15, measure.Inch},
		{"1/32 in", 0.79375, measure.Inch}, {"1⁄32 in.", 0.79375, measure.Inch}, {"5/4 in", 31.75, measure.Inch}, {`2 1/4"`, 57.15, measure.Inch},
		{`2-1/4"`, 57.15, measure.Inch}, {"½ in", 12.7, measure.Inch}, {"2½”", 63.5, measure.Inch}, {"2 ⅞ in", 73.025, measure.Inch},
		{"-1/2 in", -12.7, measure.Inch}, {"-2 1/4 in", -57.15, measure.Inch}, {"1''", 25.4, measure.Inch}, {"1/2 thou", 0.0127, measure.Thou},
		// feet
		{"5'", 1524, measure.Foot}, {"4 1/2 ft", 1371.6, measure.Foot}, {"2.5 feet", 762, measure.Foot}, {"1 foot", 304.8, measure.Foot},
		{`9' 2 1/4"`, 2800.35, measure.Inch}, {`9'2"`, 2794, measure.Inch}, {`9'-2 1/4"`, 2800.35, measure.Inch}, {`9' - 2"`, 2794, measure.Inch},
		{"9 ft 2.5 in", 2806.7, measure.Inch}, {"9ft.2in.", 2794, measure.Inch}, {"9′ 2″", 2794, measure.Inch}, {"9’ 2”", 2794, measure.Inch},
		{"9' 2''", 2794, measure.Inch}, {`-9' 2"`, -2794, measure.Inch}, {`9' ½"`, 2755.9, measure.Inch}, {`0' 11 63/64"`, 304.403125, measure.Inch},
	}
	for _, c := range cases {
		mm, unit, err := measure.ParseLengthUnit(c.text)
		if err != nil || !same(mm, c.mm) || unit != c.unit {
			t.Errorf("%q: got %v (in %v), %v; want %v in %v", c.text, mm, unit, err, c.mm, c.unit)
		}
	}
}

// notLengths are texts that no person should have read for them, by what is wrong.
var notLengths = []struct{ text, code, hint string }{
	{"0.25", "no-unit", `write "0.25 mm" or "0.25 in"`},
	{"1/32", "no-unit", `"1/32 in"`},
	{"2 1/4", "no-unit", `"2 1/4 in"`},
	{"9' 2", "no-unit", "write `9' 2\"`"},
	{"1,234 mm", "ambiguous-number", `write "1.234 mm" or "1234 mm"`},
	{`9' 1,125"`, "ambiguous-number", "`9' 1.125\"`"},
	{"1.473,5 mm", "bad-number", "nothing between thousands"},
	{"1 473 mm", "bad-number", "together"},
	{"1\u202f473 mm", "bad-number", "together"},
	{"10 mil", "ambiguous-unit", "write thou or mm"},
	{"10 MILS", "ambiguous-unit", "write thou or mm"},
	{"10 mill", "ambiguous-unit", "write thou or mm"},
	{"10 mills", "ambiguous-unit", "write thou or mm"},
	{"1 tenth", "ambiguous-unit", "thou or mm"},
	{"3 tenths", "ambiguous-unit", "thou or mm"},
	{"5 µ", "ambiguous-unit", "write µm"},
	{"5 μ", "ambiguous-unit", "write µm"},
	{"5 Μm", "unknown-unit", "µm"}, // capital Greek Mu
	{"5 furlong", "unknown-unit", "thou"},
	{"5 %", "unknown-unit", "thou"},
	{"1.5/2 in", "unknown-unit", "mm"},
	{"1/2/3 in", "unknown-unit", "mm"},
	{"1 / 2 in", "unknown-unit", "mm"},
	{"2 5/4 in", "bad-fraction", "2 1/4 in"},
	{"2 4/4 in", "bad-fraction", "2 1/4 in"},
	{"2.5½ in", "bad-fraction", "2 1/4 in"},
	{"2,5 1/2 in", "bad-fraction", "2 1/4 in"},
	{"1/0 in", "bad-fraction", "1/32 in"},
	{"1/1234567890 in", "bad-fraction", "1/32 in"},
	{"1234567890/2 in", "bad-fraction", "1/32 in"},
	{"2 1/1234567890 in", "bad-fraction", "1/32 in"},
	{`9' -2"`, "bad-length", "9' 2 1/4"},
	{`9'- 2"`, "bad-length", "9' 2 1/4"},
	{"9'-", "bad-number", "9' 2 1/4"},
	{`9'--2"`, "bad-length", "9' 2 1/4"},
	{`9' +2"`, "bad-length", "9' 2 1/4"},
	{`9' −2"`, "bad-length", "9' 2 1/4"},
	{`9' 12"`, "bad-length", "9' 2 1/4"},
	{`4.5' 3"`, "bad-length", "9' 2 1/4"},
	{`1/2' 3"`, "bad-length", "9' 2 1/4"},
	{"9' 2 mm", "bad-length", "9' 2 1/4"},
	{"9' 2' 3\"", "bad-length", "9' 2 1/4"},
	{"9' 2\" 3", "bad-length", "9' 2 1/4"},
	{"9' mm", "bad-number", "9' 2 1/4"},
	{"9' 2 furlong", "unknown-unit", "ft"},
	{`9" 2'`, "bad-length", "0.25 mm"},
	{"5 mm 3", "bad-length", "0.25 mm"},
	{"5 mm/m", "bad-length", "0.25 mm"},
	{"5 mm;", "bad-length", "0.25 mm"},
	{"", "bad-number", "0.25 mm"},
	{"mm", "bad-number", "0.25 mm"},
	{"NaN mm", "bad-number", "0.25 mm"},
	{"Infinity mm", "bad-number", "0.25 mm"},
	{"٣ mm", "bad-number", "0.25 mm"},
	{"1e308 m", "out-of-range", "exponent"},
	{strings.Repeat("9", 400) + "' 1\"", "out-of-range", "exponent"},
	{strings.Repeat("9", 400) + " 1/2 in", "out-of-range", "exponent"},
	{strings.Repeat("é", 1500), "too-long", "0.25 mm"},
}

func TestParseLengthRefuses(t *testing.T) {
	for _, c := range notLengths {
		mm, unit, err := measure.ParseLengthUnit(c.text)
		refusal(t, c.text, err, c.code, c.hint)
		if mm != 0 || unit != 0 {
			t.Errorf("%q: a value %v %v beside the error", c.text, mm, unit)
		}
	}
}

func TestFeetAndInchesAddUpExactly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		feet, inches := rapid.IntRange(0, 40).Draw(t, "feet"), rapid.IntRange(0, 11).Draw(t, "inches")
		under := rapid.SampledFrom([]int{2, 3, 4, 8, 16, 32, 64, 100}).Draw(t, "under")
		over := rapid.IntRange(0, under-1).Draw(t, "over")
		exact := big.NewRat(int64(over), int64(under))
		exact.Add(exact, big.NewRat(int64(12*feet+inches), 1)).Mul(exact, big.NewRat(254, 10))
		want, _ := exact.Float64()
		for _, form := range []string{"%d' %d %d/%d\"", "%d ft %d %d/%d in", "%d'-%d-%d/%d\"", "%dft%d %d/%din"} {
			text := fmt.Sprintf(form, feet, inches, over, under)
			if got, err := measure.ParseLength(text); err != nil || !same(got, want) {
				t.Fatalf("%q: got %v, %v; want %v", text, got, err, want)
			}
		}
	})
}

func TestParseUnit(t *testing.T) {
	for text, want := range map[string]measure.Unit{"mm": measure.MM, " MM ": measure.MM, "µm": measure.Micron, "um": measure.Micron, "in.": measure.Inch,
		`"`: measure.Inch, "″": measure.Inch, "thou": measure.Thou, "cm": measure.Centimetre, "Meter": measure.Metre, "'": measure.Foot} {
		if got, err := measure.ParseUnit(text); err != nil || got != want {
			t.Errorf("%q: got %v, %v; want %v", text, got, err, want)
		}
	}
	for text, code := range map[string]string{"": "no-unit", "mil": "ambiguous-unit", "5 mm": "bad-number", "mm mm": "unknown-unit", "kg": "unknown-unit"} {
		_, err := measure.ParseUnit(text)
		refusal(t, text, err, code, "")
	}
}

func TestParseSize(t *testing.T) {
	for text, want := range map[string][2]float64{
		"914 x 1473 mm": {914, 1473}, "914x1473mm": {914, 1473}, "91,4 × 147,3 cm": {914, 1473}, "36 X 58 in": {914.4, 1473.2},
		`36" x 58"`: {914.4, 1473.2}, `3' x 4' 10"`: {914.4, 1473.2}, "914 mm x 58 in": {914, 1473.2}, "36 1/4 x 58 in": {920.75, 1473.2},
		" 1 x 2 mm ": {1, 2},
	} {
		x, y, err := measure.ParseSize(text)
		if err != nil || !same(x, want[0]) || !same(y, want[1]) {
			t.Errorf("%q: got %v by %v, %v; want %v", text, x, y, err, want)
		}
	}
	for _, c := range []struct{ text, code, hint string }{
		{"914", "bad-size", "914 x 1473 mm"}, {"914 x 1473 x 25 mm", "bad-size", "914 x 1473 mm"}, {"", "bad-size", "914 x 1473 mm"},
		{"914 x 1473", "no-unit", `"1473 mm"`}, {"914 mm x 1473", "no-unit", `"1473 mm"`}, {`3 x 4' 10"`, "no-unit", `"3 mm"`},
		{"0 x 5 mm", "bad-size", "greater than zero"}, {"-3 x 5 mm", "bad-size", "greater than zero"}, {"3 x -5 mm", "bad-size", "greater than zero"},
		{"x 5 mm", "bad-number", "0.25 mm"}, {"5 mm x", "bad-number", "0.25 mm"}, {"1,234 x 914 mm", "ambiguous-number", "1234"},
		{"914 mil x 5 mm", "ambiguous-unit", "thou"},
	} {
		x, y, err := measure.ParseSize(c.text)
		refusal(t, c.text, err, c.code, c.hint)
		if x != 0 || y != 0 {
			t.Errorf("%q: values %v, %v beside the error", c.text, x, y)
		}
	}
}

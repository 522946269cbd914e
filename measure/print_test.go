package measure_test

import (
	"math"
	"math/big"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatewright/measure"
)

func TestFormatLength(t *testing.T) {
	cases := []struct {
		mm   float64
		unit measure.Unit
		want string
	}{
		{0.25, measure.MM, "0.25 mm"}, {0.25, measure.Micron, "250 µm"}, {0.254, measure.Inch, "0.01 in"}, {0.254, measure.Thou, "10 thou"},
		{0.127, measure.Thou, "5 thou"}, {1473, measure.Centimetre, "147.3 cm"}, {1473, measure.Metre, "1.473 m"}, {1524, measure.Foot, "5 ft"},
		{0.79375, measure.Inch, "0.03125 in"}, {-3.175, measure.Inch, "-0.125 in"}, {0, measure.Inch, "0 in"}, {math.Copysign(0, -1), measure.MM, "-0 mm"},
		{1e-7, measure.MM, "0.0000001 mm"}, {1e-8, measure.MM, "1e-8 mm"}, {1.5e-8, measure.MM, "1.5e-8 mm"}, {1e20, measure.MM, "100000000000000000000 mm"},
		{1e21, measure.MM, "1e21 mm"}, {math.SmallestNonzeroFloat64, measure.MM, "5e-324 mm"}, {math.SmallestNonzeroFloat64, measure.Inch, "2e-325 in"},
		{math.MaxFloat64, measure.Micron, "1.7976931348623157e311 µm"}, {1, measure.Inch, "0.03937007874015748 in"},
		{math.NaN(), measure.MM, "NaN mm"}, {math.Inf(1), measure.Inch, "+Inf in"}, {math.Inf(-1), measure.Micron, "-Inf µm"},
	}
	for _, c := range cases {
		if got := measure.FormatLength(c.mm, c.unit); got != c.want {
			t.Errorf("%v in %v: got %q, want %q", c.mm, c.unit, got, c.want)
		}
	}
}

func TestPrintThenParseGivesTheSameNumber(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mm, unit := anyFinite().Draw(t, "mm"), anyUnit().Draw(t, "unit")
		text := measure.FormatLength(mm, unit)
		got, u, err := measure.ParseLengthUnit(text)
		if err != nil || !same(got, mm) || u != unit {
			t.Fatalf("%v in %v is printed %q and read as %v in %v, %v", mm, unit, text, got, u, err)
		}
		if comma := strings.Replace(text, ".", ",", 1); !strings.HasPrefix(comma, text) { // if it can be read with a comma, then as the same
			if got, err := measure.ParseLength(comma); err == nil && !same(got, mm) {
				t.Fatalf("%q is read as %v, not %v", comma, got, mm)
			}
		}
	})
}

// No decimal with one digit less reads back as the same number, and none of the same length is nearer.
func TestPrintIsShortestAndNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mm := math.Abs(anyFinite().Filter(func(x float64) bool { return x != 0 }).Draw(t, "mm"))
		unit := anyUnit().Draw(t, "unit")
		number, _, _ := strings.Cut(measure.FormatLength(mm, unit), " ")
		printed, ok := new(big.Rat).SetString(number)
		if !ok {
			t.Fatalf("math/big does not read %q", number)
		}
		digits := significant(number)
		exact := new(big.Rat).Quo(new(big.Rat).SetFloat64(mm), unitsInMM[unit])
		near := distance(printed, exact)
		for places := max(1, digits-1); places <= digits; places++ {
			for _, neighbour := range neighbours(exact, places) {
				back, _ := new(big.Rat).Mul(neighbour, unitsInMM[unit]).Float64()
				if !same(back, mm) {
					continue
				}
				if places < digits {
					t.Fatalf("%v in %v is printed %q, but %s would do", mm, unit, number, neighbour.FloatString(30))
				}
				if distance(neighbour, exact).Cmp(near) < 0 {
					t.Fatalf("%v in %v is printed %q, but %s is nearer", mm, unit, number, neighbour.FloatString(30))
				}
			}
		}
	})
}

func distance(a, b *big.Rat) *big.Rat {
	d := new(big.Rat).Sub(a, b)
	return d.Abs(d)
}

// significant counts the significant digits of a printed number.
func significant(number string) int {
	mantissa, _, _ := strings.Cut(number, "e")
	whole, part, _ := strings.Cut(mantissa, ".")
	return max(1, len(strings.TrimLeft(strings.TrimRight(whole+part, "0"), "0")))
}

// neighbours returns the two decimals of so many significant digits around x > 0.
func neighbours(x *big.Rat, digits int) [2]*big.Rat {
	ten, unit := big.NewRat(10, 1), big.NewRat(1, 1)
	for scaled := new(big.Rat).Set(x); scaled.Cmp(ten) >= 0; scaled.Quo(scaled, ten) {
		unit.Mul(unit, ten)
	}
	for scaled := new(big.Rat).Set(x); scaled.Cmp(big.NewRat(1, 1)) < 0; scaled.Mul(scaled, ten) {
		unit.Quo(unit, ten)
	}
	for range digits - 1 {
		unit.Quo(unit, ten)
	}
	steps := new(big.Rat).Quo(x, unit)
	whole := new(big.Rat).SetInt(new(big.Int).Quo(steps.Num(), steps.Denom()))
	below := new(big.Rat).Mul(whole, unit)
	return [2]*big.Rat{below, new(big.Rat).Add(below, unit)}
}

// rounded is the slow second way: x in units, times 10^decimals, to the nearest integer, ties to even, by the definition.
func rounded(x, unit *big.Rat, decimals int) *big.Rat {
	power := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(decimals)), nil))
	scaled := new(big.Rat).Quo(x, unit)
	scaled.Mul(scaled, power)
	twice := new(big.Rat).Mul(scaled, big.NewRat(2, 1))
	up := new(big.Rat).Add(scaled, big.NewRat(1, 2))
	floor := new(big.Int).Div(up.Num(), up.Denom()) // Euclidean, the denominator is positive: floor
	if twice.IsInt() && twice.Num().Bit(0) == 1 && floor.Bit(0) == 1 {
		floor.Sub(floor, big.NewInt(1))
	}
	return new(big.Rat).Quo(new(big.Rat).SetInt(floor), power)
}

// halves draws numbers that are often exactly between two decimals.
func halves() *rapid.Generator[float64] {
	return rapid.Map(rapid.IntRange(-100000, 100000), func(n int) float64 { return float64(n) / 16 })
}

func TestRoundedPrintsAreCorrectlyRounded(t *testing.T) {
	inches := rapid.Map(halves(), func(x float64) float64 { return x * 127 / 8 }) // exact multiples of 1/128 · 25.4·… in mm
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.OneOf(anyFinite(), halves(), inches).Draw(t, "x")
		unit, decimals := anyUnit().Draw(t, "unit"), rapid.IntRange(0, 12).Draw(t, "decimals")
		exact := new(big.Rat).SetFloat64(x)
		want := rounded(exact, unitsInMM[unit], decimals).FloatString(decimals)
		if got := measure.FormatRounded(x, unit, decimals); got != want+" "+unit.String() {
			t.Fatalf("%v in %v to %d decimals: got %q, want %q", x, unit, decimals, got, want)
		}
		plain := rounded(exact, big.NewRat(1, 1), decimals)
		if got := measure.Decimal(x, decimals); got != plain.FloatString(decimals) {
			t.Fatalf("Decimal(%v, %d) = %q, want %q", x, decimals, got, plain.FloatString(decimals))
		}
		if want, _ := plain.Float64(); !same(measure.Round(x, decimals), want) {
			t.Fatalf("Round(%v, %d) = %v, want %v", x, decimals, measure.Round(x, decimals), want)
		}
	})
}

func TestRoundedPrints(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{measure.FormatRounded(0.254, measure.Thou, 1), "10.0 thou"}, {measure.FormatRounded(1473.2, measure.Inch, 3), "58.000 in"},
		{measure.FormatRounded(0.2501, measure.Micron, 0), "250 µm"}, {measure.FormatRounded(-0.0004, measure.MM, 3), "0.000 mm"},
		{measure.FormatRounded(-0.0004, measure.Inch, 3), "0.000 in"}, {measure.FormatRounded(63.5, measure.Inch, 0), "2 in"}, // 2.5, to even
		{measure.FormatRounded(-88.9, measure.Inch, 1), "-3.5 in"}, {measure.FormatRounded(math.NaN(), measure.Inch, 2), "NaN in"},
		{measure.Decimal(0.125, 2), "0.12"}, {measure.Decimal(0.375, 2), "0.38"}, {measure.Decimal(-0.0001, 3), "0.000"}, {measure.Decimal(2.5, 0), "2"},
		{measure.Decimal(1.005, 2), "1.00"}, // the float64 lies below the decimal
		{measure.Decimal(math.Inf(-1), 2), "-Inf"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

func TestRoundedNumbersStayAndNeedNoFurtherDecimals(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, decimals := anyFinite().Draw(t, "x"), rapid.IntRange(0, 12).Draw(t, "decimals")
		once := measure.Round(x, decimals)
		if twice := measure.Round(once, decimals); !same(once, twice) {
			t.Fatalf("Round(%v, %d) = %v, rounded again %v", x, decimals, once, twice)
		}
		if once == 0 && math.Signbit(once) {
			t.Fatalf("Round(%v, %d) is a zero with a sign", x, decimals)
		}
		_, part, _ := strings.Cut(strconv.FormatFloat(once, 'f', -1, 64), ".")
		if len(part) > decimals {
			t.Fatalf("Round(%v, %d) = %v", x, decimals, once)
		}
	})
	for _, x := range []float64{math.Inf(1), math.Inf(-1), math.NaN()} {
		if got := measure.Round(x, 3); got == got && got != x {
			t.Errorf("Round(%v) = %v", x, got)
		}
	}
}

func TestNegativeDecimalsAreOurOwnFault(t *testing.T) {
	for name, f := range map[string]func(){
		"Decimal":       func() { measure.Decimal(1, -1) },
		"Round":         func() { measure.Round(1, -1) },
		"FormatRounded": func() { measure.FormatRounded(1, measure.Inch, -1) },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s took -1 decimals", name)
				}
			}()
			f()
		}()
	}
}

package measure_test

import (
	"testing"

	"slatewright/measure"
)

func FuzzParseLength(f *testing.F) {
	for _, seed := range []string{"0.25 mm", "0,25mm", "250 µm", "250 μm", ".010 in", "10 thou", "1/32 in", `9' 2 1/4"`, `9'-2"`, "2½”", "1,234 mm",
		"1 473 mm", "-0 mm", "1e-400 ft", "5e-324 mm", "1e309 m", "10 mil", "9′ 2″", "0/1 in", "−5 cm", "1.7976931348623157e311 µm"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		mm, unit, err := measure.ParseLengthUnit(text)
		if err != nil {
			return
		}
		printed := measure.FormatLength(mm, unit)
		again, u, err := measure.ParseLengthUnit(printed)
		if err != nil || !same(again, mm) || u != unit {
			t.Fatalf("%q is %v in %v, printed %q, read again as %v in %v, %v", text, mm, unit, printed, again, u, err)
		}
		if twice := measure.FormatLength(again, u); twice != printed {
			t.Fatalf("%q is printed %q, then %q", text, printed, twice)
		}
	})
}

func FuzzParseNumber(f *testing.F) {
	for _, seed := range []string{"0", "12.34", "12,34", "1,234", ".5", "5.", "-0", "1e5", "1e-400", "1e99999999999999999999", "1.234,5", "−3", "nan", "0x1p-2"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		x, err := measure.ParseNumber(text)
		if err != nil {
			return
		}
		if mm, err := measure.MM.ToMM(text); err != nil || !same(mm, x) {
			t.Fatalf("%q is the number %v but %v mm, %v", text, x, mm, err)
		}
		if again, err := measure.ParseLength(text + " mm"); err != nil || !same(again, x) {
			t.Fatalf("%q is the number %v but as a length %v, %v", text, x, again, err)
		}
	})
}

func FuzzParseSize(f *testing.F) {
	for _, seed := range []string{"914 x 1473 mm", "36x58in", `3' × 4' 10"`, "0 x 1 mm", "x", "914 x 1473 x 25 mm", "1,5 X 2 m"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		x, y, err := measure.ParseSize(text)
		if err != nil {
			return
		}
		printed := measure.FormatLength(x, measure.MM) + " x " + measure.FormatLength(y, measure.Inch)
		x2, y2, err := measure.ParseSize(printed)
		if err != nil || !same(x, x2) || !same(y, y2) {
			t.Fatalf("%q is %v by %v, printed %q, read again as %v by %v, %v", text, x, y, printed, x2, y2, err)
		}
	})
}

func FuzzParseQuantities(f *testing.F) {
	for _, seed := range []string{"20.1 C", "68 °F", "-459.67 F", "2790 kg/m3", "174.4 lb/ft³", "2,790 kg/m3", "1e309 C"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		celsius, noTemperature := measure.ParseTemperature(text)
		density, noDensity := measure.ParseDensity(text)
		if noTemperature == nil && noDensity == nil {
			t.Fatalf("%q is both %v °C and %v kg/m³", text, celsius, density)
		}
		if celsius < -273.15 || noDensity == nil && !(density > 0) {
			t.Fatalf("%q: %v °C %v, %v kg/m³ %v", text, celsius, noTemperature, density, noDensity)
		}
	})
}

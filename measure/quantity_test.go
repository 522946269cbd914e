package measure_test

import (
	"math"
	"math/big"
	"testing"

	"slatewright/measure"
)

func TestParseTemperature(t *testing.T) {
	for text, want := range map[string]float64{
		"20.1 C": 20.1, "20,1 °C": 20.1, "20ºC": 20, "20 ° c": 20, "20 ℃": 20, "-5 C": -5, "−5,5 °C": -5.5,
		// fixed points of the scale of Fahrenheit: ice, steam, where both scales meet, and the reference temperature 20 °C of ISO 1:2022
		"32 F": 0, "212 °F": 100, "-40 F": -40, "68 F": 20, "68℉": 20, "70 f": 190.0 / 9,
		"-459.67 F": -273.15, "-273,15 °C": -273.15,
	} {
		if got, err := measure.ParseTemperature(text); err != nil || !same(got, want) {
			t.Errorf("%q: got %v, %v; want %v", text, got, err, want)
		}
	}
	for _, c := range []struct{ text, code, hint string }{
		{"20", "no-unit", "20.1 °C"}, {"20 K", "unknown-unit", "20.1 °C"}, {"20 °", "unknown-unit", "20.1 °C"}, {"C", "bad-number", "20.1 °C"},
		{"-273.16 C", "out-of-range", "sign"}, {"-460 F", "out-of-range", "sign"}, {"1e309 C", "out-of-range", "exponent"},
		{"1e309 F", "out-of-range", "exponent"}, {"20,125 C", "ambiguous-number", `"20.125 C"`}, {"20 C 21 C", "unknown-unit", "20.1 °C"},
	} {
		_, err := measure.ParseTemperature(c.text)
		refusal(t, c.text, err, c.code, c.hint)
	}
}

func TestParseDensity(t *testing.T) {
	for text, want := range map[string]float64{
		"2790 kg/m3": 2790, "2790 kg/m³": 2790, "2790 KG / m^3": 2790, "2.79 g/cm3": 2790, "2,79 kg/dm3": 2790, "2.79 t/m3": 2790,
	} {
		if got, err := measure.ParseDensity(text); err != nil || !same(got, want) {
			t.Errorf("%q: got %v, %v; want %v", text, got, err, want)
		}
	}
	cubicFoot := big.NewRat(3048, 10000)
	cubicFoot.Mul(cubicFoot, cubicFoot).Mul(cubicFoot, big.NewRat(3048, 10000))
	exact, _ := new(big.Rat).Quo(big.NewRat(45359237, 100000000), cubicFoot).Float64()
	if got, err := measure.ParseDensity("1 lb/ft3"); err != nil || !same(got, exact) {
		t.Errorf("1 lb/ft3: got %v, %v; want %v", got, err, exact)
	}
	for text, want := range map[string]float64{
		"1 lb/ft3":     16.01846, // NIST Special Publication 811, 2008, appendix B.8: 1.601846e+01
		"45 lb/ft3":    720.831,
		"174.4 lb/ft³": 2793.6, // a published data sheet of Virginia slate prints both
	} {
		if got, err := measure.ParseDensity(text); err != nil || math.Abs(got-want) > 1e-5*want {
			t.Errorf("%q: got %v, %v; want %v", text, got, err, want)
		}
	}
	for _, c := range []struct{ text, code, hint string }{
		{"2790", "no-unit", "2790 kg/m3"}, {"2,790 kg/m3", "ambiguous-number", `"2790 kg/m3"`}, {"5 kg", "unknown-unit", "2790 kg/m3"},
		{"0 kg/m3", "out-of-range", "2790"}, {"-5 kg/m3", "out-of-range", "2790"}, {"", "bad-number", "2790"}, {"1e309 kg/m3", "out-of-range", "exponent"},
	} {
		_, err := measure.ParseDensity(c.text)
		refusal(t, c.text, err, c.code, c.hint)
	}
}

package measure_test

import (
	"math"
	"testing"

	"slatewright/measure"
)

func TestParseModulus(t *testing.T) {
	for text, want := range map[string]float64{
		"48GPa": 48000, "48 gpa": 48000, "48000 MPa": 48000, "48000 N/mm²": 48000, "48 kN/mm^2": 48000, "1 psi": 6.894757e-3, // NIST Special Publication 811, appendix B.8
		"7.2 ksi": 49.64225,
	} {
		if got, err := measure.ParseModulus(text); err != nil || math.Abs(got-want) > 1e-7*want {
			t.Errorf("%q: got %v, %v; want %v", text, got, err, want)
		}
	}
	for _, c := range []struct{ text, code, hint string }{
		{"48", "no-unit", "48 GPa"}, {"48 kg", "unknown-unit", "48 GPa"}, {"-1 GPa", "out-of-range", "48 GPa"}, {"", "bad-number", "48 GPa"},
	} {
		_, err := measure.ParseModulus(c.text)
		refusal(t, c.text, err, c.code, c.hint)
	}
}

func TestParseForce(t *testing.T) {
	for text, want := range map[string]float64{"250N": 250, "0.25 kN": 250, "1 kgf": 9.80665, "1 lbf": 4.448222} { // the last from NIST Special Publication 811, appendix B.8
		if got, err := measure.ParseForce(text); err != nil || math.Abs(got-want) > 1e-6*want {
			t.Errorf("%q: got %v, %v; want %v", text, got, err, want)
		}
	}
	for _, c := range []struct{ text, code, hint string }{{"250", "no-unit", "250 N"}, {"25 kg", "unknown-unit", "250 N"}, {"0 N", "out-of-range", "250 N"}} {
		_, err := measure.ParseForce(c.text)
		refusal(t, c.text, err, c.code, c.hint)
	}
}

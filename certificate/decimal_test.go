package certificate

import (
	"encoding/json"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestDecimalIsWrittenInFull(t *testing.T) {
	for _, c := range []struct {
		mm   float64
		want string
	}{
		{0, "0.000000"},
		{math.Copysign(0, -1), "0.000000"},
		{-4e-7, "0.000000"}, // rounds to zero: no sign
		{0.127, "0.127000"},
		{-0.0127, "-0.012700"},
		{1473, "1473.000000"},
		{-914.333333333, "-914.333333"},
		{0.0000005, "0.000000"},     // the float64 lies below the tie
		{0.25390625e-3, "0.000254"}, // 0.00025390625
		{2.5 / 1048576, "0.000002"}, // 2.384185791015625e-6
		{0.5 / 1048576, "0.000000"}, // 4.76837158203125e-7
	} {
		d, err := decimalOf[inNanometres](c.mm)
		if err != nil || d.String() != c.want {
			t.Errorf("%g mm is %s (%v), want %s", c.mm, d, err, c.want)
		}
	}
	if d, err := decimalOf[inNanoradians](-1.25e-7); err != nil || d.String() != "-0.000000125" {
		t.Errorf("a slope is %s, %v", d, err)
	}
	// 0.00125 and 0.99985 are no float64: which way they go is decided by the float64 next to them, and 0.0625 is a tie
	// only at three decimals.
	if d, err := decimalOf[inThousandths](0.0625); err != nil || d.String() != "0.062" {
		t.Errorf("a tie is %s (%v), want the even 0.062", d, err)
	}
	if d, err := decimalOf[inThousandths](0.1875); err != nil || d.String() != "0.188" {
		t.Errorf("a tie is %s (%v), want the even 0.188", d, err)
	}
}

func TestDecimalRefusesWhatIsNoNumber(t *testing.T) {
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 9.1e9, -1e300} {
		if d, err := decimalOf[inNanometres](x); err == nil {
			t.Errorf("%g became %s", x, d)
		}
	}
	if d, err := decimalOf[inNanoradians](9.1e6); err == nil {
		t.Errorf("9.1e6 rad became %s", d)
	}
}

func TestDecimalReadsOnlyItsOwnForm(t *testing.T) {
	var d Length
	for _, text := range []string{"0.12", "0.1200000", "+0.120000", ".120000", "00.120000", "-0.000000", "1.2e-1", "12e10", "0,120000",
		"0.12000a", "", "-", "0", "1", "120000", "0x0.000001", "1_0.000000", "99999999999999.000000", "\"0.120000\"", "null", "0.1.0000", "1.-00001"} {
		if err := d.UnmarshalJSON([]byte(text)); err == nil {
			t.Errorf("%q was read as %s", text, d)
		}
	}
	if err := json.Unmarshal([]byte("-0.120000"), &d); err != nil || d != -120000 {
		t.Errorf("-0.120000 was read as %d, %v", d, err)
	}
}

// What is written reads back as the same count, and as the float64 nearest to the decimal: that which strconv reads.
func TestDecimalComesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := Angle(rapid.Int64Range(1-decimalLimit, decimalLimit-1).Draw(t, "count"))
		var again Angle
		if err := again.UnmarshalJSON([]byte(d.String())); err != nil || again != d {
			t.Fatalf("%s came back as %s, %v", d, again, err)
		}
		var f float64
		if err := json.Unmarshal([]byte(d.String()), &f); err != nil || f != d.Float64() {
			t.Fatalf("%s is %g, and Float64 says %g", d, f, d.Float64())
		}
	})
	// From a float64: sealing what was sealed changes nothing.
	rapid.Check(t, func(t *rapid.T) {
		d, err := decimalOf[inNanometres](rapid.Float64Range(-1e6, 1e6).Draw(t, "mm"))
		if err != nil {
			t.Fatal(err)
		}
		if again, err := decimalOf[inNanometres](d.Float64()); err != nil || again != d {
			t.Fatalf("%s sealed again is %s, %v", d, again, err)
		}
	})
}

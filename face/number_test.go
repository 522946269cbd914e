package face

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"slatewright/measure"
)

// factors are the units in mm as exact decimals (international yard and pound agreement, 1959).
var factors = map[measure.Unit]string{
	measure.MM: "1", measure.Micron: "0.001", measure.Inch: "25.4", measure.Thou: "0.0254",
	measure.Centimetre: "10", measure.Metre: "1000", measure.Foot: "304.8",
}

// inMM is the slow second method: exact rationals, rounded once.
func inMM(t *testing.T, number string, u measure.Unit) float64 {
	t.Helper()
	v, ok := new(big.Rat).SetString(number)
	by, ok2 := new(big.Rat).SetString(factors[u])
	if !ok || !ok2 {
		t.Fatalf("%q or the factor of %s is not a number", number, u)
	}
	mm, _ := v.Mul(v, by).Float64()
	return mm + 0
}

// randomNumber writes numbers of every length around the limits of the fast path.
func randomNumber(r *rand.Rand) string {
	var b strings.Builder
	b.WriteString([]string{"", "", "-", "+"}[r.IntN(4)])
	whole, decimals := r.IntN(5), r.IntN(22)
	if r.IntN(3) == 0 {
		b.WriteString("0." + strings.Repeat("0", r.IntN(8)))
		whole = 0
	}
	for range whole {
		b.WriteByte('0' + byte(r.IntN(10)))
	}
	if whole > 0 && decimals > 0 {
		b.WriteByte('.')
	}
	for range max(decimals, 1-whole) {
		b.WriteByte('0' + byte(r.IntN(10)))
	}
	return b.String()
}

func TestNumbersAreRoundedOnceInEveryUnit(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	fast := 0
	for range 40_000 {
		text := randomNumber(r)
		for u := measure.MM; u <= measure.Foot; u++ {
			want := inMM(t, text, u)
			got, end, _ := plain([]byte(text+"\n"), 0, false, u)
			if end == len(text) {
				fast++
				if math.Float64bits(got) != math.Float64bits(want) {
					t.Fatalf("plain %s %s: %v, want %v", text, u, got, want)
				}
			}
			got, _, f := careful(text, false, u)
			if (f == number) != (math.Abs(want) <= reach) || f == number && math.Float64bits(got) != math.Float64bits(want) {
				t.Fatalf("careful %s %s: %v (form %d), want %v", text, u, got, f, want)
			}
		}
	}
	if fast < 200_000 {
		t.Errorf("the fast path read only %d of 280000", fast)
	}
}

func TestPlainMatchesStrconvOnShortestDecimals(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 200_000 {
		v := (r.Float64() - 0.5) * math.Pow(10, float64(r.IntN(9)-3))
		text := strconv.FormatFloat(v, 'f', -1, 64)
		got, end, mark := plain([]byte(text+","), 0, false, measure.MM)
		if got != v || end != len(text) || mark != '.' {
			t.Fatalf("%s: read %v as far as %d with mark %q", text, got, end, mark)
		}
	}
}

func TestPlainLeavesOtherFormsAlone(t *testing.T) {
	for _, text := range []string{"", "-", "+", ".", "-.", "x", "nan", "12345678901234567890", "0.00012345678901234567890", "1000000.1", "99999999999"} {
		if _, end, _ := plain([]byte(text+"\n"), 0, true, measure.MM); end != 0 {
			t.Errorf("%q was read up to %d", text, end)
		}
	}
	for text, want := range map[string]string{"1e5": "1", "1.5x": "1.5", "1,5": "1", "0x10": "0"} {
		if _, end, _ := plain([]byte(text+"\n"), 0, false, measure.MM); end != len(want) {
			t.Errorf("%q was read up to %d", text, end)
		}
	}
	if mm, end, mark := plain([]byte("1,5;"), 0, true, measure.MM); mm != 1.5 || end != 3 || mark != ',' {
		t.Errorf("1,5 with a decimal comma: %v, %d, %q", mm, end, mark)
	}
}

func TestCarefulForms(t *testing.T) {
	cases := []struct {
		cell string
		want form
		mm   float64
	}{
		{"", missing, 0}, {"NaN", missing, 0}, {"-nan", missing, 0}, {"inf", infinite, 0}, {"-Infinity", infinite, 0},
		{"1e3", number, 1000}, {"1.5E-3", number, 0.0015}, {"-0", number, 0}, {"-0e-999999999", number, 0}, {"1e-999999999", number, 0},
		{"1e6", number, 1e6}, {"1.0000001e6", tooLarge, 0}, {"1e999", tooLarge, 0}, {"1e999999999999999999999", tooLarge, 0},
		{"0x10", noNumber, 0}, {"1_000", noNumber, 0}, {"1,5", noNumber, 0}, {`"1.5"`, noNumber, 0}, {"1.5 mm", noNumber, 0},
		{"1 000", noNumber, 0}, {"1.2.3", noNumber, 0}, {"--1", noNumber, 0}, {"e5", noNumber, 0}, {"-", noNumber, 0}, {".", noNumber, 0},
	}
	for _, c := range cases {
		mm, _, f := careful(c.cell, false, measure.MM)
		if f != c.want || math.Float64bits(mm) != math.Float64bits(c.mm) {
			t.Errorf("%q: form %d, %v; want form %d, %v", c.cell, f, mm, c.want, c.mm)
		}
	}
	for _, cell := range []string{"1.234,5", "1,234.5", "1,2,3"} {
		if _, _, f := careful(cell, true, measure.MM); f != noNumber {
			t.Errorf("%q with a decimal comma: form %d", cell, f)
		}
	}
}

func TestFiguresInHeaderLines(t *testing.T) {
	cases := []struct{ text, want string }{
		{"-274 -354", "[{-274  false} {-354  false}]"},
		{"914 x 1473 mm", "[{914  true} {1473 mm false}]"},
		{"914x1473mm", "[{914  true} {1473 mm false}]"},
		{"914 mm × 1473 mm", "[{914 mm true} {1473 mm false}]"},
		{"-400, −700, 25,61", "[{-400  false} {-700  false} {25,61  false}]"},
		{`1/32 in 3"`, `[{1/32 in false} {3 " false}]`},
		{"12.5 µm", "[{12.5 µm false}]"},
		{"x 3", "error"}, {"mm 3", "error"}, {"3 mm mm", "error"}, {"3 ! 4", "error"},
	}
	for _, c := range cases {
		figures, err := figuresIn(c.text)
		got := fmt.Sprint(figures)
		if err != nil {
			got = "error"
		}
		if got != c.want {
			t.Errorf("%q: %s, want %s", c.text, got, c.want)
		}
	}
}

func TestEditDistance(t *testing.T) {
	cases := []struct {
		a, b string
		want int
	}{{"", "", 0}, {"a", "", 1}, {"kitten", "sitting", 3}, {"temperature", "temprature", 1}, {"size", "date", 3}} // kitten: Levenshtein's textbook pair
	for _, c := range cases {
		if got := editDistance(c.a, c.b); got != c.want {
			t.Errorf("%q to %q: %d, want %d", c.a, c.b, got, c.want)
		}
	}
}

package tongue

import (
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"golang.org/x/text/language"
	"golang.org/x/text/message"
	"golang.org/x/text/number"
	"pgregory.net/rapid"
)

func TestNumber(t *testing.T) {
	for _, c := range []struct {
		l        Language
		x        float64
		decimals int
		want     string
	}{
		{English, 1473, 0, "1473"}, {English, 9999.4, 0, "9999"}, {English, 12345.678, 2, "12\u202f345.68"}, {English, 1234567, 0, "1\u202f234\u202f567"},
		{Portuguese, 12345.678, 2, "12\u202f345,68"}, {Italian, 0.5, 3, "0,500"}, {Spanish, -0.317, 3, "−0,317"}, {Chinese, -12345.5, 1, "−12\u202f345.5"},
		{English, -0.0001, 3, "0.000"}, {English, math.Copysign(0, -1), 0, "0"}, {English, 0.5, -1, "0"},
		{English, math.NaN(), 1, "–"}, {English, math.Inf(1), 1, "∞"}, {English, math.Inf(-1), 1, "−∞"},
	} {
		if got := In(c.l, Metric).Number(c.x, c.decimals); got != c.want {
			t.Errorf("%s %g: %q, want %q", c.l, c.x, got, c.want)
		}
	}
}

// Every number reads back as itself, rounded as asked.
func TestNumberReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-1e9, 1e9).Draw(t, "x")
		decimals := rapid.IntRange(0, 6).Draw(t, "decimals")
		w := In(rapid.SampledFrom(Languages()).Draw(t, "language"), Metric)
		text := strings.NewReplacer(thin, "", w.decimalMark(), ".", minus, "-").Replace(w.Number(x, decimals))
		got, err := strconv.ParseFloat(text, 64)
		if err != nil || math.Abs(got-x) > 0.5*math.Pow10(-decimals)+1e-15*math.Abs(x) {
			t.Errorf("%g with %d decimals is written %q", x, decimals, w.Number(x, decimals))
		}
	})
}

// The decimal mark and the digits agree with the tables of the Unicode consortium, as another library reads them. Thousands are ours.
func TestDecimalMarksAgreeWithUnicode(t *testing.T) {
	for _, l := range Languages() {
		p, w := message.NewPrinter(language.Make(l.Tag())), In(l, Metric)
		for _, x := range []float64{0.25, 3.14159, 999.5, -12.75} {
			theirs := strings.ReplaceAll(p.Sprint(number.Decimal(x, number.Scale(3))), "-", minus)
			if ours := w.Number(x, 3); ours != theirs {
				t.Errorf("%s %g: %q, they write %q", l, x, ours, theirs)
			}
		}
	}
}

func TestQuantities(t *testing.T) {
	mm, inch, es := In(English, Metric), In(English, Inch), In(Spanish, Metric)
	for want, got := range map[string]string{
		"0.317\u00a0mm":                  mm.Length(0.317),
		"12.5\u00a0thou":                 inch.Length(0.317), // 0.317/0.0254 = 12.480
		"0.317\u00a0mm (12.5\u00a0thou)": mm.Both(0.317),
		"12.5\u00a0thou (0.317\u00a0mm)": inch.Both(0.317),
		"20.0\u00a0thou":                 inch.Length(0.508),
		"1473\u00a0mm":                   mm.Size(1473.04),
		"1473.1\u00a0mm":                 mm.Size(1473.06),
		"57.99\u00a0in":                  inch.Size(1473),
		"58\u00a0in":                     inch.Size(1473.2),
		"58\u00a0in (1473.2\u00a0mm)":    inch.BothSizes(1473.2),
		"100\u00a0mm":                    mm.Size(100),
		"0\u00a0mm":                      mm.Size(0),
		"96.7\u00a0kg":                   mm.Mass(96.72),
		"213\u00a0lb":                    inch.Mass(96.72), // 96.72/0.45359237 = 213.23
		"55\u00a0%":                      mm.Percent(55),
		"12,5\u00a0%":                    es.Percent(12.5),
		"97.3\u00a0%":                    mm.Chance(0.97312),
		"100\u00a0%":                     mm.Chance(1),
		"0\u00a0%":                       mm.Chance(0),
		"more than 99.9\u00a0%":          mm.Chance(0.99995),
		"menos de 0,1\u00a0%":            es.Chance(0.0004),
		"50\u00a0%":                      mm.Chance(0.5),
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestDatesAndSpans(t *testing.T) {
	at := time.Date(2026, time.March, 5, 7, 9, 30, 0, time.FixedZone("", 3600))
	days := map[Language]string{English: "5 March 2026", Portuguese: "5 de março de 2026", Italian: "5 marzo 2026", Spanish: "5 de marzo de 2026", Chinese: "2026年3月5日"}
	for l, want := range days {
		if got := In(l, Metric).Day(at); got != want {
			t.Errorf("%s: %q, want %q", l, got, want)
		}
	}
	if got := In(English, Metric).Moment(at); got != "5 March 2026, 07:09" {
		t.Error(got)
	}
	for want, d := range map[string]time.Duration{
		"30 days": 30*24*time.Hour + time.Hour, "2 days": 48 * time.Hour, "47 hours": 48*time.Hour - 1, "2 hours": 2 * time.Hour,
		"119 minutes": 2*time.Hour - 1, "1 minute": time.Minute, "less than a minute": time.Minute - 1,
	} {
		if got := (Words{}).Since(d); got != want {
			t.Errorf("%v: %q, want %q", d, got, want)
		}
	}
	if got := (Words{}).Since(-time.Hour); got != "less than a minute" {
		t.Error(got)
	}
}

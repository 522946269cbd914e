package casefile

import (
	"strings"

	"slatewright/lining"
	"slatewright/measure"
)

// quantity is a kind of number: its units, what each is worth, and how one is written.
type quantity struct {
	names []string
	worth []float64
	like  string
}

// The quantities. Stresses come out in N/mm², shares as fractions, strains in mm/m.
var (
	length  = quantity{[]string{"mm", "cm", "in", "inch", "thou", "um", "µm", "μm"}, []float64{1, 10, 25.4, 25.4, 0.0254, 1e-3, 1e-3, 1e-3}, "12 mm, or 12 ± 0.2 mm, or 12 mm, 11.7 to 12.3"}
	stress  = quantity{[]string{"gpa", "mpa", "n/mm2", "n/mm²"}, []float64{1e3, 1, 1, 1}, "3 GPa, 2.5 to 4"}
	strain  = quantity{[]string{"mm/m", "%"}, []float64{1, 10}, "1.1 ± 0.2 mm/m"}
	percent = quantity{[]string{"%", "%rh", ""}, []float64{1, 1, 1}, "48 ± 3 %"}
	share   = quantity{[]string{"%"}, []float64{0.01}, "0 to 50 %"}
	grams   = quantity{[]string{"g", "kg"}, []float64{1, 1000}, "± 0.2 g"}
	days    = quantity{[]string{"days", "day", ""}, []float64{1, 1, 1}, "12 days"}
	perDay  = quantity{[]string{"% a day", "%"}, []float64{1, 1}, "0.1 % a day"}
	area    = quantity{[]string{"g/m2", "g/m²"}, []float64{1, 1}, "150 g/m2"}
	mass    = quantity{[]string{"kg/m3", "kg/m³"}, []float64{1, 1}, "720 kg/m3"}
	plain   = quantity{[]string{""}, []float64{1}, "0.086, 0.06 to 0.13"}
)

// span reads "V", "V ± D", "± D", "A to B", "V, A to B" or "V, ± D"; a unit behind any of the numbers holds for all of them.
func (q quantity) span(text string) (s lining.Span, ok bool) {
	text = strings.NewReplacer("+/-", "±", "+-", "±").Replace(strings.TrimSpace(text))
	var worth float64
	var unit string
	for _, part := range strings.FieldsFunc(strings.NewReplacer(" to ", ",", "±", ",").Replace(text), func(c rune) bool { return c == ',' }) {
		number, of := parted(strings.TrimSpace(part))
		if number == "" || unit != "" && of != "" && of != unit {
			return s, false
		}
		if of != "" {
			unit = of
		}
	}
	for i, n := range q.names {
		if n == strings.ToLower(unit) {
			worth = q.worth[i]
		}
	}
	if worth == 0 {
		return s, false
	}
	first, rest, two := strings.Cut(text, ",")
	s, ok = limits(first)
	if two && ok {
		var t lining.Span
		if t, ok = limits(rest); ok && s.Low == s.High && (strings.Contains(rest, " to ") || strings.HasPrefix(strings.TrimSpace(rest), "±")) {
			if strings.Contains(rest, "±") {
				t = lining.Span{Low: t.Low + s.Value, High: t.High + s.Value}
			}
			s.Low, s.High = t.Low, t.High
		} else {
			ok = false
		}
	}
	return lining.Span{Value: s.Value * worth, Low: s.Low * worth, High: s.High * worth}, ok && s.Low <= s.Value && s.Value <= s.High
}

// limits reads "V", "V ± D", "± D" or "A to B", whose units do not matter here.
func limits(text string) (lining.Span, bool) {
	if a, b, ok := strings.Cut(text, "±"); ok {
		v, good := 0.0, true
		if strings.TrimSpace(a) != "" {
			v, good = plainNumber(a)
		}
		d, fine := plainNumber(b)
		return lining.Within(v, d), good && fine && d >= 0
	}
	if a, b, ok := strings.Cut(text, " to "); ok {
		from, good := plainNumber(a)
		to, fine := plainNumber(b)
		return lining.Between(from, to), good && fine && from <= to
	}
	v, ok := plainNumber(text)
	return lining.Exactly(v), ok
}

func plainNumber(text string) (float64, bool) {
	number, _ := parted(strings.TrimSpace(text))
	v, err := measure.ParseNumber(number)
	return v, err == nil
}

// parted cuts a number from its unit.
func parted(text string) (number, unit string) {
	at := 0
	for at < len(text) && strings.IndexByte("+-0123456789.eE", text[at]) >= 0 {
		at++
	}
	return text[:at], strings.TrimSpace(text[at:])
}

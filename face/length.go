package face

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"slatewright/measure"
	"slatewright/trouble"
)

// decimal writes v as the shortest plain decimal that reads back to the same float64, without an exponent and without a
// negative zero.
func decimal(v float64) string { return string(appendDecimal(nil, v)) }

func appendDecimal(b []byte, v float64) []byte {
	if v == 0 {
		return append(b, '0')
	}
	return strconv.AppendFloat(b, v, 'f', -1, 64)
}

// unitOf returns the unit of length that text names.
func unitOf(text string) (measure.Unit, bool) {
	_, u, err := measure.ParseLengthUnit("1 " + text)
	return u, err == nil
}

// A figure is a number in a header line as written, with the unit behind it if there is one.
type figure struct {
	number, unit string
	cross        bool // an x for "by" stands behind it, as in 914 x 1473 mm
}

// lengths reads want lengths in mm from a header value. They are in the file's unit unless they carry one. Of two places
// joined by x, one unit behind the second holds for both; otherwise a position has no unit or two.
func (h *heading) lengths(text string, want int) ([]float64, error) {
	figures, err := figuresIn(text)
	if err != nil {
		return nil, err
	}
	if len(figures) != want {
		return nil, fmt.Errorf("%q has %s where %d belong", strings.TrimSpace(text), trouble.Count(len(figures), "number", "numbers"), want)
	}
	if want > 1 && figures[0].cross && figures[0].unit == "" {
		figures[0].unit = figures[1].unit
	}
	if want > 1 && (figures[0].unit == "") != (figures[1].unit == "") {
		return nil, fmt.Errorf("%q has a unit on one of its two places only", strings.TrimSpace(text))
	}
	out := make([]float64, want)
	for i, f := range figures {
		unit := f.unit
		if unit == "" {
			unit = h.Unit.String()
		}
		if out[i], err = measure.ParseLength(f.number + " " + unit); err != nil {
			return nil, err
		}
		if out[i] > reach || out[i] < -reach {
			return nil, fmt.Errorf("%s %s is more than a kilometre", f.number, unit)
		}
		if out[i] == 0 {
			out[i] = 0 // not -0
		}
	}
	return out, nil
}

func figuresIn(text string) ([]figure, error) {
	var out []figure
	for text = strings.TrimSpace(text); text != ""; text = strings.TrimSpace(text) {
		first, _ := utf8.DecodeRuneInString(text)
		switch {
		case strings.ContainsRune("+-−.0123456789", first):
			n := numberEnd(text)
			digits := strings.TrimRight(text[:n], ",")
			out = append(out, figure{number: strings.Replace(digits, "−", "-", 1)})
			text = text[n:]
		case len(out) > 0 && !out[len(out)-1].cross && isCross(text):
			out[len(out)-1].cross = true
			text = strings.TrimLeft(text, "xX×")
		case len(out) > 0 && out[len(out)-1].unit == "" && isUnitRune(first):
			n := strings.IndexFunc(text, func(r rune) bool { return !isUnitRune(r) })
			if n < 0 {
				n = len(text)
			}
			out[len(out)-1].unit = text[:n]
			text = strings.TrimLeft(text[n:], ",")
		default:
			return nil, fmt.Errorf("%q is not a number with or without a unit", text)
		}
	}
	return out, nil
}

func numberEnd(text string) int {
	for i, r := range text {
		if i > 0 && !strings.ContainsRune(".,/0123456789", r) {
			return i
		}
	}
	return len(text)
}

func isUnitRune(r rune) bool { return unicode.IsLetter(r) || r == '"' || r == '″' }

// isCross tells whether text begins with an x that means "by".
func isCross(text string) bool {
	for _, x := range []string{"x", "X", "×"} {
		if rest, ok := strings.CutPrefix(text, x); ok {
			r, _ := utf8.DecodeRuneInString(strings.TrimSpace(rest))
			return strings.ContainsRune("+-−.0123456789", r)
		}
	}
	return false
}

package machinefile

import (
	"fmt"
	"strings"
	"unicode"

	"slatewright/bed/program/machine"
	"slatewright/measure"
)

// quantity is what may stand behind a number, with how it is written.
type quantity struct {
	what  string
	like  string             // an example of a value
	units map[string]float64 // what one of each is in the unit of package machine; nil for a bare number
}

var (
	length       = quantity{"a length", "12 mm", map[string]float64{"mm": 1, "um": 1e-3, "m": 1000, "in": 25.4, "thou": 0.0254}}
	angle        = quantity{"an angle", "90 deg", map[string]float64{"deg": 1}}
	feed         = quantity{"a feed", "400 mm/min", map[string]float64{"mm/min": 1, "m/min": 1000, "mm/s": 60}}
	turns        = quantity{"a speed of the spindle", "3000 rpm", map[string]float64{"rpm": 1}}
	seconds      = quantity{"a time", "20 s", map[string]float64{"s": 1, "min": 60}}
	flow         = quantity{"a flow of water", "12 l/min", map[string]float64{"l/min": 1, "l/h": 1.0 / 60}}
	acceleration = quantity{"an acceleration", "600 mm/s2", map[string]float64{"mm/s2": 1, "m/s2": 1000}}
	share        = quantity{"a share", "40 %", map[string]float64{"%": 0.01}}
)

// plain brings the ways to write a unit together.
var plain = strings.NewReplacer("µ", "u", "μ", "u", "²", "2", "^", "", "°", "deg", " ", "")

// value reads one number with its unit.
func (q quantity) value(s string) (float64, error) {
	s = strings.TrimSpace(s)
	at := strings.IndexFunc(s, func(r rune) bool { return unicode.IsLetter(r) || r == '%' || r == '°' })
	if at < 0 {
		if _, err := measure.ParseNumber(s); err != nil {
			return 0, err
		}
		return 0, fmt.Errorf("%q has no unit", s)
	}
	by, ok := q.units[strings.ToLower(plain.Replace(s[at:]))]
	if !ok {
		return 0, fmt.Errorf("%q is not %s with a unit known here", s, q.what)
	}
	v, err := measure.ParseNumber(strings.TrimSpace(s[:at]))
	return v*by + 0, err // "-0" is 0
}

// between reads a range, of which the first may leave its unit to the second.
func (q quantity) between(s string) (machine.Span, error) {
	a, b, two := strings.Cut(s, " to ")
	if !two {
		return machine.Span{}, fmt.Errorf("%q is no range", s)
	}
	high, err := q.value(b)
	if err != nil {
		return machine.Span{}, err
	}
	low, err := q.value(a)
	if bare, wrong := measure.ParseNumber(strings.TrimSpace(a)); wrong == nil {
		unit := strings.TrimLeft(strings.TrimSpace(b), "+-−0123456789.,")
		low, err = q.value(fmt.Sprint(bare) + " " + unit)
	}
	return machine.Span{Low: low, High: high}, err
}

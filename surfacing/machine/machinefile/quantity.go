package machinefile

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"

	"slatewright/measure"
	"slatewright/surfacing/machine"
)

// quantity is what may stand behind a number, with how it is written.
type quantity struct {
	what             string
	like, sure, span string             // examples of a value, one with its uncertainty, and a range
	unit             string             // that Put writes; it must be in units, or "" for a bare number
	units            map[string]float64 // what one of each is in the unit of package machine
}

var (
	length    = quantity{what: "a length", like: "0.05 mm", sure: "0.02 ± 0.01 mm", span: "0.05 to 0.5 mm", unit: "mm", units: map[string]float64{"mm": 1, "um": 1e-3, "m": 1000, "in": 25.4, "thou": 0.0254}}
	area      = quantity{what: "an area", like: "0.5 cm2", unit: "cm2", units: map[string]float64{"mm2": 1, "cm2": 100, "in2": 645.16}}
	mass      = quantity{what: "a mass", like: "12 kg", unit: "kg", units: map[string]float64{"kg": 1, "g": 1e-3, "lb": 0.45359237}}
	power     = quantity{what: "a power", like: "15 kW", unit: "kW", units: map[string]float64{"kw": 1, "w": 1e-3, "hp": 0.745699872}}
	pressure  = quantity{what: "a pressure", like: "50 kPa", unit: "kPa", units: map[string]float64{"kpa": 1e-3, "mpa": 1, "bar": 0.1}}
	minutes   = quantity{what: "a time", like: "8 min", unit: "min", units: map[string]float64{"min": 1, "s": 1.0 / 60, "h": 60}}
	seconds   = quantity{what: "a time", like: "4 s", unit: "s", units: map[string]float64{"min": 60, "s": 1}}
	flow      = quantity{what: "a flow of water", like: "40 l/min", unit: "l/min", units: map[string]float64{"l/min": 1, "l/h": 1.0 / 60, "m3/h": 1000.0 / 60}}
	turns     = quantity{what: "a speed of the spindle", like: "1400 rpm", unit: "rpm", units: map[string]float64{"rpm": 1}}
	feed      = quantity{what: "a feed", like: "1 m/min", span: "0.5 to 2 m/min", unit: "m/min", units: map[string]float64{"m/min": 1000.0 / 60, "mm/s": 1, "mm/min": 1.0 / 60}}
	rim       = quantity{what: "a speed of the rim", like: "25 m/s", span: "20 to 35 m/s", unit: "m/s", units: map[string]float64{"m/s": 1000}}
	stiffness = quantity{what: "a stiffness", like: "30 N/um", sure: "30 ± 8 N/um", unit: "N/µm", units: map[string]float64{"n/um": 1000, "n/mm": 1, "kn/mm": 1000}}
	tilt      = quantity{what: "a tilt", like: "20 um/m", sure: "20 ± 10 um/m", unit: "µm/m", units: map[string]float64{"um/m": 1e-6, "mm/m": 1e-3, "mrad": 1e-3}}
	energy    = quantity{what: "a specific energy", like: "5 J/mm3", sure: "5 ± 1.5 J/mm3", unit: "J/mm3", units: map[string]float64{"j/mm3": 1}}
	ratio     = quantity{what: "a ratio", like: "1000", sure: "1000 ± 250, 12 seen"}
	bitWear   = quantity{what: "a wear of bits for stone", like: "1 mm3/cm3", sure: "1 ± 0.2 mm3/cm3", unit: "mm3/cm3", units: map[string]float64{"mm3/cm3": 1e-3, "cm3/m3": 1e-6}}
	yielding  = quantity{what: "a yielding", like: "30 um/kN", sure: "30 ± 8 um/kN", unit: "µm/kN", units: map[string]float64{"um/kn": 1e-6, "mm/n": 1}}
	grade     = quantity{what: "a balance grade", like: "6.3"}
)

// number reads a finite number.
func number(s string) (float64, error) {
	v, err := measure.ParseNumber(strings.TrimSpace(s))
	return v + 0, err // "-0" is 0
}

// plain brings the ways to write a unit together.
var plain = strings.NewReplacer("µ", "u", "μ", "u", "²", "2", "³", "3", "^", "", " ", "")

// part is one number with the worth of the unit behind it, 0 where none stands there.
func (q quantity) part(s string) (v, by float64, err error) {
	s = strings.TrimSpace(s)
	at := strings.IndexFunc(s, unicode.IsLetter)
	if q.units == nil || at < 0 {
		v, err = number(s)
		if q.units == nil {
			by = 1
		}
		return v, by, err
	}
	by, ok := q.units[strings.ToLower(plain.Replace(s[at:]))]
	if !ok {
		return 0, 0, fmt.Errorf("%q is not %s with a unit known here", s, q.what)
	}
	v, err = number(s[:at])
	return v, by, err
}

// value reads one number with its unit.
func (q quantity) value(s string) (float64, error) {
	v, by, err := q.part(s)
	if err == nil && by == 0 {
		err = fmt.Errorf("%q has no unit", s)
	}
	return v * by, err
}

// pair reads two numbers of which the first takes the unit of the second where it has none.
func (q quantity) pair(first, second string) (a, b float64, err error) {
	if b, err = q.value(second); err != nil {
		return 0, 0, err
	}
	a, by, err := q.part(first)
	if by == 0 {
		_, by, _ = q.part(second)
	}
	return a * by, b, err
}

// between reads a range; one value is a range of itself.
func (q quantity) between(s string) (low, high float64, err error) {
	if a, b, two := strings.Cut(s, " to "); two {
		return q.pair(a, b)
	}
	low, err = q.value(s)
	return low, low, err
}

// known reads a value, its standard uncertainty and the number of observations behind it, the latter two where they are given.
func (q quantity) known(s string) (k machine.Known, err error) {
	text := s
	if before, after, said := cutLast(s, ","); said {
		if n, seen := strings.CutSuffix(strings.TrimSpace(after), "seen"); seen {
			if k.Seen, err = strconv.Atoi(strings.TrimSpace(n)); err != nil || k.Seen < 0 || k.Seen > 1e6 {
				return k, fmt.Errorf("%q is no number of observations", strings.TrimSpace(after))
			}
			text = before
		}
	}
	value, doubt, sure := strings.Cut(strings.Replace(text, "+-", "±", 1), "±")
	if sure {
		k.Value, k.U, err = q.pair(value, doubt)
	} else {
		k.Value, err = q.value(value)
	}
	return k, err
}

// cutLast cuts at the last sep.
func cutLast(s, sep string) (before, after string, found bool) {
	if i := strings.LastIndex(s, sep); i >= 0 {
		return s[:i], s[i+len(sep):], true
	}
	return s, "", false
}

// written is a value as a file says it, its uncertainty to two figures and itself to as many decimals.
func (q quantity) written(k machine.Known) string {
	by, unit := 1.0, ""
	if q.units != nil {
		by, unit = q.units[strings.ToLower(plain.Replace(q.unit))], " "+q.unit
	}
	v, u := k.Value/by, k.U/by
	decimals := 6
	if u > 0 {
		decimals = max(0, min(9, 1-int(math.Floor(math.Log10(u)))))
	}
	text := trimmed(v, decimals)
	if u > 0 {
		text += " ± " + trimmed(u, decimals)
	}
	text += unit
	if k.Seen > 0 {
		text += fmt.Sprintf(", %d seen", k.Seen)
	}
	return text
}

// trimmed prints a number without the noughts that say nothing.
func trimmed(v float64, decimals int) string {
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

package gauge

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"slatewright/gauge/budget"
	"slatewright/measure"
)

// property is something that an instrument may state.
type property struct {
	name, about string
	of          dimension
	form        written
	must        bool
	twice       bool   // two instruments of the same kind share it, independently
	when        string // the property that makes it needed: otherwise stands in for it then
	otherwise   budget.Input
}

// written is how a bare number is meant.
type written int

const (
	setting written = iota // exact: a size, a strip that passed
	doubt                  // refused: an error must say how it is meant
	step                   // the smallest step of a scale: ± half of it
	upTo                   // the next larger strip: anywhere from 0 to it
)

// dimension is what units a property takes.
type dimension int

const (
	length dimension = iota
	kelvin
	angle
	slope
	expansion
	divisions
	share
	count
	mass
)

// units are the units of each dimension with their size in the unit that is computed in; lengths are read by package measure.
var units = map[dimension]map[string]float64{
	kelvin: {"K": 1, "C": 1, "°C": 1}, angle: {"deg": math.Pi / 180, "°": math.Pi / 180, "mrad": 1e-3, "rad": 1}, slope: {"mm/m": 1e-3, "um/m": 1e-6, "µm/m": 1e-6},
	expansion: {"1/K": 1, "ppm/K": 1e-6, "um/m/K": 1e-6, "µm/m/K": 1e-6}, divisions: {"div": 1, "divisions": 1}, share: {"%": 0.01, "ppm": 1e-6}, count: {"": 1}, mass: {"kg": 1, "g": 1e-3},
}

// computedIn are the units that each dimension is computed in.
var computedIn = map[dimension]string{length: "mm", kelvin: "K", angle: "rad", slope: "mm/mm", expansion: "1/K", divisions: "div", mass: "kg"}

// samples show how a number of each dimension is written.
var samples = map[dimension]string{length: "0.004 mm", kelvin: "0.3 K", angle: "0.5 deg", slope: "0.02 mm/m", expansion: "9.6e-6 1/K", divisions: "0.2 div", share: "50 ppm", count: "12", mass: "0.05 kg"}

// example is how the property may be written.
func (p property) example() string {
	switch sample := samples[p.of]; p.form {
	case doubt:
		return fmt.Sprintf("'± %s' (limits), 'u %s dof 9' (standard uncertainty) or 'U %s k 2' (expanded)", sample, sample, sample)
	case setting:
		return fmt.Sprintf("'%s', or with its doubt '%s ± %s'", sample, sample, sample)
	default:
		return "'" + sample + "'"
	}
}

func (d dimension) parse(text string) (float64, error) {
	if d == length {
		mm, err := measure.ParseLength(text)
		if err != nil || math.Abs(mm) > 1e6 {
			return 0, fmt.Errorf("%q is not a length with its unit", text)
		}
		return mm, nil
	}
	number, unit, _ := strings.Cut(text, " ")
	if unit == "" && d != count {
		at := len(number)
		for at > 0 && !strings.ContainsRune("0123456789.", rune(number[at-1])) {
			at--
		}
		number, unit = number[:at], number[at:]
	}
	size, ok := units[d][strings.TrimSpace(unit)]
	v, err := measure.ParseNumber(number)
	if !ok || err != nil || math.Abs(v) > 1e9 {
		return 0, fmt.Errorf("%q is not a number with its unit", text)
	}
	return v * size, nil
}

// marks begin the parts of a component.
var marks = map[string]string{"±": "limits", "+-": "limits", "+/-": "limits", "u": "standard", "U": "expanded", "k": "k", "dof": "dof", "triangular": "triangular", "swings": "swings"}

// parse reads a component: a value and its doubt, either of which may be missing. Words: ± A (limits, rectangular; with 'triangular' or
// 'swings' behind it another form), u A (standard uncertainty), U A k K (expanded), dof N.
func (p property) parse(text string) (in budget.Input, err error) {
	parts := map[string]string{}
	at := "value"
	text = strings.NewReplacer("±", " ± ", "+/-", " ± ", "+-", " ± ").Replace(text)
	for _, word := range strings.Fields(text) {
		if mark, ok := marks[word]; ok {
			if _, twice := parts[mark]; twice {
				return in, fmt.Errorf("%q stands twice", word)
			}
			at = mark
			parts[at] = ""
			continue
		}
		parts[at] = strings.TrimSpace(parts[at] + " " + word)
	}
	if v := parts["value"]; v != "" {
		if in.Value, err = p.of.parse(v); err != nil {
			return in, err
		}
	}
	if err := p.spread(parts, &in); err != nil {
		return in, err
	}
	if in.Kind == budget.Exact {
		return in, p.bare(parts["value"], &in)
	}
	return in, nil
}

// spread reads the doubt.
func (p property) spread(parts map[string]string, in *budget.Input) (err error) {
	said := 0
	for _, mark := range []string{"limits", "standard", "expanded"} {
		text, ok := parts[mark]
		if !ok {
			continue
		}
		said++
		if in.Kind = budget.Normal; mark == "limits" {
			in.Kind = budget.Rectangular
		}
		if in.U, err = p.of.parse(text); err != nil {
			return err
		}
	}
	_, swings := parts["swings"]
	_, triangular := parts["triangular"]
	_, limits := parts["limits"]
	switch {
	case said > 1 || swings && triangular:
		return errors.New("its doubt is given twice")
	case in.U < 0:
		return errors.New("a doubt is not below 0")
	case (swings || triangular) && (!limits || parts["swings"]+parts["triangular"] != ""):
		return errors.New("'swings' and 'triangular' stand behind limits, as in ± 0.4 K swings")
	case swings:
		in.Kind, in.U = budget.Arcsine, in.U/math.Sqrt2
	case triangular:
		in.Kind, in.U = budget.Triangular, in.U/math.Sqrt(6)
	case limits:
		in.U /= math.Sqrt(3)
	}
	return factors(parts, in)
}

// factors reads the coverage factor and the degrees of freedom.
func factors(parts map[string]string, in *budget.Input) error {
	k, expanded := parts["k"]
	if _, ok := parts["expanded"]; ok != expanded {
		return errors.New("an expanded uncertainty U needs its factor, as in U 0.004 mm k 2; a standard uncertainty is written with a small u")
	}
	if expanded {
		v, err := measure.ParseNumber(k)
		if err != nil || !(v >= 1 && v <= 10) {
			return fmt.Errorf("k = %q is no coverage factor", k)
		}
		in.U /= v
	}
	if n, ok := parts["dof"]; ok {
		v, err := measure.ParseNumber(n)
		if err != nil || !(v >= 1 && v <= 1e6) || in.Kind == budget.Exact {
			return fmt.Errorf("dof = %q: degrees of freedom are the number of readings less one, and stand behind a doubt", n)
		}
		in.DoF = v
	}
	return nil
}

// bare gives a number without doubt its meaning.
func (p property) bare(text string, in *budget.Input) error {
	if text == "" {
		return errors.New("nothing is given")
	}
	if p.form != setting && in.Value < 0 {
		return errors.New("it is not below 0")
	}
	switch p.form {
	case doubt:
		return fmt.Errorf("how is %s meant?", text)
	case step:
		in.Kind, in.U, in.Value = budget.Rectangular, in.Value/2/math.Sqrt(3), 0
	case upTo:
		in.Kind, in.U, in.Value = budget.Rectangular, in.Value/2/math.Sqrt(3), in.Value/2
	}
	return nil
}

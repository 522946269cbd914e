package sheet

import (
	"fmt"
	"strings"
	"time"
	"unicode"

	"slatewright/measure"
	"slatewright/trouble"
)

// Quantity is what the cells of a column hold.
type Quantity int

// The quantities: text as it stands, a list of words parted by blanks or commas, a whole number, a length in mm, the two sides of a size in mm, a mass in
// kg, a temperature in °C, per cent, a point in time, and a plain yes or no.
const (
	Text Quantity = iota
	Words
	Count
	Length
	Size
	Mass
	Temperature
	Percent
	Moment
	YesNo
)

// units lists the names of the units that a quantity may have, as they may stand in a title or in the row below it.
func (q Quantity) units() []string {
	switch q {
	case Length, Size:
		return []string{"mm", "cm", "m", "µm", "um", "in", "inch", "thou", "ft"}
	case Mass:
		return []string{"kg", "g", "t", "lb"}
	case Temperature:
		return []string{"°C", "C", "°F", "F"}
	case Percent:
		return []string{"%", "percent", "%rh", "% rh"}
	}
	return nil
}

// needsUnit tells quantities that mean nothing as a bare number.
func (q Quantity) needsUnit() bool { return q == Length || q == Size || q == Mass || q == Temperature }

// unit finds a unit of the quantity by its name.
func (q Quantity) unit(name string) (string, bool) {
	name = strings.ReplaceAll(strings.TrimSpace(name), "μ", "µ") // Greek mu for the micro sign
	for _, u := range q.units() {
		if strings.EqualFold(u, name) {
			return u, true
		}
	}
	return "", false
}

// kilograms is what one of a unit weighs. The pound is exact (international yard and pound agreement, 1959).
var kilograms = map[string]float64{"kg": 1, "g": 0.001, "t": 1000, "lb": 0.45359237}

// number reads a cell as a length, mass, temperature or percentage; a number without unit is in the column's.
func (q Quantity) number(cell, unit string) (float64, error) {
	number, own := split(cell)
	if own == "" {
		cell = strings.TrimSpace(number + " " + unit)
	}
	switch q {
	case Length:
		return measure.ParseLength(cell)
	case Temperature:
		return measure.ParseTemperature(cell)
	}
	if number == "" {
		return 0, trouble.Data("bad-number", "", fmt.Sprintf("%q is no number", cell), "write a number, with or without its unit")
	}
	if own != "" {
		known, ok := q.unit(own)
		if !ok {
			return 0, trouble.Data("bad-unit", "", fmt.Sprintf("%q is no unit here", own), "use "+strings.Join(q.units(), ", "))
		}
		unit = known
	}
	x, err := measure.ParseNumber(number)
	if q == Mass && err == nil {
		// to the milligram, so that pounds leave no tail of digits
		x = measure.Round(x*kilograms[unit], 6)
	}
	return x, err
}

// split parts a number, or a fraction, from the unit behind it.
func split(cell string) (number, unit string) {
	cell = strings.TrimSpace(strings.ReplaceAll(cell, "\u2212", "-")) // the minus sign proper
	for i, c := range cell {
		if (unicode.IsLetter(c) || strings.ContainsRune("'\"′″’”°%", c)) && !exponent(cell, i) {
			return strings.TrimSpace(cell[:i]), cell[i:]
		}
	}
	return cell, ""
}

// unitless tells a cell that is a number and nothing else.
func unitless(cell string) bool {
	_, unit := split(cell)
	return unit == ""
}

// exponent tells whether the letter at i is the e of a number.
func exponent(cell string, i int) bool {
	if cell[i] != 'e' && cell[i] != 'E' || i == 0 || i+1 == len(cell) {
		return false
	}
	before, next := cell[i-1], cell[i+1]
	return (before >= '0' && before <= '9' || before == '.') && (next >= '0' && next <= '9' || next == '-' || next == '+')
}

// moments are the forms of a time; those without a zone are in the mill's. Day and month are never guessed.
var moments = []string{"2006-01-02T15:04:05.999Z07:00", "2006-01-02 15:04:05.999Z07:00", "2006-01-02T15:04Z07:00", "2006-01-02 15:04Z07:00"}

var localMoments = []string{"2006-01-02T15:04:05.999", "2006-01-02 15:04:05.999", "2006-01-02T15:04", "2006-01-02 15:04"}

// moment reads a time; day tells that only a day was written, and then it is that day's beginning.
func moment(cell string, zone *time.Location) (at time.Time, day bool, err error) {
	if at, err := time.ParseInLocation(time.DateOnly, cell, zone); err == nil {
		return at.UTC(), true, plausible(at, cell)
	}
	for _, form := range moments {
		if at, err := time.Parse(form, cell); err == nil {
			return at.UTC().Truncate(time.Millisecond), false, plausible(at, cell)
		}
	}
	for _, form := range localMoments {
		if at, err := time.ParseInLocation(form, cell, zone); err == nil {
			return at.UTC().Truncate(time.Millisecond), false, plausible(at, cell)
		}
	}
	return time.Time{}, false, trouble.Data("bad-time", "", fmt.Sprintf("%q is no time", cell),
		"write year-month-day, with the time behind it where it is known: 2026-11-25 14:30")
}

// plausible refuses years that only a slip of the hand can mean.
func plausible(at time.Time, cell string) error {
	if y := at.Year(); y >= 1900 && y < 2200 {
		return nil
	}
	return trouble.Data("bad-time", "", fmt.Sprintf("%q is not in the years 1900 to 2199", cell), "check the year")
}

// yes reads yes or no.
func yes(cell string) (bool, error) {
	switch strings.ToLower(cell) {
	case "yes", "true", "1":
		return true, nil
	case "no", "false", "0":
		return false, nil
	}
	return false, trouble.Data("bad-answer", "", fmt.Sprintf("%q is neither yes nor no", cell), "write yes or no")
}

// whole reads a whole number that is not negative.
func whole(cell string) (int, error) {
	x, err := measure.ParseNumber(cell)
	if err == nil && (x != float64(int(x)) || x < 0 || x > 1e9) {
		err = trouble.Data("bad-number", "", fmt.Sprintf("%q is no whole number", cell), "write a whole number, without a unit")
	}
	return int(x), err
}

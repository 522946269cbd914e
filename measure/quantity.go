package measure

import (
	"math/big"
	"strings"
)

// ParseTemperature reads a temperature in degrees Celsius or Fahrenheit, as in "20.1 C", "20,1 °C" or "68 F", and returns it in °C,
// rounded once. Below absolute zero, −273.15 °C, it is refused.
func ParseTemperature(s string) (celsius float64, err error) {
	r, n, unit, err := readQuantity(s, "20.1 °C or 68 °F")
	if err != nil {
		return 0, err
	}
	switch degrees.Replace(plain(unit)) {
	case "c":
		celsius, err = r.value(n, scale{num: 1})
	case "f":
		celsius, err = r.fahrenheit(n)
	default:
		return 0, r.unknown(unit, "a temperature")
	}
	if err == nil && celsius < -273.15 {
		return 0, refuse("out-of-range", shown(r.text)+" is below absolute zero", "look for a slip in the sign or the unit")
	}
	return celsius, err
}

// degrees brings the ways to write a degree together; º, a raised o, stands on the keyboards of Portugal, Spain and Italy.
var degrees = strings.NewReplacer("°", "", "º", "", "℃", "c", "℉", "f", " ", "")

// fahrenheit returns a temperature in °C: 5/9 of what is above 32 °F.
func (r *reader) fahrenheit(n number) (celsius float64, err error) {
	exact := n.size(scale{num: 1})
	if n.negative {
		exact.Neg(exact)
	}
	exact.Sub(exact, big.NewRat(32, 1))
	celsius, ok := nearest(exact.Mul(exact, big.NewRat(5, 9)))
	if !ok {
		return 0, r.outOfRange()
	}
	return celsius, nil
}

// Units of density in kg/m³. The avoirdupois pound is 0.45359237 kg exactly (international yard and pound agreement, 1959), and one
// cubic foot is 0.3048³ m³ = 0.028316846592 m³ exactly.
var densities = map[string]scale{
	"kg/m3": {num: 1}, "g/cm3": {num: 1, exp: 3}, "kg/dm3": {num: 1, exp: 3}, "t/m3": {num: 1, exp: 3},
	"lb/ft3": {num: 45359237, den: 28316846592, exp: 4},
}

// cubes brings the ways to write a third power together.
var cubes = strings.NewReplacer("³", "3", "^3", "3", " ", "")

// ParseDensity reads a density, as in "2790 kg/m3", "2.79 g/cm³" or "174 lb/ft3", and returns it in kg/m³, rounded once. It must be
// greater than zero.
func ParseDensity(s string) (kgPerM3 float64, err error) {
	r, n, unit, err := readQuantity(s, "2790 kg/m3")
	if err != nil {
		return 0, err
	}
	by, known := densities[cubes.Replace(plain(unit))]
	if !known {
		return 0, r.unknown(unit, "a density")
	}
	if kgPerM3, err = r.value(n, by); err == nil && kgPerM3 <= 0 {
		return 0, refuse("out-of-range", shown(r.text)+" is not greater than zero", "write it like "+r.like)
	}
	return kgPerM3, err
}

// readQuantity reads a number and the text of the unit behind it.
func readQuantity(s, like string) (r reader, n number, unit string, err error) {
	if r, err = newReader(s, like); err != nil {
		return r, n, "", err
	}
	if n, err = r.number(); err != nil {
		return r, n, "", err
	}
	r.blanks()
	if r.rest == "" {
		return r, n, "", refuse("no-unit", shown(r.text)+" has no unit", "write it like "+like)
	}
	return r, n, r.rest, nil
}

func (r *reader) unknown(unit, what string) error {
	return refuse("unknown-unit", shown(r.text)+" is not "+what+": the unit "+shown(unit)+" is not known here", "write it like "+r.like)
}

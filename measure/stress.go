package measure

import "strings"

// moduli are units of stiffness and stress in MPa (N/mm²). The pound-force per square inch is 0.45359237 · 9.80665 / 0.0254² Pa exactly.
var moduli = map[string]scale{
	"mpa": {num: 1}, "gpa": {num: 1, exp: 3}, "n/mm2": {num: 1}, "kn/mm2": {num: 1, exp: 3},
	"psi": {num: 45359237 * 980665, den: 254 * 254, exp: -11}, "ksi": {num: 45359237 * 980665, den: 254 * 254, exp: -8},
}

// squares brings the ways to write a second power together.
var squares = strings.NewReplacer("²", "2", "^2", "2", " ", "")

// ParseModulus reads a modulus of elasticity or a stress, as in "48GPa", "48000 N/mm2" or "7 ksi", and returns it in MPa (N/mm²),
// rounded once. It must be greater than zero.
func ParseModulus(s string) (mpa float64, err error) {
	return positive(s, "48 GPa", "a modulus", moduli)
}

// forces are units of force in N.
var forces = map[string]scale{"n": {num: 1}, "kn": {num: 1, exp: 3}, "kgf": {num: 980665, exp: -5}, "lbf": {num: 45359237 * 980665, exp: -13}}

// ParseForce reads a force, as in "250N" or "0.25 kN", and returns it in N, rounded once. It must be greater than zero.
func ParseForce(s string) (n float64, err error) { return positive(s, "250 N", "a force", forces) }

// positive reads a quantity of the given units that is greater than zero.
func positive(s, like, what string, units map[string]scale) (float64, error) {
	r, n, unit, err := readQuantity(s, like)
	if err != nil {
		return 0, err
	}
	by, known := units[squares.Replace(plain(unit))]
	if !known {
		return 0, r.unknown(unit, what)
	}
	v, err := r.value(n, by)
	if err == nil && v <= 0 {
		return 0, refuse("out-of-range", shown(r.text)+" is not greater than zero", "write it like "+r.like)
	}
	return v, err
}

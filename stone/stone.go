// Package stone knows what slate is like: how heavy, how stiff and how strong, along and across the grain, with the range in which
// the slates of different layers lie.
//
// The figures stand in for a layer that has not been tested; they are never a property of the piece at hand. The package does
// not bend anything (package plate does) and knows no acts of a mill.
package stone

import (
	"fmt"

	"slatewright/trouble"
)

// Stone is one layer's stone. The grain lies in the cleavage plane, as the face does. Stiffness in MPa (N/mm²).
type Stone struct {
	Density   float64    // kg/m³
	Along     float64    // modulus of elasticity along the grain
	Across    float64    // modulus across it
	Poisson   float64    // strain across the grain for one along it
	Low, High float64    // range of moduli in which such a stone may lie when it was not tested
	Strength  [2]float64 // modulus of rupture when bent along the grain and across it; 0 where unknown
	Expansion float64    // per K
}

// Slate is a slate that was not tested: density, modulus, strength and expansion as the data sheet of a blue-black slate gives them
// (ASTM C97, C120, E228), rounded; the same in both directions. The range of moduli is that of slates in general, and the Poisson
// ratio what is usual for dense fine-grained stone: both common practice, no source seen.
func Slate() Stone {
	return Stone{Density: 2790, Along: 48000, Across: 48000, Poisson: 0.2, Low: 30000, High: 90000, Strength: [2]float64{89.6, 89.6}, Expansion: 11.2e-6}
}

// LeastStrength is the least modulus of rupture in MPa that ASTM C629 asks of slate indoors: across the grain and along it. A
// stone that was not tested is held against the lesser.
func LeastStrength() (across, along float64) { return 49.6, 37.9 }

// Tested returns the stone with one modulus, known to plus or minus a share (0.05 is 5 %).
func (s Stone) Tested(modulus, share float64) Stone {
	s.Along, s.Across = modulus, modulus
	s.Low, s.High = modulus*(1-share), modulus*(1+share)
	return s
}

// Mass returns the mass in kg of stone of an area in mm² and a thickness in mm.
func (s Stone) Mass(area, thickness float64) float64 { return area * thickness * s.Density * 1e-9 }

// Thermal returns the strain that a difference of temperature makes, in K.
func (s Stone) Thermal(kelvin float64) float64 { return s.Expansion * kelvin }

// Check is the trouble with a stone that is none.
func (s Stone) Check() error {
	bad := func(field, what, next string) error { return trouble.Data("bad-stone", field, what, next) }
	switch {
	case !(s.Density >= 1500 && s.Density <= 4000):
		return bad("density", fmt.Sprintf("a density of %g kg/m3", s.Density), "slate has 2600 to 2900 kg/m3")
	case !(s.Along >= 1000 && s.Along <= 200000) || !(s.Across >= 1000 && s.Across <= 200000):
		return bad("modulus", fmt.Sprintf("a modulus of %g and %g MPa", s.Along, s.Across), "slate has 30 to 90 GPa; write it such as 48GPa")
	case !(s.Poisson >= 0 && s.Poisson < 0.5):
		return bad("poisson", fmt.Sprintf("a Poisson ratio of %g", s.Poisson), "0.2 is usual for slate")
	case !(s.Low > 0 && s.Low <= s.High):
		return bad("range", fmt.Sprintf("moduli from %g to %g MPa", s.Low, s.High), "give the lower one first")
	}
	return nil
}

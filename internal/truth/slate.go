package truth

// SlateExpansions are the coefficients of thermal expansion of two slates, per K, as data sheets give them (seen): 6.2e-6 per °F after ASTM E228,
// a blue-black slate; 8e-6 per K, a dark grey one.
func SlateExpansions() []float64 { return []float64{6.2e-6 * 1.8, 8e-6} }

// Sheet is a slate as its data sheet gives it, and what a standard asks of slate indoors.
type Sheet struct {
	Density   float64 // kg/m³, ASTM C97
	Modulus   float64 // MPa, ASTM C120
	Rupture   float64 // MPa, ASTM C120
	Expansion float64 // per K, ASTM E228
	// The least modulus of rupture, MPa, of slate indoors: ASTM C629 Table 1.
	LeastAcross, LeastAlong float64
}

// SlateSheet is the technical data sheet of a blue-black Virginia slate (seen: 174.4 lb/ft³, 7 014 000 psi, 13 000 psi, 6.2e-6 per °F) beside
// ASTM C629 Table 1 (seen: 7200 and 5500 psi).
func SlateSheet() Sheet {
	return Sheet{Density: 2793.6, Modulus: 48360, Rupture: 89.63, Expansion: 11.16e-6, LeastAcross: 49.6, LeastAlong: 37.9}
}

package truth

// SlateExpansions are the coefficients of thermal expansion of two slates, per K, as data sheets give them (seen): 6.2e-6 per °F after ASTM E228,
// a blue-black slate; 8e-6 per K, a dark grey one.
func SlateExpansions() []float64 { return []float64{6.2e-6 * 1.8, 8e-6} }

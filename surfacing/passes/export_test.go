package passes

// After is the bound of how uneven and how high a face is after a pass.
func After(uneven, high, mean, depth, left, taper float64) (float64, float64) {
	s, _ := after(surface{uneven, high}, mean, depth, left, taper)
	return s.uneven, s.high
}

package wholeface

import "math"

// matern is the Matérn correlation of smoothness 3/2 at a distance, both in mm: (1 + √3 r/ℓ) exp(−√3 r/ℓ). A ground face has a slope
// everywhere and no curvature that one could name, which is this smoothness (Rasmussen and Williams, Gaussian Processes for
// Machine Learning, 2006, eq. 4.17).
func matern(distance, length float64) float64 {
	s := math.Sqrt(3) * distance / length
	return (1 + s) * math.Exp(-s)
}

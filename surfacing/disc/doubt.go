package disc

import (
	"math"
	"slices"
)

// Doubt is how well masses and places are known, as standard uncertainties.
type Doubt struct {
	Mass  float64 // g, of weighing one bit: the scale's repeatability and its step together
	Place float64 // mm, of a bit's middle in its seat, along the radius and across it alike
}

// U is the standard uncertainty of each component of the unbalance, g·mm, in the direction where it is largest. Weighings and places are taken as
// independent. It does not depend on the arrangement (with spares, the heaviest bits are taken to be on the disc): of mass, the covariance is
// Σ r²u² e eᵀ over the places, and of place Σ m²u² over the bits in every direction.
//
// A fault that all weighings share, such as a scale that was not zeroed, moves every product by the same part of r: it cancels where the places are
// spread evenly.
func (r *Ring) U(d Doubt) float64 {
	var xx, yy, xy float64
	for _, at := range r.at {
		xx += at.X * at.X
		yy += at.Y * at.Y
		xy += at.X * at.Y
	}
	largest := (xx+yy)/2 + math.Hypot((xx-yy)/2, xy) // of the eigenvalues
	masses := make([]float64, len(r.Bits))
	for i, b := range r.Bits {
		masses[i] = b.Mass
	}
	slices.Sort(masses)
	var squares float64
	for _, m := range masses[len(masses)-r.on():] {
		squares += m * m
	}
	return math.Sqrt(d.Mass*d.Mass*largest + d.Place*d.Place*squares)
}

// Cover is the factor from U to the radius that holds 95 % of the errors of a vector in the plane: √(−2 ln 0.05), the 95 % point of Rayleigh's
// distribution. It is more than enough where the errors lie mostly along one line.
var Cover = math.Sqrt(-2 * math.Log(0.05))

// State is what can be said of an unbalance beside its limit.
type State string

// The states.
const (
	Meets      State = "meets"
	MeetsNot   State = "does not meet"
	CannotTell State = "cannot tell"
)

// Judge compares an unbalance with its limit: it meets where the limit holds whatever the error within the guard, and does not where none of
// these errors could explain it.
func Judge(unbalance, limit, guard float64) State {
	switch {
	case unbalance+guard <= limit:
		return Meets
	case unbalance-guard > limit:
		return MeetsNot
	}
	return CannotTell
}

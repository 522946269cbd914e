// Package flatness says how flat a measured face is: minimum zone, least squares, straightness along lines, bow and twist.
//
// Everything is in the frame and the millimetres that the points come in; a face may lie in any orientation.
//
//   - [MinimumZone]: the two closest parallel planes that hold all points (ISO 1101, ISO 12781-1), with its contact points
//     and an interval that bounds every orientation. [ZoneValue] is the same number without the proof, for simulation.
//   - [LeastSquares]: the plane of the least sum of squared orthogonal distances, and the peak to valley about it.
//   - [FitShape]: bow along, bow across and twist of a piece, edge roll-off and what remains, each with its standard error.
//   - [Lines]: straightness along lines: the largest minimum zone of any line along a bed, and of any line across it.
//
// The package does not know what was measured, how it was supported, or how well: gravity, temperature and the doubt of
// the readings are for others. It filters nothing, drops no outlier and decides nothing.
//
// It lies on the sealing path: + − × ÷ √ and comparison only, products never fused, sums in a stated order, results the
// same whatever the number of cores.
package flatness

import (
	"fmt"
	"math"

	"slatewright/trouble"
)

// eps is the distance from 1 to the next float64.
const eps = 0x1p-52

// mostCoordinate is the largest coordinate that is taken: its fourth power is still finite.
const mostCoordinate = 1e75

// Points are readings, mm. The three slices have equal length.
type Points struct{ X, Y, Z []float64 }

// Len returns the number of points.
func (p Points) Len() int { return len(p.X) }

// at returns point i.
func (p Points) at(i int) vector { return vector{p.X[i], p.Y[i], p.Z[i]} }

// check refuses unequal columns and fewer than least points.
func (p Points) check(least int) error {
	if len(p.Y) != len(p.X) || len(p.Z) != len(p.X) {
		return trouble.Own("points-length", "flatness", "the columns of the points are not equally long", "report this")
	}
	if p.Len() < least {
		return trouble.Data("too-few-points", "", fmt.Sprintf("%s too few: at least %d are needed", trouble.Count(p.Len(), "point is", "points are"), least),
			"measure more points over the whole face")
	}
	return nil
}

// finite reports whether v can be computed with: not NaN, not infinite, not beyond mostCoordinate.
func finite(v vector) bool {
	for _, x := range v {
		if !(math.Abs(x) <= mostCoordinate) {
			return false
		}
	}
	return true
}

// finite returns an error that names the first point with a coordinate that cannot be computed with.
func (p Points) finite() error {
	broken := sums(p.Len(), 1, func(count []float64, lo, hi int) {
		for i := lo; i < hi; i++ {
			if !finite(p.at(i)) {
				count[0]++
			}
		}
	})
	if broken[0] == 0 {
		return nil
	}
	first := 0
	for finite(p.at(first)) {
		first++
	}
	return notFinite(first)
}

// notFinite is the error for a point that cannot be computed with.
func notFinite(i int) error {
	return trouble.Data("not-finite", fmt.Sprintf("point %d", i+1), "a coordinate is not a number or is far too large",
		"correct or remove the reading")
}

// onALine is the error for points that leave the plane free to turn.
func onALine() error {
	return trouble.Data("points-on-a-line", "", "all points lie on one line, so no plane is determined",
		"measure points over the whole face, or ask for the straightness of the line")
}

// lost is the error for what cannot happen.
func lost(what string) error {
	return trouble.Own("flatness-lost", "flatness", what, "report this with the input")
}

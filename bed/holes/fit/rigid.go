// Package fit lays a drawing over measured points, and a circle through them.
//
// [Least] finds the rigid motion whose weighted squares of the distances are least, in closed form and with its covariance. [Smallest]
// finds the rigid motion whose largest distance is least, with a bound that no motion whatever can go below. [Round] finds
// the circle that is nearest to points on a rim. Nothing here stretches or mirrors, and nothing decides what is good.
//
// A motion turns first and shifts then: measured = R(angle)·nominal + (dx, dy), counter-clockwise positive. Lengths are in mm,
// angles in radians.
package fit

import (
	"math"

	"slatewright/trouble"
)

// Vector is a point or a difference of points.
type Vector struct{ X, Y float64 }

func (a Vector) plus(b Vector) Vector           { return Vector{a.X + b.X, a.Y + b.Y} }
func (a Vector) minus(b Vector) Vector          { return Vector{a.X - b.X, a.Y - b.Y} }
func (a Vector) times(f float64) Vector         { return Vector{f * a.X, f * a.Y} }
func (a Vector) dot(b Vector) float64           { return a.X*b.X + a.Y*b.Y }
func (a Vector) cross(b Vector) float64         { return a.X*b.Y - a.Y*b.X }
func (a Vector) across() Vector                 { return Vector{-a.Y, a.X} } // turned by a quarter, counter-clockwise
func (a Vector) turned(cos, sin float64) Vector { return Vector{cos*a.X - sin*a.Y, sin*a.X + cos*a.Y} }

// Size is the vector's length.
func (a Vector) Size() float64 { return math.Hypot(a.X, a.Y) }

// Pair is a place of the drawing and where it was found.
type Pair struct {
	Nominal, Measured Vector
	U                 float64 // standard uncertainty of each of the two coordinates, mm, > 0
}

// Motion turns about the origin by Angle and shifts by DX, DY.
type Motion struct{ DX, DY, Angle float64 }

// Of is where the motion takes p.
func (m Motion) Of(p Vector) Vector {
	sin, cos := math.Sincos(m.Angle)
	return p.turned(cos, sin).plus(Vector{m.DX, m.DY})
}

// Back is what the motion takes to p.
func (m Motion) Back(p Vector) Vector {
	sin, cos := math.Sincos(m.Angle)
	return p.minus(Vector{m.DX, m.DY}).turned(cos, -sin)
}

// Deviation is how far a pair is off once the motion is taken off what was measured, in the directions of the drawing.
func (m Motion) Deviation(p Pair) Vector { return m.Back(p.Measured).minus(p.Nominal) }

// Rigid is a motion by least squares.
type Rigid struct {
	Motion
	// UX, UY and UAngle are the standard uncertainties of the motion, by those of the points.
	UX, UY, UAngle float64
	// ShiftAngle are the covariances of DX and DY with Angle, mm·rad.
	ShiftAngle [2]float64
	Deviations []Vector // of each pair, in the directions of the drawing
	Squares    float64  // Σ |deviation|²/u²
	RMS        float64  // root of the mean square of the distances, not weighted, mm

	middle Vector  // of the drawing, weighted
	weight float64 // Σ 1/u²
	spread float64 // Σ |nominal − middle|²/u²
	pairs  []Pair
}

// Least fits a rigid motion by weighted least squares, each pair with the weight 1/u² (closed form in the plane: the angle of the sum of
// products about the weighted middles). Errors are *trouble.Trouble: fewer than two pairs, or all nominal places in one point.
func Least(pairs []Pair) (*Rigid, error) {
	if len(pairs) < 2 {
		return nil, trouble.Data("too-few-points", "", trouble.Count(len(pairs), "place was", "places were")+" measured, and one place does not show how the drawing is turned",
			"measure two features or more")
	}
	r := &Rigid{pairs: pairs}
	var to Vector
	for _, p := range pairs {
		w := 1 / (p.U * p.U)
		r.weight += w
		r.middle = r.middle.plus(p.Nominal.times(w))
		to = to.plus(p.Measured.times(w))
	}
	r.middle, to = r.middle.times(1/r.weight), to.times(1/r.weight)
	var along, across, reach float64
	for _, p := range pairs {
		w := 1 / (p.U * p.U)
		a, b := p.Nominal.minus(r.middle), p.Measured.minus(to)
		along += w * a.dot(b)
		across += w * a.cross(b)
		r.spread += w * a.dot(a)
		reach = math.Max(reach, math.Max(math.Abs(p.Nominal.X), math.Abs(p.Nominal.Y)))
	}
	turned := math.Hypot(along, across)
	if r.spread <= 1e-18*r.weight*(1+reach*reach) || turned <= 1e-15*r.spread {
		return nil, trouble.Data("one-place", "", "the places say nothing of how the drawing is turned", "measure features that lie apart")
	}
	r.Angle = math.Atan2(across, along)
	sin, cos := math.Sincos(r.Angle)
	shift := to.minus(r.middle.turned(cos, sin))
	r.DX, r.DY = shift.X, shift.Y
	r.doubt(turned, cos, sin)
	var sum float64
	for _, p := range pairs {
		d := r.Deviation(p)
		r.Deviations = append(r.Deviations, d)
		sum += d.dot(d)
		r.Squares += d.dot(d) / (p.U * p.U)
	}
	r.RMS = math.Sqrt(sum / float64(len(pairs)))
	return r, nil
}

// doubt sets the covariance: about the weighted middle shift and angle are independent, with variances 1/Σw and 1/Σw(Ra·b); the shift at the
// origin of the drawing takes its part of the angle.
func (r *Rigid) doubt(turned, cos, sin float64) {
	angle := 1 / turned
	lever := r.middle.turned(cos, sin).across() // how the middle moves with the angle
	r.UAngle = math.Sqrt(angle)
	r.UX = math.Sqrt(1/r.weight + angle*lever.X*lever.X)
	r.UY = math.Sqrt(1/r.weight + angle*lever.Y*lever.Y)
	r.ShiftAngle = [2]float64{-angle * lever.X, -angle * lever.Y}
}

// U is the standard uncertainty of the deviation of pair i in the direction of n, a unit vector in the directions of the drawing: what the
// point's own uncertainty is, less what the fit has taken of it.
func (r *Rigid) U(i int, n Vector) float64 {
	q := r.pairs[i].Nominal.minus(r.middle).across().dot(n)
	own := r.pairs[i].U * r.pairs[i].U
	return math.Sqrt(math.Max(0, own-1/r.weight-q*q/r.spread))
}

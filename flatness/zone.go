package flatness

import (
	"fmt"
	"math"
)

// Zone is the minimum zone of a face: the two closest parallel planes that hold all points.
type Zone struct {
	Value float64 // mm; distance of the planes, from the contact points alone in exact arithmetic, rounded once

	// No two parallel planes that hold all points, in any orientation, are closer than Low: proven. Two that are High
	// apart do hold them, rounding included. Low ≤ Value ≤ High, mm.
	Low, High float64

	Normal [3]float64 // unit, z > 0 (y > 0 if z is 0)

	// Kind is "3-1" (three points hold one plane and one the other), "2-2" (two hold each), or "flat": the zone is 0 to
	// within the rounding of the coordinates, every point is a contact, and none is listed.
	Kind         string
	Contacts     []int // numbers of the contact points, upper side (where Normal points) first, rising within a side
	ContactUpper []bool

	Warnings []string
}

// faceLike is the largest ratio of zone to width at which points count as a face: common practice, no source. Below it
// planes that are as close as those found are tilted from them by less than a fifth.
const faceLike = 0.1

// Up to mostTried points are tried in every orientation if the ratio of zone to width is above surely: below it another
// orientation could be closer by 0.02 % at most, and hardly ever is.
const (
	mostTried = 60
	surely    = 0.01
)

// MinimumZone returns the minimum zone (ISO 1101, ISO 12781-1) of a face in any orientation.
//
// The search solves the zone measured along the normal of a plane (a linear program), turns the plane to the answer and
// repeats until it stands still; on large faces it does so for the points that a scan of all points brings out, until a
// scan brings out nothing new. So Value is a minimum among the orientations near the one found, right to within 4 units in
// the last place of the largest coordinate.
//
// Low holds for every orientation. Let V be the distance found and W a lower bound of the width of the face in its own
// plane. Planes that hold all points and are at most V apart are tilted from those found by at most 2·atan(V/W), and the
// contacts keep any such planes V·cos(tilt) apart: V·(1−(V/W)²)/(1+(V/W)²). For 900 mm of slate and a zone of 0.3 mm that
// is 7e-8 mm below V; a second minimum in between is rare, and then mostly nearer still.
//
// Up to 60 points are tried in every orientation if V/W is above 0.01. More points than that are not a face if V/W is above
// 0.1, and come back with a warning. At least four points, not all on a line; otherwise, or if a coordinate is not finite,
// the error is a *trouble.Trouble.
func MinimumZone(p Points) (Zone, error) {
	s, b, err := search(p)
	if err != nil {
		return Zone{}, err
	}
	return s.zone(b)
}

// ZoneValue returns the value of MinimumZone without contacts, proof or interval, for simulation. It is the same number to
// within rounding unless all orientations had to be tried; then it is a minimum near the least-squares orientation.
func ZoneValue(p Points) (float64, error) {
	_, b, err := search(p)
	if err != nil {
		return 0, err
	}
	return b.high - b.low, nil
}

// zone works out the exact value and what is proven.
func (s *sample) zone(b slab) (Zone, error) {
	var z Zone
	ratio := s.holds(b) / s.first.width(b.f)
	all := ratio > surely && s.of.Len() <= mostTried
	if all {
		var err error
		if b, err = s.settle(b.f.facing(s.everyOrientation(b.f.n))); err != nil {
			return Zone{}, err
		}
	}
	z.Value, z.High = b.high-b.low, s.holds(b)
	if z.Value <= s.flat() {
		z.Kind = "flat"
		z.place(s, b)
		return z, nil
	}
	upper, lower := s.sides(b)
	// Contacts that lie too close together do not tell the planes as well as the planes themselves.
	if exact, ok := apart(upper.at, lower.at); ok && math.Abs(exact-z.Value) <= s.rounding() {
		z.Value = exact
	}
	switch {
	case all:
		z.Low = max(0, z.Value-s.rounding())
	case ratio < 1:
		tangent := 2 * ratio / (1 - float64(ratio*ratio)) * (1 + 16*eps)
		z.Low = min(z.Value, support(upper, lower, b.f.n, tangent))
	}
	if ratio > faceLike && !all {
		z.Warnings = append(z.Warnings, fmt.Sprintf("not a face: the zone is %.2g of the smallest width of the points; "+
			"another orientation may be closer, but none below %.6g mm", ratio, z.Low))
	}
	z.place(s, b)
	return z, nil
}

// holds is how far apart planes are that hold all points for certain.
func (s *sample) holds(b slab) float64 { return b.high - b.low + b.beyond + s.rounding() }

package flatness

import (
	"fmt"
	"math"
	"slices"
)

// Zone is the minimum zone of a face: the two closest parallel planes that hold all points.
type Zone struct {
	Value float64 // mm; distance of the planes, from the contact points alone in exact arithmetic, rounded once

	// No two parallel planes that hold all points, in any orientation, are closer than Low: proven. Two that are High
	// apart do hold them, rounding included. Low ≤ Value ≤ High, mm.
	Low, High float64

	Normal [3]float64 // unit, z > 0 (y > 0 if z is 0)
	Offset float64    // mm; Normal·p for p on the plane halfway between

	// Kind is "3-1" (three points hold one plane and one the other), "2-2" (two lines), or "flat": the zone is 0 to
	// within the rounding of the coordinates, every point is a contact, and none is listed.
	Kind         string
	Contacts     []int // numbers of the contact points, upper side (where Normal points) first, rising within a side
	ContactUpper []bool

	N        int
	Scans    int // passes over all points
	Warnings []string
}

// faceLike is the largest ratio of zone to width at which points count as a face: the design's own bound. Up to it, no
// orientation far from the one found can hold the points.
const faceLike = 0.1

// mostTried is how many points that are no face are worth trying in every orientation.
const mostTried = 60

// MinimumZone returns the minimum zone (ISO 1101, ISO 12781-1) of a face in any orientation.
//
// The search solves the zone measured along the normal of a plane (a linear program), turns the plane to the answer and
// repeats until it stands still; on large faces it does so for the points that a scan of all points brings out, until a
// scan brings out nothing new. Value is then a minimum near the orientation found, to within 4 units in the last place of
// the largest coordinate. Low holds for every orientation: planes that hold all points and are no farther apart than Value
// V are tilted by at most 2·atan(V/W), where W is a lower bound of the width of the face in its own plane, so that none is
// closer than V·(1−(V/W)²)/(1+(V/W)²). For a slate of 900 mm and a zone of 0.3 mm that is 7e-8 mm below Value.
//
// If V/W is above 0.1 the points are not a face: up to 60 points are tried in every orientation, more come back with a
// warning. At least four points, not all on a line; otherwise, or if a coordinate is not finite, the error is a
// *trouble.Trouble.
func MinimumZone(p Points) (Zone, error) {
	s, b, err := search(p)
	if err != nil {
		return Zone{}, err
	}
	return s.zone(b)
}

// ZoneValue returns the value of MinimumZone without contacts, proof or interval, for simulation: the same number to
// within rounding where the points are a face, else a minimum near the least-squares orientation.
func ZoneValue(p Points) (float64, error) {
	_, b, err := search(p)
	if err != nil {
		return 0, err
	}
	return b.high - b.low, nil
}

// slab is two parallel planes that hold a sample, normal to f.n, at distances low and high from the sample's origin.
type slab struct {
	f            frame
	low, high    float64
	on           []contact
	above, below float64 // how far a point outside the sample lies beyond the planes
	scans        int
}

// search finds the slab; s is the sample that holds it.
func search(p Points) (s *sample, b slab, err error) {
	if err := p.check(4); err != nil {
		return nil, slab{}, err
	}
	s, err = newSample(p)
	if err != nil {
		return nil, slab{}, err
	}
	f, plane := s.axes()
	if !plane {
		if !s.offLine(f) {
			return nil, slab{}, onALine()
		}
		f, _ = s.axes()
	}
	if len(s.at) >= p.Len() {
		b, err = s.settle(f)
		return s, b, err
	}
	return s.grow(f)
}

// grow finds the slab of a large face. Each scan adds at least one point to the sample, so it ends; two scans are usual.
func (s *sample) grow(f frame) (*sample, slab, error) {
	b, err := s.once(f)
	if err != nil {
		return nil, slab{}, err
	}
	t := s.narrowed(s.bandAlong(b.f.n))
	small := s.fresh()
	for _, c := range b.on {
		small.add(s.index[c.i])
	}
	for scans := 1; ; scans++ {
		e := t.scan(s.of)
		if e.broken >= 0 {
			return nil, slab{}, notFinite(e.broken)
		}
		if scans > 1 && max(e.above, e.below) <= small.rounding() {
			b.above, b.below, b.scans = e.above, e.below, scans
			if t.flipped {
				b.above, b.below = b.below, b.above
			}
			return small, b, nil
		}
		if err = small.take(e); err != nil {
			return nil, slab{}, err
		}
		if b, err = small.settle(b.f); err != nil {
			return nil, slab{}, err
		}
		t = small.bandAlong(b.f.n)
	}
}

// take adds what a scan brought out.
func (s *sample) take(e *extremes) error {
	known := slices.Clone(s.index[:min(4, len(s.index))]) // contacts of the sample, which the first scan may find again
	for cell := range e.high {
		for _, i := range [2]int{e.high[cell], e.low[cell]} {
			if i >= 0 && !slices.Contains(known, i) && !s.add(i) {
				return notFinite(i)
			}
		}
	}
	return nil
}

// heights returns the sample as seen in the frame.
func (s *sample) heights(f frame) *level {
	n := len(s.at)
	all := make([]float64, 3*n)
	l := &level{u: all[:n], v: all[n : 2*n], w: all[2*n:]}
	for i, a := range s.at {
		l.u[i], l.v[i], l.w[i] = a.dot(f.e1), a.dot(f.e2), a.dot(f.n)
	}
	return l
}

// once solves the zone along f.n and returns the slab of the answer.
func (s *sample) once(f frame) (slab, error) {
	p, q, on, err := s.heights(f).solve(nil)
	if err != nil {
		return slab{}, err
	}
	return s.slab(f.turned(p, q), on), nil
}

// slab returns the planes normal to f.n that just hold the sample.
func (s *sample) slab(f frame, on []contact) slab {
	b := slab{f: f, low: math.Inf(1), high: math.Inf(-1), on: on}
	for _, a := range s.at {
		w := a.dot(f.n)
		b.low, b.high = min(b.low, w), max(b.high, w)
	}
	return b
}

// mostTurns bounds the turning; two turns are usual.
const mostTurns = 60

// settle turns the frame until turning it no longer brings the planes closer. Where the answer is not unique it would turn
// for ever between equals: it stops at the first that is not better.
func (s *sample) settle(f frame) (slab, error) {
	b := s.slab(f, nil)
	if b.high-b.low <= s.flat() {
		return b, nil
	}
	for range mostTurns {
		p, q, on, err := s.heights(b.f).solve(b.on)
		if err != nil {
			return slab{}, err
		}
		b.on = on
		next := s.slab(b.f.turned(p, q), on)
		if !(next.high-next.low < b.high-b.low-float64(eps*s.most)) {
			return b, nil
		}
		b = next
	}
	return b, nil
}

// zone works out the exact value and what is proven.
func (s *sample) zone(b slab) (Zone, error) {
	scans := max(1, b.scans)
	if b.high-b.low <= s.flat() {
		z := Zone{Value: b.high - b.low, High: s.holds(b), Kind: "flat", Scans: scans}
		z.place(s, b)
		return z, nil
	}
	ratio := s.holds(b) / s.first.width(b.f)
	all := ratio > faceLike && s.of.Len() <= mostTried
	if all {
		var err error
		if b, err = s.settle(b.f.facing(s.everyOrientation())); err != nil {
			return Zone{}, err
		}
	}
	upper, lower := s.sides(b)
	z := Zone{Value: b.high - b.low, High: s.holds(b), Scans: scans}
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
func (s *sample) holds(b slab) float64 { return b.high - b.low + b.above + b.below + s.rounding() }

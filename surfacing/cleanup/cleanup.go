// Package cleanup finds how much must come off which face of a slab: the thickest pair of parallel planes that fit inside it, the points that
// govern them, the doubt of that thickness, and the removal from either face that leaves a wanted one.
//
// [Tie] lays the two maps of a slab over each other by caliper thicknesses, [Thickest] finds the planes and proves them, [Doubt] carries
// what is not known into the thickness, and [Limits.Plan] makes the plan with its allowances.
//
// It reads no file, takes no gravity off, plans no passes and knows no machine. What stands or lies between the readings is not in it. All lengths
// are mm, in the piece frame: x along the table, y across it, z up.
package cleanup

import (
	"fmt"
	"math"

	"slatewright/trouble"
)

// Points are readings of a face in the piece frame, of equal number.
type Points struct{ X, Y, Z []float64 }

// Len is how many there are.
func (p Points) Len() int { return len(p.Z) }

// Slab is a slab as its two faces were read: the stone lies between them.
type Slab struct {
	Top, Bottom Points
	Lift        Lift // of the bottom's heights, into the frame of the top's
	U           U    // of the readings, where it is known: the planes do not hang on it
}

// Lift is a plane that is added to the heights of a face: Height + Along·x + Across·y.
type Lift struct{ Height, Along, Across float64 }

// At is what is added at a place.
func (l Lift) At(x, y float64) float64 { return l.Height + l.Along*x + l.Across*y }

// face returns the readings of a side; 0 is the top, 1 the bottom.
func (s Slab) face(side int) Points {
	if side == 0 {
		return s.Top
	}
	return s.Bottom
}

// at is a reading, the bottom's lifted.
func (s Slab) at(q place) vector {
	p := s.face(q.side)
	v := vector{p.X[q.i], p.Y[q.i], p.Z[q.i]}
	if q.side == 1 {
		v[2] += s.Lift.At(v[0], v[1])
	}
	return v
}

// leastReadings of a face hold a plane.
const leastReadings = 3

func (s Slab) check() error {
	for side, name := range sides {
		p := s.face(side)
		if len(p.X) != len(p.Z) || len(p.Y) != len(p.Z) || p.Len() < leastReadings {
			return trouble.Data("few-readings", name, fmt.Sprintf("the %s has fewer than %d readings", name, leastReadings),
				"read each face at three places or more that are not on one line")
		}
	}
	return nil
}

// sides are the names of the faces.
var sides = [2]string{"top", "bottom"}

// Contact is a reading that governs: the planes touch the stone there.
type Contact struct {
	X, Y, Z float64
	Top     bool // on the top, else on the bottom
	Reading int  // its number among the readings of that face
	// Weight is its share in holding the planes; the shares of each face add to 1. A micrometre less stone there costs so much of a micrometre.
	Weight float64
	// Costs is by how much thicker the planes could be if this reading were not there, mm: much, where it is a chip or a slip of the gauge, and little, where
	// its neighbours say the same.
	Costs float64
}

// Face is "top" or "bottom".
func (c Contact) Face() string {
	if c.Top {
		return sides[0]
	}
	return sides[1]
}

// Planes are two parallel planes inside a slab: n·r = Upper and n·r = Lower, no stone missing between them at any reading.
type Planes struct {
	Thickness float64 // distance of the planes, normal to them
	// No parallel planes inside the slab, in any orientation, are farther apart than High, and two that are Low apart hold: proven.
	Low, High    float64
	Normal       [3]float64 // unit, z > 0
	Upper, Lower float64    // distances of the planes from the origin, along Normal
	Governing    []Contact  // the top's first
	// Above and Below are how much stone stands outside the planes, normal to them: of the top above the upper one, of the bottom below the lower.
	Above, Below Off
	Violation    float64 // by how much any reading lies inside the planes, as the last pass over all found it
	Proven       bool    // the optimum is shown by exact numbers, and no reading is violated by more than rounding
	Passes       int     // over all readings

	work *work  // the readings that can matter, for Doubt
	near [2]int // readings of each side within three uncertainties of its plane, one at least
}

// Off is how much comes off a face: least, most and mean over its readings.
type Off struct{ Min, Max, Mean float64 }

func (o Off) plus(d float64) Off { return Off{o.Min + d, o.Max + d, o.Mean + d} }

// Along and Across are the slopes of the planes: rise along x and along y.
func (p *Planes) Along() float64  { return -p.Normal[0] / p.Normal[2] }
func (p *Planes) Across() float64 { return -p.Normal[1] / p.Normal[2] }

// Height is how far the place stands above the upper plane and below the lower one, if the top has the height top there and the bottom bottom.
func (p *Planes) Height(x, y, top, bottom float64) (above, below float64) {
	n := vector(p.Normal)
	return vector{x, y, top}.dot(n) - p.Upper, p.Lower - vector{x, y, bottom}.dot(n)
}

// steep is the slope of a plane beyond which its slab was not laid out in its own frame: 50 mm a metre, ten times what seating takes.
const steep = 0.05

// Thickest returns the thickest pair of parallel planes inside the slab, in any orientation.
//
// The distance of such planes is at most the distance of the two faces' convex hulls, and reaches it (Mangasarian 1965): for planes with unit
// normal m that hold, m·(P−Q) is at least their distance, whatever points P of the one hull and Q of the other are taken. The search solves
// the thickness measured along the normal of a plane (a linear program with two tilts and two heights), turns the plane to the answer, and repeats until it
// stands still, by a nearest point where fewer than four readings hold the planes; on large maps it does so for the readings that a pass brings
// out, until a pass brings out nothing new. The weights of the governing readings are then solved in exact rationals and give P and Q, and |P−Q| is High.
//
// The error is a *trouble.Trouble: too few readings, faces that do not lie over each other (loose-planes), that cross (faces-cross), or a coordinate that
// is not finite.
func Thickest(s Slab) (*Planes, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	w, err := newWork(s)
	if err != nil {
		return nil, err
	}
	n, err := w.settle(vector{0, 0, 1})
	if err != nil {
		return nil, err
	}
	passes := 1
	e := w.scan(n, true)
	w.takeAll(e)
	for e.broken == nil && e.inside() > w.rounding() {
		if n, err = w.settle(n); err != nil {
			return nil, err
		}
		e = w.scan(n, false)
		passes++
		if !w.take(e) {
			break
		}
	}
	if e.broken != nil {
		return nil, notFinite(*e.broken)
	}
	return w.planes(n, e, passes)
}

func notFinite(at place) error {
	return trouble.Data("not-finite", sides[at.side], fmt.Sprintf("reading %d is not a number", at.i+1), "leave out readings that are not there")
}

// planes works out what is proven. e is the last pass.
func (w *work) planes(n vector, e *extremes, passes int) (*Planes, error) {
	f := frameOf(n)
	on, proven, err := w.prove(f)
	if err != nil {
		return nil, err
	}
	p := &Planes{Normal: n, Passes: passes, Violation: e.inside(), work: w, near: e.near}
	upper, lower := w.between(n)
	shift := w.origin.dot(n)
	p.Upper, p.Lower = upper+shift, lower+shift
	p.Thickness = upper - lower
	if !(p.Thickness > 0) {
		at := w.thinnest()
		return nil, trouble.Data("faces-cross", fmt.Sprintf("(%.0f, %.0f)", at[0], at[1]), fmt.Sprintf("the bottom stands above the top by up to %.3f mm: no stone is left between them", -p.Thickness),
			"look whether the thicknesses, the zeros and the unit are right, and which file is which face")
	}
	if math.Abs(n[0])+math.Abs(n[1]) > steep*n[2] {
		return nil, trouble.Data("loose-planes", "the slab", fmt.Sprintf("the planes would lean by %.0f mm a metre", 1000*math.Hypot(n[0], n[1])/n[2]),
			"the readings of both faces must cover the slab alike: read them over the whole face, and look at the frame of each file")
	}
	p.Low = p.Thickness - p.Violation - w.rounding()
	p.High = max(p.Thickness, w.apart(on)+w.rounding())
	p.Proven = proven && p.Violation <= w.rounding() && p.High-p.Low <= 1e-9*max(1, p.Thickness)
	for _, c := range on {
		q := w.points[c.k]
		r := w.of.at(q)
		costs, err := w.without(c.k, f, p.Thickness)
		if err != nil {
			return nil, err
		}
		p.Governing = append(p.Governing, Contact{X: r[0], Y: r[1], Z: r[2], Top: q.side == 0, Reading: q.i, Weight: c.weight, Costs: costs})
	}
	p.Above = Off{e.least[0] + shift - p.Upper, e.most[0] + shift - p.Upper, e.mean(0) + shift - p.Upper}
	p.Below = Off{p.Lower - e.most[1] - shift, p.Lower - e.least[1] - shift, p.Lower - e.mean(1) - shift}
	p.Above.Min, p.Below.Min = max(0, p.Above.Min), max(0, p.Below.Min)
	return p, nil
}

// Package marking turns what people see and tape into places on a slab: a photo with known points by the projective map of a plane, and four corners by
// their sides and a diagonal.
//
// It takes no distortion of a lens out of a photo and cannot see one; it only says how far points that are known as well lie off. It reads no picture, and
// places no piece.
package marking

import (
	"fmt"
	"math"

	"slatewright/cutting/slab"
	"slatewright/polygon"
	"slatewright/trouble"
)

// Known is a place that is known on a photo and on the slab.
type Known struct {
	Name string
	U, V float64    // on the photo, v downward, in any unit
	At   slab.Point // on the slab, mm
}

// Off is a known place that the map was not made from, and how far off the map puts it.
type Off struct {
	Name string
	At   slab.Point // where the map puts it
	Off  float64    // mm
}

// Photo is a photo of a flat slab, whose places are known on the slab.
type Photo struct {
	h      [9]float64 // row after row
	corner [4]Known
	Checks []Off // the fifth known place and further ones
}

// most is how many known places are read.
const most = 50

// inLine is how flat a triangle of known places may be: its least height over its longest side.
const inLine = 0.02

// NewPhoto makes the map of a photo from the first four known places, exactly, and holds the others against it.
//
// The way: with p the known places on the photo and q those on the slab, as (x, y, 1), there are λ with λ₁p₁ + λ₂p₂ + λ₃p₃ = p₄ and μ likewise for q;
// the map takes λᵢpᵢ to μᵢqᵢ (see R. Hartley and A. Zisserman, Multiple View Geometry in Computer Vision, 2nd edition, 2004, section 2.3). A camera
// that sees all four from above leaves μᵢ/λᵢ above 0 and turns their sense round, since v runs downward.
//
// Errors: bad-photo, with what to do next.
func NewPhoto(known []Known) (*Photo, error) {
	if len(known) < 4 {
		return nil, fault("photo", fmt.Sprintf("%d known points; a photo needs four", len(known)), "measure four points on the slab that you can see on the photo, and one more to check it")
	}
	if len(known) > most {
		return nil, fault("photo", fmt.Sprintf("%d known points; at most %d are worked with", len(known), most), "leave out those that lie close together")
	}
	for _, k := range known {
		for _, x := range []float64{k.U, k.V, k.At.X, k.At.Y} {
			if !(math.Abs(x) <= 1e6) {
				return nil, fault(k.Name, "a known point is nowhere", "check its numbers and their units")
			}
		}
	}
	p := &Photo{corner: [4]Known(known[:4])}
	var seen, real [4]slab.Point
	for i, k := range p.corner {
		seen[i], real[i] = slab.Point{X: k.U, Y: k.V}, k.At
	}
	for _, where := range []struct {
		points [4]slab.Point
		what   string
	}{{real, "the points %s, %s and %s lie in one line on the slab"}, {seen, "the points %s, %s and %s lie in one line on the photo"}} {
		if i, flat := flattest(where.points); flat {
			a, b, c := p.corner[(i+1)%4].Name, p.corner[(i+2)%4].Name, p.corner[(i+3)%4].Name
			return nil, fault("photo", fmt.Sprintf(where.what, a, b, c), "choose four points near the slab's corners, no three of them in a line")
		}
	}
	lambda, mu := shares(seen), shares(real)
	for i := range lambda {
		if !(mu[i]/lambda[i] > 0) {
			return nil, fault("photo", "no photo can show the four points in this order", "tap them in the order in which they were measured, round the slab")
		}
	}
	if polygon.Turn(seen[0], seen[1], seen[2])*polygon.Turn(real[0], real[1], real[2]) > 0 {
		return nil, fault("photo", "the four points run the other way round on the photo than on the slab", "measure and tap them in the same sense; y grows to the left of x, seen from above")
	}
	p.h = joined(seen, real, lambda, mu)
	for _, k := range known[4:] {
		at, ok := p.At(k.U, k.V)
		if !ok {
			return nil, fault(k.Name, "a known point lies beyond what the photo shows of the slab", "tap it again, or measure the four points anew")
		}
		p.Checks = append(p.Checks, Off{k.Name, at, math.Hypot(at.X-k.At.X, at.Y-k.At.Y)})
	}
	return p, nil
}

func fault(where, what, next string) error { return trouble.Data("bad-photo", where, what, next) }

// flattest tells whether three of four points lie in a line, and which one is not of them.
func flattest(p [4]slab.Point) (left int, flat bool) {
	least := math.Inf(1)
	for i := range p {
		a, b, c := p[(i+1)%4], p[(i+2)%4], p[(i+3)%4]
		longest := max(math.Hypot(b.X-a.X, b.Y-a.Y), math.Hypot(c.X-b.X, c.Y-b.Y), math.Hypot(a.X-c.X, a.Y-c.Y))
		f := 0.0
		if longest > 0 {
			f = math.Abs(polygon.Turn(a, b, c)) / (longest * longest)
		}
		if f < least {
			least, left = f, i
		}
	}
	return left, least < inLine
}

// shares are λ with λ₁p₁ + λ₂p₂ + λ₃p₃ = p₄, as (x, y, 1): areas of triangles.
func shares(p [4]slab.Point) [3]float64 {
	all := polygon.Turn(p[0], p[1], p[2])
	return [3]float64{polygon.Turn(p[3], p[1], p[2]) / all, polygon.Turn(p[0], p[3], p[2]) / all, polygon.Turn(p[0], p[1], p[3]) / all}
}

// joined is the map that takes λᵢpᵢ to μᵢqᵢ: by the weights of a place on the photo in the triangle of the first three points there.
func joined(p, q [4]slab.Point, lambda, mu [3]float64) (h [9]float64) {
	all := polygon.Turn(p[0], p[1], p[2])
	for i := range 3 {
		b, c := p[(i+1)%3], p[(i+2)%3]
		// The weight of a place in corner i is w(u, v) = (uA + vB + C) / all.
		w := [3]float64{(b.Y - c.Y) / all, (c.X - b.X) / all, (b.X*c.Y - c.X*b.Y) / all}
		f := mu[i] / lambda[i]
		for k := range 3 {
			h[k] += f * q[i].X * w[k]
			h[3+k] += f * q[i].Y * w[k]
			h[6+k] += f * w[k]
		}
	}
	return h
}

// At is where a place of the photo lies on the slab; ok is false beyond the slab's horizon.
func (p *Photo) At(u, v float64) (at slab.Point, ok bool) {
	w := p.h[6]*u + p.h[7]*v + p.h[8]
	if !(w > 1e-6) { // it is above 0 at all four points, and 1 at the last
		return at, false
	}
	at = slab.Point{X: (p.h[0]*u + p.h[1]*v + p.h[2]) / w, Y: (p.h[3]*u + p.h[4]*v + p.h[5]) / w}
	return at, true
}

// Step is how far apart on the slab two places lie that are one step apart on the photo, in the direction in which it is farthest, mm; +Inf beyond the
// horizon.
func (p *Photo) Step(u, v float64) float64 {
	at, ok := p.At(u, v)
	if !ok {
		return math.Inf(1)
	}
	w := p.h[6]*u + p.h[7]*v + p.h[8]
	a, b := (p.h[0]-p.h[6]*at.X)/w, (p.h[1]-p.h[7]*at.X)/w
	c, d := (p.h[3]-p.h[6]*at.Y)/w, (p.h[4]-p.h[7]*at.Y)/w
	// The larger singular value of the derivative.
	s, t := math.Hypot(a+d, c-b), math.Hypot(a-d, c+b)
	return (s + t) / 2
}

// Coarsest is the largest Step at the four known points.
func (p *Photo) Coarsest() (mm float64) {
	for _, k := range p.corner {
		mm = max(mm, p.Step(k.U, k.V))
	}
	return mm
}

// Doubt is how far off the worst of the further known places lies, mm; known is false where there is none, and nothing is known of the photo's doubt.
func (p *Photo) Doubt() (mm float64, known bool) {
	for _, c := range p.Checks {
		mm, known = max(mm, c.Off), true
	}
	return mm, known
}

// beyond is how far outside the four points a place may lie, as a share of their longest side, before it counts as outside.
const beyond = 0.1

// Outside counts the places that lie well outside the four points, where a photo is less sure.
func (p *Photo) Outside(places []slab.Point) (n int) {
	var c [4]slab.Point
	for i, k := range p.corner {
		c[i] = k.At
	}
	longest := 0.0
	for i := range c {
		longest = max(longest, math.Hypot(c[(i+1)%4].X-c[i].X, c[(i+1)%4].Y-c[i].Y))
	}
	for _, q := range places {
		if !polygon.Inside(c[:], q) && edgeDistance(c, q) > beyond*longest {
			n++
		}
	}
	return n
}

func edgeDistance(c [4]slab.Point, q slab.Point) float64 {
	least := math.Inf(1)
	for i := range c {
		least = min(least, polygon.Away(q, c[i], c[(i+1)%4]))
	}
	return least
}

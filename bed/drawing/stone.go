package drawing

import (
	"math"

	"slatewright/bed/pattern"
)

// Stone is what is left of a piece when all is cut: the board under it and the arrises taken off are not counted.
type Stone struct {
	Area   float64 // of the face, pockets taken out and holes not, mm²
	Volume float64 // holes, counterbores and dowel holes taken out, mm³
	Mass   float64 // at the least thickness and the density of the pattern, kg
}

// StoneOf reckons piece i.
func StoneOf(p pattern.Pattern, i int) Stone {
	piece := p.Pieces[i]
	s := Stone{Area: piece.Outline.Area()}
	for _, c := range piece.Openings {
		s.Area -= c.Area()
	}
	s.Volume = s.Area * p.Thickness
	for _, h := range p.Holes {
		if h.Piece == i {
			s.Volume -= drilled(h, p.Thickness)
		}
	}
	for _, j := range p.Joints {
		if j.Before == i || j.Before+1 == i {
			for _, d := range j.Dowels {
				s.Volume -= cylinder(d.Diameter, d.Depth)
			}
		}
	}
	s.Mass = s.Volume * 1e-9 * p.Promise.Density
	return s
}

func cylinder(d, l float64) float64 { return math.Pi / 4 * d * d * l }

// drilled is the volume of a hole with its counterbore or countersink.
func drilled(h pattern.Hole, thickness float64) float64 {
	depth := h.Depth
	if h.Through() {
		depth = thickness
	}
	v := cylinder(h.Diameter, depth)
	c := h.Counter
	if c == nil {
		return v
	}
	deep := SinkDepth(h)
	if c.Angle == 0 {
		return v + cylinder(c.Diameter, deep) - cylinder(h.Diameter, deep)
	}
	a, b := c.Diameter/2, h.Diameter/2
	return v + math.Pi*deep*(a*a+a*b+b*b)/3 - cylinder(h.Diameter, deep)
}

// SinkDepth is how deep a hole's counterbore or countersink goes; 0 where there is none. That of a cone follows from its angle.
func SinkDepth(h pattern.Hole) float64 {
	switch c := h.Counter; {
	case c == nil:
		return 0
	case c.Angle > 0:
		return (c.Diameter - h.Diameter) / 2 / math.Tan(c.Angle/2)
	default:
		return c.Depth
	}
}

package pattern

import "math"

// Area is a piece's face in mm², pockets taken out; holes are not.
func (p Piece) Area() float64 {
	a := p.Outline.Area()
	for _, o := range p.Openings {
		a -= o.Area()
	}
	return a
}

// Taken is the stone that a hole takes out of a piece of the given thickness, mm³, with its counterbore or countersink and without its
// chamfer.
func (h Hole) Taken(thickness float64) float64 {
	deep := h.Depth
	if h.Through() || deep > thickness {
		deep = thickness
	}
	v := math.Pi / 4 * h.Diameter * h.Diameter * deep
	if c := h.Counter; c != nil {
		ring := c.Diameter*c.Diameter - h.Diameter*h.Diameter
		if c.Angle > 0 { // a cone's stump less the hole in it
			ring = (c.Diameter*c.Diameter+c.Diameter*h.Diameter+h.Diameter*h.Diameter)/3 - h.Diameter*h.Diameter
		}
		v += math.Pi / 4 * ring * math.Min(c.Depth, thickness)
	}
	return v
}

// Mass is that of one finished piece of the given thickness in kg, pockets, holes and dowel holes taken out, of stone of the promise's
// density; chamfers, roundings and the lining are not counted. What hangs on the hook is more: see [bed.Spec.PieceMass].
func (p Pattern) Mass(piece int, thickness float64) float64 {
	v := p.Pieces[piece].Area() * thickness
	for _, h := range p.Holes {
		if h.Piece == piece {
			v -= h.Taken(thickness)
		}
	}
	for _, j := range p.Joints {
		if j.Before == piece || j.Before+1 == piece {
			for _, d := range j.Dowels {
				v -= math.Pi / 4 * d.Diameter * d.Diameter * d.Depth
			}
		}
	}
	return v * 1e-9 * p.Promise.Density
}

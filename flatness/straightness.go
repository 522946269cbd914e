package flatness

// Straightness returns the straightness of a profile: the distance of the two closest parallel lines, in any orientation,
// that hold all points (s, z), both mm (ISO 12780-1, minimum zone). contacts are the numbers of the points that hold them,
// two on one line, then one on the other: by the convex hull, whose smallest width stands on an edge.
//
// The value is right to within 8 units in the last place of the largest coordinate. Three points at least; with fewer, or
// with a coordinate that is not finite, the error is a *trouble.Trouble. The order of the points does not matter.
func Straightness(s, z []float64) (value float64, contacts [3]int, err error) {
	p := Points{X: s, Y: s, Z: z}
	if err := p.check(3); err != nil {
		return 0, contacts, err
	}
	if err := p.finite(); err != nil {
		return 0, contacts, err
	}
	value, contacts = narrowest(s, z)
	return value, contacts, nil
}

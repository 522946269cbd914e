package flatness

// Straightness returns the straightness of a profile: the distance of the two closest parallel lines, in any orientation,
// that hold all points (s, z), both mm (ISO 12780-1, minimum zone). contacts are the numbers of the points that hold them,
// two on one line, then one on the other: by the convex hull, whose smallest width stands on an edge.
//
// The value is right to within 8 units in the last place of the largest coordinate. Three points at least; with fewer, or
// with a coordinate that is not finite, the error is a *trouble.Trouble. The order of the points does not matter.
func Straightness(s, z []float64) (value float64, contacts [3]int, err error) {
	if err := (Points{X: s, Y: s, Z: z}).check(3); err != nil {
		return 0, contacts, err
	}
	for i := range s {
		if !finite(vector{s[i], 0, z[i]}) {
			return 0, contacts, notFinite(i)
		}
	}
	value, contacts = narrowest(s, z)
	return value, contacts, nil
}

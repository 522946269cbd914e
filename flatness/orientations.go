package flatness

import "math"

// everyOrientation returns the unit normal of the closest planes over all orientations, beginning with a first guess. The
// zone as a function of the orientation has its minima where three points hold one plane and one the other, or two hold
// each (ISO 12781-1's contact criterion), so the normals of all pairs of edges are tried, n⁴/8 of them: two that share a
// point are a plane of three.
func (s *sample) everyOrientation(normal vector) vector {
	best := s.across(normal, math.Inf(1))
	try := func(n vector) {
		l := n.length()
		if !(l > 0) {
			return
		}
		if w := s.across(n, best*l); w < best*l {
			best, normal = w/l, n
		}
	}
	n := len(s.at)
	for i := range n {
		for j := i + 1; j < n; j++ {
			edge := s.at[j].minus(s.at[i])
			for k := i + 1; k < n; k++ {
				for m := k + 1; m < n; m++ {
					try(edge.cross(s.at[m].minus(s.at[k])))
				}
			}
		}
	}
	return normal.unit()
}

// across is the extent of the points along n, or something above limit if that is exceeded.
func (s *sample) across(n vector, limit float64) float64 {
	least, most := math.Inf(1), math.Inf(-1)
	for _, a := range s.at {
		w := a.dot(n)
		least, most = min(least, w), max(most, w)
		if most-least > limit {
			break
		}
	}
	return most - least
}

package shape

import (
	"cmp"
	"math"
	"slices"

	"slatewright/trouble"
)

// Subtract returns what is left of a when b is taken out: the outer contours, each turning left, and the holes in them,
// turning left too. Nothing is left where b covers a. Both contours must pass Check. Sides of the two that run along one
// another are refused, as a *trouble.Trouble of kind data, code "sides-along": what is left would hang on rounding.
func Subtract(a, b Contour) (outer, holes []Contour, err error) {
	first, second, err := cutUp(a, b)
	if err != nil {
		return nil, nil, err
	}
	keep := outsideOf(first, b)
	for _, s := range second {
		if a.Inside(s.Along(0.5)) {
			keep = append(keep, NewSegment(s.To, s.From, -s.Bulge))
		}
	}
	rings, err := stitch(keep)
	for _, r := range rings {
		if r.Area() > 0 {
			outer = append(outer, r)
		} else {
			holes = append(holes, r.Reversed())
		}
	}
	return outer, holes, err
}

func outsideOf(sides []Segment, c Contour) (list []Segment) {
	for _, s := range sides {
		if !c.Inside(s.Along(0.5)) {
			list = append(list, s)
		}
	}
	return list
}

// cutUp cuts the sides of each contour where the other meets them.
func cutUp(a, b Contour) (first, second []Segment, err error) {
	sa, sb := a.Segments(), b.Segments()
	onA, onB := make([][]meeting, len(sa)), make([][]meeting, len(sb))
	for i, s := range sa {
		for j, o := range sb {
			list, along := meet(s, o)
			if along {
				return nil, nil, trouble.Data("sides-along", "", "a side runs along one of the other contour near "+place(o.Along(0.5)), "let the cut reach beyond the edge, or stay clear of it")
			}
			for _, m := range list {
				onA[i] = append(onA[i], m)
				onB[j] = append(onB[j], meeting{m.at, m.u, m.t})
			}
		}
	}
	for i, s := range sa {
		first = append(first, s.cut(onA[i])...)
	}
	for j, o := range sb {
		second = append(second, o.cut(onB[j])...)
	}
	return first, second, nil
}

// cut returns the side in parts, one between each two places in the order of the way. Parts without length are left out.
func (s Segment) cut(at []meeting) (parts []Segment) {
	slices.SortFunc(at, func(a, b meeting) int { return cmp.Compare(a.t, b.t) })
	from, begun := s.From, 0.0
	for _, m := range append(at, meeting{s.To, 1, 0}) {
		if between(from, m.at) <= near {
			continue
		}
		if between(m.at, s.To) <= near {
			m.at, m.t = s.To, 1
		}
		bulge := s.Bulge
		if s.Radius > 0 && (begun > 0 || m.t < 1) {
			bulge = math.Tan(s.Sweep * (m.t - begun) / 4)
		}
		parts = append(parts, NewSegment(from, m.at, bulge))
		from, begun = m.at, m.t
	}
	return parts
}

// stitch joins sides to rings, each at the nearest beginning to its end.
func stitch(sides []Segment) (rings []Contour, err error) {
	used := make([]bool, len(sides))
	for begin := range sides {
		if used[begin] {
			continue
		}
		var ring Contour
		for at := begin; !used[at]; {
			used[at] = true
			s := sides[at]
			ring = append(ring, Vertex{s.From.X, s.From.Y, s.Bulge})
			if between(s.To, sides[begin].From) <= 4*near {
				break
			}
			next, nearest := -1, 4*near
			for i, o := range sides {
				if d := between(s.To, o.From); !used[i] && d <= nearest {
					next, nearest = i, d
				}
			}
			if next < 0 {
				return nil, trouble.Own("open-contour", "", "the rest of a cut does not close near "+place(s.To), "")
			}
			at = next
		}
		rings = append(rings, ring)
	}
	return rings, nil
}

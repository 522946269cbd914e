package cleanup

import (
	"fmt"

	"slatewright/trouble"
)

// Opposite makes the face that was not read of the caliper places of one that was: its height there is that of the read face, less the thickness (more,
// where the bottom was read). Between those places nothing is known of it. Its readings stand in the order of the calipers. The errors are those of [Tie].
func Opposite(read Points, top bool, calipers []Caliper, u U) (p Points, err error) {
	if err := checkCalipers(calipers); err != nil {
		return p, err
	}
	places := make([][2]float64, len(calipers))
	for i, c := range calipers {
		places[i] = [2]float64{c.X, c.Y}
	}
	side, down := u.Top, 1.0
	if !top {
		side, down = u.Bottom, -1
	}
	for i, list := range around(read, places) {
		z, _, ok := height(list, side)
		if !ok {
			return p, noReadingNear(calipers[i])
		}
		p.X, p.Y, p.Z = append(p.X, calipers[i].X), append(p.Y, calipers[i].Y), append(p.Z, z-down*calipers[i].T)
	}
	return p, nil
}

// Hidden is how much thicker the slab would seem if its read face, too, were known at the calipers only: what such few places hide of a face like it.
// s has the other face as Opposite made it, and p are its planes.
func Hidden(s Slab, p *Planes, topRead bool, calipers []Caliper) float64 {
	few := func(p Points, up float64) (q Points) {
		for i, c := range calipers {
			q.X, q.Y, q.Z = append(q.X, p.X[i]), append(q.Y, p.Y[i]), append(q.Z, p.Z[i]+up*c.T)
		}
		return q
	}
	if topRead {
		s.Top = few(s.Bottom, 1)
	} else {
		s.Bottom = few(s.Top, -1)
	}
	seen, err := Thickest(s)
	if err != nil {
		return 0
	}
	return max(0, seen.Thickness-p.Thickness)
}

func noReadingNear(c Caliper) error {
	return trouble.Data("no-reading-near", fmt.Sprintf("(%.0f, %.0f)", c.X, c.Y), "a map has too few readings to tell its height at this caliper",
		"read the maps around the calipers too, or read the caliper where the maps have a reading")
}

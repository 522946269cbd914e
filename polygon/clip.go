package polygon

// Clip keeps of a ring what lies where height is not negative; height must be linear in the place. What falls in parts stays one ring,
// joined by sides that run to and fro along the line of height 0: the area, and any integral by triangles to the sides, is that of the
// parts (I. E. Sutherland and G. W. Hodgman, Reentrant polygon clipping, Communications of the ACM 17, 1974, 32).
func Clip[P Place](ring []P, height func(P) float64) (kept []P) {
	if len(ring) == 0 {
		return nil
	}
	a := ring[len(ring)-1]
	above := height(a)
	for _, b := range ring {
		h := height(b)
		if (above < 0) != (h < 0) {
			from, to, t := point(a), point(b), above/(above-h)
			kept = append(kept, P(point{from.X + t*(to.X-from.X), from.Y + t*(to.Y-from.Y)}))
		}
		if h >= 0 {
			kept = append(kept, b)
		}
		a, above = b, h
	}
	return kept
}

// ClipBox keeps of a ring what lies in the upright rectangle between two corners, as [Clip] does.
func ClipBox[P Place](ring []P, low, high P) []P {
	l, h := point(low), point(high)
	ring = Clip(ring, func(p P) float64 { return point(p).X - l.X })
	ring = Clip(ring, func(p P) float64 { return h.X - point(p).X })
	ring = Clip(ring, func(p P) float64 { return point(p).Y - l.Y })
	return Clip(ring, func(p P) float64 { return h.Y - point(p).Y })
}

// Meets tells whether the way from a to b meets the upright rectangle between two corners, its border counted in (Y.-D. Liang and
// B. A. Barsky, A new concept and method for line clipping, ACM Transactions on Graphics 3, 1984, 1).
func Meets[P Place](a, b, low, high P) bool {
	p, q, l, h := point(a), point(b), point(low), point(high)
	from, to := 0.0, 1.0
	for _, side := range [4][2]float64{{p.X - q.X, p.X - l.X}, {q.X - p.X, h.X - p.X}, {p.Y - q.Y, p.Y - l.Y}, {q.Y - p.Y, h.Y - p.Y}} {
		switch out, room := side[0], side[1]; { // how far the way goes out over that side, and how far it may
		case out == 0 && room < 0:
			return false
		case out < 0:
			from = max(from, room/out)
		case out > 0:
			to = min(to, room/out)
		}
	}
	return from <= to
}

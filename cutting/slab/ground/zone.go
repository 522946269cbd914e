package ground

import (
	"math"

	"slatewright/cutting/slab"
	"slatewright/polygon"
)

// zone is a zone of a piece, with what flaws it hides.
type zone slab.Zone

// laid gives a zone in the frame of the rough piece as it lies: turned over about its length, then by quarters.
func (z zone) laid(allowance, length, width float64, quarter int, over bool) zone {
	move := func(p slab.Point) slab.Point {
		p = slab.Point{X: p.X + allowance, Y: p.Y + allowance}
		if over {
			p.Y = width - p.Y
		}
		switch quarter {
		case 1:
			return slab.Point{X: width - p.Y, Y: p.X}
		case 2:
			return slab.Point{X: length - p.X, Y: width - p.Y}
		case 3:
			return slab.Point{X: p.Y, Y: length - p.X}
		}
		return p
	}
	out := zone{Centre: move(z.Centre), Radius: z.Radius}
	for _, p := range z.Corners {
		out.Corners = append(out.Corners, move(p))
	}
	out.Corners = polygon.Anticlockwise(out.Corners)
	return out
}

// hides gives the places x, for a piece whose lower left corner stands at height y, at which the bar lies wholly in the zone with its clearance.
func (z zone) hides(b *bar, y float64) (from, to float64, ok bool) {
	from, to = math.Inf(-1), math.Inf(1)
	if z.Radius > 0 {
		r := z.Radius - b.clear
		for _, p := range b.hull {
			d := p.Y - y - z.Centre.Y
			if r < 0 || math.Abs(d) > r {
				return 0, 0, false
			}
			half := math.Sqrt(r*r - d*d)
			from, to = math.Max(from, p.X-z.Centre.X-half), math.Min(to, p.X-z.Centre.X+half)
		}
		return from, to, from <= to
	}
	for i, c := range z.Corners {
		d := z.Corners[(i+1)%len(z.Corners)]
		n := math.Hypot(d.X-c.X, d.Y-c.Y)
		if n == 0 {
			continue
		}
		nx, ny := (c.Y-d.Y)/n, (d.X-c.X)/n // inward
		for _, p := range b.hull {
			// nx·(p.X − x − c.X) + ny·(p.Y − y − c.Y) ≥ clearance
			rest := nx*(p.X-c.X) + ny*(p.Y-y-c.Y) - b.clear
			switch {
			case nx > 1e-12:
				to = math.Min(to, rest/nx)
			case nx < -1e-12:
				from = math.Max(from, rest/nx)
			case rest < -1e-9:
				return 0, 0, false
			}
		}
	}
	return from, to, from <= to
}

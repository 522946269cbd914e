package drafting

import (
	"math"
	"slices"
)

// Hatch draws lines at 45°, rising to the right, pitch mm apart, inside rings: what lies within an odd number of them.
func (d *Drawing) Hatch(l Layer, pitch float64, rings ...[]Point) {
	low, high := math.Inf(1), math.Inf(-1)
	for _, r := range rings {
		for _, p := range r {
			low, high = math.Min(low, p.X+p.Y), math.Max(high, p.X+p.Y)
		}
	}
	step := pitch * math.Sqrt2
	for c := math.Ceil(low/step) * step; c < high; c += step {
		var at []float64 // x where the line x + y = c crosses the rings
		for _, r := range rings {
			for i, a := range r {
				b := r[(i+1)%len(r)]
				u, v := a.X+a.Y-c, b.X+b.Y-c
				if (u < 0) != (v < 0) {
					at = append(at, a.X+(b.X-a.X)*u/(u-v))
				}
			}
		}
		slices.Sort(at)
		for i := 0; i+1 < len(at); i += 2 {
			d.Line(l, Thin, At(at[i], c-at[i]), At(at[i+1], c-at[i+1]))
		}
	}
}

// Clip draws the parts of a curve that lie in a box, arcs as short straight parts.
func (d *Drawing) Clip(l Layer, k Kind, points []Point, b Box) {
	var run []Point
	flush := func() {
		if len(run) > 1 {
			d.Line(l, k, run...)
		}
		run = nil
	}
	for i := 1; i < len(points); i++ {
		p, q, ok := b.cut(points[i-1], points[i])
		if !ok {
			flush()
			continue
		}
		if len(run) == 0 || run[len(run)-1] != p {
			flush()
			run = append(run, p)
		}
		run = append(run, q)
	}
	flush()
}

// cut returns the part of a straight line in the box (Liang and Barsky 1984).
func (b Box) cut(p, q Point) (from, to Point, ok bool) {
	t0, t1 := 0.0, 1.0
	dx, dy := q.X-p.X, q.Y-p.Y
	for _, e := range [4][2]float64{{-dx, p.X - b.X0}, {dx, b.X1 - p.X}, {-dy, p.Y - b.Y0}, {dy, b.Y1 - p.Y}} {
		switch {
		case e[0] == 0 && e[1] < 0:
			return p, q, false
		case e[0] < 0:
			t0 = math.Max(t0, e[1]/e[0])
		case e[0] > 0:
			t1 = math.Min(t1, e[1]/e[0])
		}
	}
	if t0 >= t1 {
		return p, q, false
	}
	from, to = p, q
	if t0 > 0 {
		from = At(p.X+t0*dx, p.Y+t0*dy)
	}
	if t1 < 1 {
		to = At(p.X+t1*dx, p.Y+t1*dy)
	}
	return from, to, true
}

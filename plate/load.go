package plate

import (
	"fmt"
	"math"

	"slatewright/trouble"
)

// Load is a weight laid on, spread evenly over a rectangle of the given sides around (X, Y); sides of 0 are a point.
type Load struct{ X, Y, N, SideX, SideY float64 }

// lay adds a load to the force at each spline.
func (m *mesh) lay(force []float64, l Load) error {
	if !(l.SideX >= 0 && l.SideY >= 0) || math.IsNaN(l.N) || math.IsInf(l.N, 0) || !m.piece.Outline.Has(Point{l.X, l.Y}) {
		return trouble.Data("load-off", "load", fmt.Sprintf("a load of %g N at (%g, %g) mm", l.N, l.X, l.Y), "lay it on the stone, counted from the middle of the piece")
	}
	if l.SideX == 0 && l.SideY == 0 {
		r := m.row(Point{l.X, l.Y})
		for k, u := range r.at {
			force[u] -= l.N * r.v[k]
		}
		return nil
	}
	var spots []spot
	x0, x1, y0, y1 := l.X-l.SideX/2, l.X+l.SideX/2, l.Y-l.SideY/2, l.Y+l.SideY/2
	if l.SideX == 0 || l.SideY == 0 {
		return trouble.Data("load-off", "load", "a load on a line", "give both sides of its rectangle, or neither")
	}
	xs, ys := tiled(x0, x1, m.x.breaks), tiled(y0, y1, m.y.breaks)
	for j := range len(ys) - 1 {
		for i := range len(xs) - 1 {
			spots = tile(spots, xs[i], xs[i+1], ys[j], ys[j+1])
		}
	}
	total := 0.0
	for _, q := range spots {
		if m.piece.Outline.Has(Point{q.x, q.y}) {
			total += q.stone
		}
	}
	for _, q := range spots {
		if at := (Point{q.x, q.y}); m.piece.Outline.Has(at) {
			r := m.row(at)
			for k, u := range r.at {
				force[u] -= l.N * q.stone / total * r.v[k]
			}
		}
	}
	return nil
}

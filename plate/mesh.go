package plate

import (
	"math"
	"slices"

	"slatewright/plate/sparse"
	"slatewright/polygon"
)

// mesh is a grid of cells over the rectangle of an outline, the splines on it, and what is integrated over the stone.
type mesh struct {
	piece Piece
	x, y  *axis
	k     *sparse.Matrix
	own   []float64 // load of the own weight, downward is negative: N at each spline
	bend  []float64 // load of layers that grew
	stone float64   // integral of the weight, N
	lever [2]float64
	solid []bool // cells with stone in them
	whole []bool // cells that no cut touches
}

// ghost is the stiffness that the cut-off part of a cut cell keeps, as a share of the stone's: it holds splines that have only a
// sliver of stone, and adds about this share to the energy (finite cell method: Parvizian, Düster, Rank, Computational Mechanics 41, 2007).
const ghost = 1e-8

// newMesh builds cells no larger than step, with break lines at the given places, and integrates over them.
func newMesh(p Piece, step float64, xs, ys []knot) *mesh {
	o := p.Outline
	for _, l := range p.Layers {
		for _, r := range l.Parts {
			xs = append(xs, inside(o.X, 2, r[0], r[1])...)
			ys = append(ys, inside(o.Y, 2, r[2], r[3])...)
		}
	}
	m := &mesh{piece: p, x: newAxis(divided(-o.X/2, o.X/2, step, spread(xs, step))), y: newAxis(divided(-o.Y/2, o.Y/2, step, spread(ys, step)))}
	n := m.x.functions() * m.y.functions()
	m.k = sparse.NewMatrix(m.x.functions(), m.y.functions())
	m.own, m.bend = make([]float64, n), make([]float64, n)
	m.solid, m.whole = make([]bool, m.x.cells()*m.y.cells()), make([]bool, m.x.cells()*m.y.cells())
	m.integrate()
	return m
}

// inside makes knots of the places that lie within a side.
func inside(side float64, multiple int, at ...float64) (k []knot) {
	for _, v := range at {
		if math.Abs(v) < side/2 {
			k = append(k, knot{v, multiple})
		}
	}
	return k
}

// spread leaves out knots closer than a fifth of a step to one before: slim cells cost more than a kink that is smeared.
func spread(k []knot, step float64) (kept []knot) {
	k = slices.Clone(k)
	slices.SortStableFunc(k, func(a, b knot) int { return int(math.Copysign(1, a.at-b.at)) })
	for _, v := range k {
		if n := len(kept); n > 0 && v.at-kept[n-1].at < step/5 {
			kept[n-1].multiple = max(kept[n-1].multiple, v.multiple)
			continue
		}
		kept = append(kept, v)
	}
	return kept
}

// The points and weights of Gauss and Legendre on (−1, 1): 4 are exact for what an even, uncut cell integrates, 5 for a
// triangle of a cut one (degree 8).
var (
	gauss4 = [][2]float64{{-0.8611363115940526, 0.3478548451374538}, {-0.3399810435848563, 0.6521451548625461},
		{0.3399810435848563, 0.6521451548625461}, {0.8611363115940526, 0.3478548451374538}}
	gauss5 = [][2]float64{{-0.9061798459386640, 0.2369268850561891}, {-0.5384693101056831, 0.4786286704993665}, {0, 0.5688888888888889},
		{0.5384693101056831, 0.4786286704993665}, {0.9061798459386640, 0.2369268850561891}}
)

// spot is a point of a quadrature: place, weight for the stone, weight for the stiffness.
type spot struct{ x, y, stone, stiff float64 }

// integrate fills the stiffness and the loads, cell by cell.
func (m *mesh) integrate() {
	even := m.piece.even()
	same := m.piece.section(0, 0)
	touched := m.touched()
	tx, ty := m.x.tables(), m.y.tables()
	for cy := range m.y.cells() {
		for cx := range m.x.cells() {
			c := cx + m.x.cells()*cy
			m.whole[c] = !touched[c]
			switch {
			case !touched[c] && !m.piece.Outline.Has(m.middle(cx, cy)):
			case !touched[c] && even:
				m.solid[c] = true
				m.addEven(cx, cy, same, &tx[cx], &ty[cy])
			default:
				m.addSpots(cx, cy, m.spots(cx, cy, touched[c]), even, same)
			}
		}
	}
}

func (m *mesh) middle(cx, cy int) Point {
	return Point{(m.x.breaks[cx] + m.x.breaks[cx+1]) / 2, (m.y.breaks[cy] + m.y.breaks[cy+1]) / 2}
}

// touched marks the cells through which the edge of a cut runs.
func (m *mesh) touched() []bool {
	t := make([]bool, m.x.cells()*m.y.cells())
	for _, ring := range m.piece.Outline.Cuts {
		a := ring[len(ring)-1]
		for _, b := range ring {
			for cy := m.y.cell(math.Min(a.Y, b.Y)); cy <= m.y.cell(math.Max(a.Y, b.Y)); cy++ {
				for cx := m.x.cell(math.Min(a.X, b.X)); cx <= m.x.cell(math.Max(a.X, b.X)); cx++ {
					if polygon.Meets(a, b, Point{m.x.breaks[cx], m.y.breaks[cy]}, Point{m.x.breaks[cx+1], m.y.breaks[cy+1]}) {
						t[cx+m.x.cells()*cy] = true
					}
				}
			}
			a = b
		}
	}
	return t
}

// spots returns the quadrature of a cell, by tiles within which the layers do not change: the tile by Gauss, less the cuts.
func (m *mesh) spots(cx, cy int, touched bool) (s []spot) {
	var px, py []float64
	for _, l := range m.piece.Layers {
		for _, r := range l.Parts {
			px, py = append(px, r[0], r[1]), append(py, r[2], r[3])
		}
	}
	xs, ys := tiled(m.x.breaks[cx], m.x.breaks[cx+1], px), tiled(m.y.breaks[cy], m.y.breaks[cy+1], py)
	for j := range len(ys) - 1 {
		for i := range len(xs) - 1 {
			s = tile(s, xs[i], xs[i+1], ys[j], ys[j+1])
			if touched {
				for _, ring := range m.piece.Outline.Cuts {
					s = lessCut(s, clip(ring, xs[i], xs[i+1], ys[j], ys[j+1]), Point{(xs[i] + xs[i+1]) / 2, (ys[j] + ys[j+1]) / 2})
				}
			}
		}
	}
	if touched {
		for i := range s {
			s[i].stiff = s[i].stone
			if s[i].stone > 0 {
				s[i].stiff *= 1 + ghost
			}
		}
	}
	return s
}

// tiled returns from and to with those of the places that lie between them, ascending.
func tiled(from, to float64, at []float64) []float64 {
	t := []float64{from, to}
	for _, v := range at {
		if v > from && v < to {
			t = append(t, v)
		}
	}
	slices.Sort(t)
	return slices.Compact(t)
}

// tile adds the 16 Gauss points of a rectangle.
func tile(s []spot, x0, x1, y0, y1 float64) []spot {
	hx, hy := (x1-x0)/2, (y1-y0)/2
	for _, v := range gauss4 {
		for _, u := range gauss4 {
			w := u[1] * v[1] * hx * hy
			s = append(s, spot{(x0+x1)/2 + hx*u[0], (y0+y1)/2 + hy*v[0], w, w})
		}
	}
	return s
}

// lessCut takes a polygon off: triangles from a point of the tile to each edge, with the sign of their turn, hold its
// integral for any polygon, convex or not.
func lessCut(s []spot, ring []Point, o Point) []spot {
	if len(ring) < 3 {
		return s
	}
	total := polygon.Area(ring)
	if total == 0 {
		return s
	}
	sign := -math.Copysign(1, total)
	a := ring[len(ring)-1]
	for _, b := range ring {
		if double := polygon.Turn(o, a, b); double != 0 {
			for _, u := range gauss5 {
				r := (1 + u[0]) / 2 // from o
				for _, v := range gauss5 {
					q := (1 + v[0]) / 2
					w := sign * double * u[1] * v[1] * r / 4
					s = append(s, spot{o.X + r*((1-q)*(a.X-o.X)+q*(b.X-o.X)), o.Y + r*((1-q)*(a.Y-o.Y)+q*(b.Y-o.Y)), w, w})
				}
			}
		}
		a = b
	}
	return s
}

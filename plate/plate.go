package plate

import (
	"fmt"
	"math"

	"slatewright/plate/sparse"
	"slatewright/trouble"
)

// Plate is a piece on one mesh, factorised: it answers any load, on any supports. It is not changed by its methods.
type Plate struct {
	mesh   *mesh
	factor *sparse.Factor
	pins   [3]Point
	weight []float64 // heights (as splines) under own weight and layers' growth, before any support
	rise   [3][]float64
}

// New builds the plate of a piece on cells no larger than step mm. The error is a *trouble.Trouble.
func New(p Piece, step float64) (*Plate, error) { return newPlate(p, step, nil, nil) }

// newPlate builds it with break lines where the third derivative may jump.
func newPlate(p Piece, step float64, xs, ys []knot) (*Plate, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	if o := p.Outline; !(step > 0) || o.X*o.Y/(step*step) > mostCells {
		return nil, trouble.Usage("bad-mesh", "step", fmt.Sprintf("a mesh of %g mm over %g x %g mm", step, o.X, o.Y), fmt.Sprintf("at most %d cells are worked with", mostCells))
	}
	pl := &Plate{mesh: newMesh(p, step, xs, ys)}
	if err := pl.pin(); err != nil {
		return nil, err
	}
	m := pl.mesh
	load := make([]float64, len(m.own))
	for i := range load {
		load[i] = m.own[i] + m.bend[i]
	}
	pl.weight = pl.factor.Solve(load)
	gx, gy := m.x.greville(), m.y.greville()
	for k := range pl.rise {
		pl.rise[k] = make([]float64, len(load))
	}
	for j, y := range gy {
		for i, x := range gx {
			r := pl.rigid(Point{x, y})
			for k := range r {
				pl.rise[k][i+len(gx)*j] = r[k]
			}
		}
	}
	return pl, nil
}

// mostCells is the largest mesh: a million unknowns would still be solved, in a minute.
const mostCells = 250000

// rigid is the rise at a place for each rigid movement: up, and a tilt along and across of 1 at the edge.
func (p *Plate) rigid(at Point) [3]float64 {
	o := p.mesh.piece.Outline
	return [3]float64{1, 2 * at.X / o.X, 2 * at.Y / o.Y}
}

// pin factorises the stiffness with three springs, at places far apart. Loads in balance leave the springs without force, so
// the answer to them is that of the free plate, held level at the pins, whatever the springs are; a rigid movement is
// then added.
func (p *Plate) pin() error {
	m := p.mesh
	far := func(measure func(Point) float64) (best Point) {
		most := -1.0
		for cy := range m.y.cells() {
			for cx := range m.x.cells() {
				if c := cx + m.x.cells()*cy; m.solid[c] && m.whole[c] {
					if q := m.middle(cx, cy); measure(q) > most {
						best, most = q, measure(q)
					}
				}
			}
		}
		return best
	}
	a := far(func(q Point) float64 { return math.Hypot(q.X, q.Y) })
	b := far(func(q Point) float64 { return math.Hypot(q.X-a.X, q.Y-a.Y) })
	c := far(func(q Point) float64 { return math.Abs((b.X-a.X)*(q.Y-a.Y) - (q.X-a.X)*(b.Y-a.Y)) })
	p.pins = [3]Point{a, b, c}
	o := m.piece.Outline
	spring := 50 * m.piece.section(a.X, a.Y).d[0] / (o.X * o.Y)
	k := m.k.Copy()
	for _, q := range p.pins {
		r := m.row(q)
		for i, u := range r.at {
			for j := range i + 1 {
				k.Add(r.at[j], u, spring*r.v[i]*r.v[j])
			}
		}
	}
	var err error
	if p.factor, err = sparse.NewFactor(k); err != nil {
		return trouble.Data("loose-piece", "outline", "the stiffness of the piece cannot be factorised: cuts part it, or leave a sliver", "check the cuts").Because(err)
	}
	return nil
}

// row is a linear reading of the plate: the sum of v times the splines at.
type row struct {
	at [16]int
	v  [16]float64
}

// row reads the height at a place.
func (m *mesh) row(p Point) row { return m.derivative(p, 0, 0) }

// derivative reads a derivative, dx times along x and dy times along y.
func (m *mesh) derivative(p Point, dx, dy int) (r row) {
	cx, cy := m.x.cell(p.X), m.y.cell(p.Y)
	vx, vy := m.x.at(cx, p.X), m.y.at(cy, p.Y)
	n := m.x.functions()
	for j := range 4 {
		for i := range 4 {
			r.at[i+4*j] = m.x.first[cx] + i + n*(m.y.first[cy]+j)
			r.v[i+4*j] = vx[dx][i] * vy[dy][j]
		}
	}
	return r
}

// of reads the plate with the given splines.
func (r row) of(c []float64) (s float64) {
	for i, u := range r.at {
		s += r.v[i] * c[u]
	}
	return s
}

// Nodes is how many grid points the mesh has, and Unknowns how many splines it holds.
func (p *Plate) Nodes() int { return len(p.mesh.x.breaks) * len(p.mesh.y.breaks) }

// Unknowns returns how many splines carry stone.
func (p *Plate) Unknowns() int { return p.factor.Unknowns() }

// Piece returns what is bent.
func (p *Plate) Piece() Piece { return p.mesh.piece }

// WeightN returns the weight of the piece with its layers, N.
func (p *Plate) WeightN() float64 { return p.mesh.stone }

// Middle returns the centre of gravity.
func (p *Plate) Middle() Point {
	return Point{p.mesh.lever[0] / p.mesh.stone, p.mesh.lever[1] / p.mesh.stone}
}

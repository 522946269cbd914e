package beds

import (
	"math"
	"slices"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/seating"
)

// piece is one piece of the stock. Heights are about the middle plane of its own smallest zone; u and v are places as shares of half its
// size, in its own frame.
type piece struct {
	ways   Ways
	kind   int            // which of the ways that occur
	face   *face.Face     // nil: nothing is known
	ready  *seating.Ready // made again when it is wanted, for a large face
	zone   float64        // smallest zone of the piece alone, mm
	across float64        // straightness across, mm
	along  float64        // and along: no bed with this piece is straighter, where all are read on grids
	cells  bool           // lines are judged by cells: a scan

	rows  []reading     // those that may touch a plane of a zone of at most twice reach
	reach float64       // half a zone, mm
	tilt  float64       // the most that the piece may be tilted in it, mm at half its size
	held  [3]int        // rows that hold the piece in its own smallest zone
	hold  [3][3]float64 // the moves that lift each of them off by 1
	rough bool          // rows that hold the piece were not found: package seating must be asked
	edges [2]edge       // −x, +x
}

// edge is a profile of an edge: knots in rising y.
type edge struct {
	y, u, v, z []float64
}

// widestZone is the largest zone, mm, for which the rows of a piece are kept: wider beds are asked of package seating.
const widestZone = 10.0

// largeFace is how many readings are too many to be kept in memory twice.
const largeFace = 4096

func newPiece(q Piece, spec bed.Spec, widest float64) (*piece, error) {
	p := &piece{ways: q.Ways & anyWay}
	if q.Face == nil {
		return p, nil
	}
	r, err := seating.NewReady(q.Face, spec)
	if err != nil {
		return nil, err
	}
	p.face = q.Face
	if r.TurnFixed() {
		p.ways = p.ways.Unturned()
	}
	along, across, err := r.Lines()
	if err != nil {
		return nil, err
	}
	p.across, p.along, p.cells = across.Value, along.Value, along.Cells
	zone, moves, err := r.Zone()
	if err != nil {
		return nil, err
	}
	p.zone = zone
	p.reach = min(max(widest, zone), widestZone)/2 + seating.Hold
	p.levelled(r, moves)
	p.rough = p.rough || zone > widestZone // the rows say too little
	if len(q.Face.Z) <= largeFace || p.rough {
		p.ready = r
	}
	return p, nil
}

// fresh is the piece made ready for package seating.
func (p *piece) fresh(spec bed.Spec) (*seating.Ready, error) {
	if p.ready != nil {
		return p.ready, nil
	}
	return seating.NewReady(p.face, spec)
}

// levelled puts the piece about the middle of its own smallest zone and keeps what may matter.
func (p *piece) levelled(r *seating.Ready, moves [3]float64) {
	sx, sy := r.Size()
	x, y, z := r.Readings()
	level := func(x, y, z float64) (u, v, height float64) {
		return 2 * x / sx, 2 * y / sy, z + moves[0] + moves[1]*x + moves[2]*y
	}
	u, v, h := make([]float64, len(z)), make([]float64, len(z)), make([]float64, len(z))
	for i := range z {
		u[i], v[i], h[i] = level(x[i], y[i], z[i])
	}
	for k := range p.edges {
		e := r.Edge(k == 1)
		for i := range e.Z {
			u, v, h := level(e.X[i], e.Y[i], e.Z[i])
			to := &p.edges[k]
			to.y, to.u, to.v, to.z = append(to.y, e.Y[i]), append(to.u, u), append(to.v, v), append(to.z, h)
		}
	}
	p.tilt = p.steepest(u, v)
	for _, sign := range [2]float64{1, -1} {
		for _, i := range thin(u, v, h, sign, p.tilt) {
			p.rows = append(p.rows, reading{sign, sign * u[i], sign * v[i], -sign * h[i]})
		}
	}
	p.rough = len(p.rows) >= 1<<kindBits || !p.findHeld()
}

// steepest bounds the tilts, mm at half the piece's size, with which all readings stay within reach of a plane: over two long
// differences of places the piece can rise by no more than four times reach, which makes a parallelogram of tilts.
func (p *piece) steepest(u, v []float64) float64 {
	far := func(at []float64) (a, b int) {
		for i := range at {
			if at[i] < at[a] {
				a = i
			}
			if at[i] > at[b] {
				b = i
			}
		}
		return a, b
	}
	a, b := far(u)
	e := [2]float64{u[b] - u[a], v[b] - v[a]}
	cross := make([]float64, len(u))
	for i := range cross {
		cross[i] = e[0]*v[i] - e[1]*u[i]
	}
	c, d := far(cross)
	f := [2]float64{u[d] - u[c], v[d] - v[c]}
	det := math.Abs(e[0]*f[1] - e[1]*f[0])
	rise := 4*p.reach + 1e-6
	if !(det > 1e-9) {
		return 1e6
	}
	return rise * max(math.Abs(e[0])+math.Abs(f[0]), math.Abs(e[1])+math.Abs(f[1])) / det
}

// findHeld looks for three rows, nearest to the planes of the own smallest zone, that hold a piece against height and both tilts.
func (p *piece) findHeld() bool {
	order := make([]int, len(p.rows))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		switch a, b := p.rows[i].b, p.rows[j].b; {
		case a < b:
			return -1
		case a > b:
			return 1
		}
		return 0
	})
	for _, least := range [3]float64{0.2, 1e-2, 1e-4} {
		if p.holds(order, least) {
			return true
		}
	}
	return false
}

// holds takes rows in their order, each that stands out of the span of those before by at least the given length.
func (p *piece) holds(order []int, least float64) bool {
	var base [3][3]float64
	n := 0
	for _, i := range order {
		r := p.rows[i]
		w := [3]float64{r.a0, r.a1, r.a2}
		for _, b := range base[:n] {
			along := w[0]*b[0] + w[1]*b[1] + w[2]*b[2]
			for j := range w {
				w[j] -= along * b[j]
			}
		}
		size := math.Sqrt(w[0]*w[0] + w[1]*w[1] + w[2]*w[2])
		if size < least {
			continue
		}
		for j := range w {
			base[n][j] = w[j] / size
		}
		p.held[n] = i
		if n++; n == 3 {
			return p.inverse()
		}
	}
	return false
}

// inverse works out how the piece moves when one of the three rows gives way.
func (p *piece) inverse() bool {
	var m [3][3]float64
	for k, i := range p.held {
		r := p.rows[i]
		m[k] = [3]float64{r.a0, r.a1, r.a2}
	}
	cross := func(a, b [3]float64) [3]float64 {
		return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
	}
	for k := range 3 {
		p.hold[k] = cross(m[(k+1)%3], m[(k+2)%3])
	}
	det := m[0][0]*p.hold[0][0] + m[0][1]*p.hold[0][1] + m[0][2]*p.hold[0][2]
	if !(math.Abs(det) > 1e-9) {
		return false
	}
	for k := range 3 {
		for j := range 3 {
			p.hold[k][j] /= det
		}
	}
	return true
}

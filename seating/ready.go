package seating

import (
	"slatewright/bed"
	"slatewright/face"
	"slatewright/flatness"
	"slatewright/lowlp"
	"slatewright/trouble"
)

// Ready is a piece made ready once for many beds: what its face says of zone and joints, with the moves that level it taken in.
// Safe for concurrent use.
type Ready struct {
	piece *piece
	spec  bed.Spec
	edges [2]Edge
}

// Edge is the height of one edge of a piece along y, level as Readings are: knots in rising y, in the piece's own frame, joined
// in a straight line. It has fewer than two knots when nothing is known of the edge.
type Edge struct{ X, Y, Z []float64 }

// NewReady prepares a face. Errors are those of Seat.
func NewReady(f *face.Face, spec bed.Spec) (*Ready, error) {
	if f == nil {
		return nil, trouble.Own("no-face", "seating", "a piece without a face cannot be seated", "report this")
	}
	p, err := newPiece(f, spec)
	if err != nil {
		return nil, err
	}
	r := &Ready{piece: p, spec: spec}
	for e, pr := range p.edges {
		for _, k := range pr.knots {
			edge := &r.edges[e]
			edge.X, edge.Y = append(edge.X, k.x), append(edge.Y, k.y)
			edge.Z = append(edge.Z, moved(k.z(p.face.Z), k.x, k.y, p.start[:]))
		}
	}
	return r, nil
}

// Name is the face's name, for messages.
func (r *Ready) Name() string { return r.piece.name }

// Size returns the size of the piece, mm.
func (r *Ready) Size() (x, y float64) { return r.piece.sizeX, r.piece.sizeY }

// TurnFixed tells whether the piece may not be turned.
func (r *Ready) TurnFixed() bool { return r.piece.face.TurnFixed }

// Readings returns the places of the readings that count for the zone, in the piece's own frame, and their heights about the
// piece's mean plane, mm. Those of a scan are all readings.
func (r *Ready) Readings() (x, y, z []float64) {
	p := r.piece
	z = make([]float64, len(p.z))
	for i := range z {
		z[i] = moved(p.z[i], p.x[i], p.y[i], p.start[:])
	}
	return p.x, p.y, z
}

// Edge returns the profile of the edge at +x or at −x.
func (r *Ready) Edge(plus bool) Edge {
	if plus {
		return r.edges[plusEdge]
	}
	return r.edges[minusEdge]
}

// Lines is the straightness of the piece alone along and across the table, mm, as flatness.Lines judges it. The piece in a bed is no straighter:
// across it has the same where no piece of the bed is a scan, for a line across lies in one piece.
func (r *Ready) Lines() (along, across flatness.Course, err error) {
	x, y, z := r.Readings()
	return flatness.Lines(flatness.Points{X: x, Y: y, Z: z}, nil)
}

// Laid is three ready pieces seated in stated places and turns.
type Laid struct {
	Feasible bool // the step limit can be met; if not, the rest is 0
	// Zone and Step are what the wishes reach: the smallest zone under the limit of the steps, then the smallest larger step.
	Zone, Step float64
	Figures    // after the wishes asked for, mm
}

// LayReady seats head, centre and foot, those that are marked turned by half a turn: the smallest zone with steps of at most maxStep,
// then the smallest larger step. With last, the rest of the wishes of Seat follow, and the figures are those that Seat
// gives for this arrangement. Errors: a joint of which nothing is known. It is slow: sets/beds has the quick way.
func LayReady(pieces [3]*Ready, turned [3]bool, maxStep float64, last bool) (Laid, error) {
	b := &bench{spec: pieces[0].spec}
	for k, r := range pieces {
		b.pieces[k] = r.piece
	}
	race, _, err := b.race([]arrangement{{index: orders[0], turned: turned}})
	if err != nil {
		return Laid{}, err
	}
	l := race[0]
	if err := l.flattest([2]float64{maxStep, maxStep}); err != nil || !l.feasible {
		return Laid{}, err
	}
	if err := l.thenStep(); err != nil {
		return Laid{}, err
	}
	out := Laid{Feasible: true, Zone: l.zone, Step: l.larger()}
	if last {
		if _, err = theRest(race); err != nil {
			return Laid{}, err
		}
	}
	out.Figures, err = b.measured(l, l.moves)
	return out, err
}

// Zone is the smallest zone of the piece alone, mm, and the moves (height, tilts in mm per mm) that put the level piece into the middle
// of it: no bed with this piece has a smaller one.
func (r *Ready) Zone() (zone float64, moves [3]float64, err error) {
	p := r.piece
	sol, err := lowlp.Solve(lowlp.Problem{Cost: []float64{0, 0, 0, 1}, Rows: &lowRows{p}, Start: append(p.start[:3:3], 0)})
	if err != nil {
		return 0, moves, err
	}
	if sol.Status != lowlp.Optimal {
		return 0, moves, trouble.Own("zone-unbounded", r.Name(), "the smallest zone has no bound", "report this with the readings")
	}
	for k := range moves {
		moves[k] = sol.V[k] - p.start[k]
	}
	return 2 * max(0, sol.Value), moves, nil
}

// lowRows are the readings of one piece within half a zone, the last unknown.
type lowRows struct{ *piece }

// Dim returns 4.
func (s *lowRows) Dim() int { return 4 }

// Row is reading i/2, from above and from below.
func (s *lowRows) Row(i int, a []float64) float64 {
	sign := 1.0
	if i%2 == 1 {
		sign = -1
	}
	i /= 2
	a[0], a[1], a[2], a[3] = sign, sign*s.x[i], sign*s.y[i], -1
	return float64(-sign * s.z[i])
}

// Worst scans all readings.
func (s *lowRows) Worst(v []float64, ray bool, yield func(int, float64)) {
	block := smallBlock
	if len(s.z) >= manyReadings {
		block = largeBlock
	}
	for _, e := range s.scanBlocks(v[:3], ray, block) {
		if e.high > v[3] {
			yield(2*e.highAt, e.high-v[3])
		}
		if -e.low > v[3] {
			yield(2*e.lowAt+1, -e.low-v[3])
		}
	}
}

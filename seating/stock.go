package seating

import (
	"slatewright/bed"
	"slatewright/face"
	"slatewright/trouble"
)

// Stock is pieces made ready for trying many triples: each face is prepared once.
type Stock struct {
	spec   bed.Spec
	pieces []*piece
}

// Trial is the flattest bed of three pieces of a stock, not proven, without shims and levels.
type Trial struct {
	Index    [3]int // of the stock: head, centre, foot
	Turned   [3]bool
	Feasible bool // the step limit can be met
	Figures
}

// NewStock prepares the faces. Errors are those of Seat.
func NewStock(faces []*face.Face, spec bed.Spec) (*Stock, error) {
	s := &Stock{spec: spec}
	for _, f := range faces {
		p, err := newPiece(f, spec)
		if err != nil {
			return nil, err
		}
		s.pieces = append(s.pieces, p)
	}
	return s, nil
}

// Len returns the number of pieces.
func (s *Stock) Len() int { return len(s.pieces) }

// Try lays three pieces of the stock together in every place and turn they allow: the smallest zone with steps of at most
// maxStep, then the smallest larger step, as Seat does with AnyPlace. Safe for concurrent use.
func (s *Stock) Try(i, j, k int, maxStep float64) (Trial, error) {
	if i == j || j == k || i == k {
		return Trial{}, trouble.Own("same-piece", "seating", "a bed needs three different pieces", "report this")
	}
	b := &bench{spec: s.spec, pieces: [3]*piece{s.pieces[i], s.pieces[j], s.pieces[k]}}
	race, _, err := b.race(arrangements(b.fixed(), true))
	if err != nil {
		return Trial{}, err
	}
	limit := [2]float64{maxStep, maxStep}
	race, err = wish(race, func(l *laid) error { return l.flattest(limit) }, func(l *laid) float64 { return l.zone })
	if err != nil || len(race) == 0 {
		return Trial{Index: [3]int{i, j, k}}, err
	}
	race, err = wish(race, func(l *laid) error { return l.thenStep() }, func(l *laid) float64 { return l.larger() })
	if err != nil {
		return Trial{}, err
	}
	return s.trial([3]int{i, j, k}, b, race[0])
}

func (s *Stock) trial(index [3]int, b *bench, l *laid) (Trial, error) {
	f, err := b.measured(l, l.moves)
	t := Trial{Turned: l.turned, Feasible: true, Figures: f}
	for place := range 3 {
		t.Index[place] = index[l.index[place]]
	}
	return t, err
}

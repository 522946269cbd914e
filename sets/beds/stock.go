package beds

import (
	"math"

	"slatewright/bed"
	"slatewright/seating"
)

// Stock is pieces made ready for asking. Safe for concurrent use.
type Stock struct {
	spec    bed.Spec
	classes []Limits
	weights Weights
	pieces  []*piece
}

// piece is one piece of the stock.
type piece struct {
	ways   Ways
	ready  *seating.Ready // nil: no face
	zone   float64        // smallest zone of the piece alone, mm
	across float64        // straightness across, mm
}

func newPiece(q Piece, spec bed.Spec) (*piece, error) {
	p := &piece{ways: q.Ways & anyWay}
	if q.Face == nil {
		return p, nil
	}
	r, err := seating.NewReady(q.Face, spec)
	if err != nil {
		return nil, err
	}
	p.ready = r
	if r.TurnFixed() {
		p.ways = p.ways.Unturned()
	}
	if p.across, _, err = r.Across(); err != nil {
		return nil, err
	}
	p.zone, err = r.Zone()
	return p, err
}

// Len returns the number of pieces.
func (s *Stock) Len() int { return len(s.pieces) }

// Own returns the smallest zone and the straightness across of a piece alone, mm, inside the edge band and as a bed judges
// them; 0 for a piece without a face.
func (s *Stock) Own(i int) (zone, across float64) { return s.pieces[i].zone, s.pieces[i].across }

// Floors writes for every k > j into floors[k−j−1] a number that the cost of {i, j, k} is never below, i < j < k; +Inf where no
// arrangement can conform to any class.
func (s *Stock) Floors(i, j int, floors []float64) {
	for k := j + 1; k < len(s.pieces); k++ {
		floors[k-j-1] = s.floor([3]int{i, j, k})
	}
}

// floor is the zone of the widest piece and the least joints.
func (s *Stock) floor(index [3]int) float64 {
	least := math.Inf(1)
	for _, a := range arrangements {
		if s.allowed(index, a) {
			i := a.of(index)
			least = min(least, s.joint(i[0], i[1])+s.joint(i[1], i[2]))
		}
	}
	zone, seated := 0.0, true
	for _, i := range index {
		zone, seated = max(zone, s.pieces[i].zone), seated && s.pieces[i].ready != nil
	}
	if last := s.classes[len(s.classes)-1]; seated && zone <= last.Zone+seating.Hold {
		return least + s.weights.Zone*(zone-seating.Hold)
	} else if seated {
		return math.Inf(1)
	}
	return least
}

// arrangement says which of three pieces lies where, and how.
type arrangement struct {
	place  [3]int8 // of the three: head, centre, foot
	turned [3]bool
}

// arrangements are all 48, the preferred ones first: fewest turned pieces, then by the pieces' order, then by the turns.
var arrangements = func() (list []arrangement) {
	orders := [6][3]int8{{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}}
	for turns := range 4 {
		for _, place := range orders {
			for t := range 8 {
				a := arrangement{place: place}
				n := 0
				for k := range 3 {
					if a.turned[k] = t>>(2-k)&1 == 1; a.turned[k] {
						n++
					}
				}
				if n == turns {
					list = append(list, a)
				}
			}
		}
	}
	return list
}()

func (a arrangement) of(index [3]int) [3]int {
	return [3]int{index[a.place[0]], index[a.place[1]], index[a.place[2]]}
}

// allowed tells whether the pieces may lie so.
func (s *Stock) allowed(index [3]int, a arrangement) bool {
	i := a.of(index)
	for k := range 3 {
		if !s.pieces[i[k]].ways.Has(bed.Place(k), a.turned[k]) {
			return false
		}
	}
	return true
}

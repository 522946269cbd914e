package beds

import (
	"math"
	"slices"

	"slatewright/bed"
	"slatewright/seating"
)

// Stock is pieces made ready for asking. Safe for concurrent use.
type Stock struct {
	spec    bed.Spec
	classes []Limits
	nested  bool // a bed of one class is one of every looser class
	weights Weights

	pieces  []*piece     // by rank: the flattest alone first
	order   []int        // of each rank, the piece of the stock
	rank    []int        // of each piece of the stock
	kinds   [][][]uint64 // arrangements of three pieces by their kinds
	halves  [][][]uint64 // of them, one of every two that are one bed
	pairs   pairs
	meeting [][]float64 // by ranks: cost of meeting at a joint; nil: nothing
	floors  floors

	widest   float64 // largest zone that conforms to any class
	broadest float64 // the same across
	longest  float64 // the same along
	slack    float64 // see the function of that name
	tie      float64 // how near two costs count as equal
}

// Len returns the number of pieces.
func (s *Stock) Len() int { return len(s.pieces) }

// Own returns the smallest zone and the straightness across of a piece alone, mm, inside the edge band and as a bed judges
// them; 0 for a piece without a face.
func (s *Stock) Own(i int) (zone, across float64) {
	p := s.pieces[s.rank[i]]
	return p.zone, p.across
}

// lineUp sorts the pieces by their own zones.
func (s *Stock) lineUp() {
	order := make([]int, len(s.pieces))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		switch a, b := s.pieces[i].zone, s.pieces[j].zone; {
		case a < b:
			return -1
		case a > b:
			return 1
		}
		return 0
	})
	s.order, s.rank = order, make([]int, len(order))
	pieces := make([]*piece, len(order))
	for r, i := range order {
		pieces[r], s.rank[i] = s.pieces[i], r
	}
	s.pieces = pieces
}

// meetAll asks once for the cost of every meeting.
func (s *Stock) meetAll() {
	if s.weights.Joint == nil {
		return
	}
	n := len(s.pieces)
	s.meeting = make([][]float64, n)
	for a := range s.meeting {
		s.meeting[a] = make([]float64, n)
	}
	for i := range n {
		for j := i + 1; j < n; j++ {
			cost := s.weights.Joint(i, j)
			a, b := s.rank[i], s.rank[j]
			s.meeting[a][b], s.meeting[b][a] = cost, cost
		}
	}
}

// sortWays lists the ways that occur, and the arrangements of every three of them.
func (s *Stock) sortWays() {
	var list []Ways
	for _, p := range s.pieces {
		k := slices.Index(list, p.ways)
		if k < 0 {
			k, list = len(list), append(list, p.ways)
		}
		p.kind = k
	}
	s.kinds, s.halves = make([][][]uint64, len(list)), make([][][]uint64, len(list))
	for a := range list {
		s.kinds[a], s.halves[a] = make([][]uint64, len(list)), make([][]uint64, len(list))
		for b := range list {
			for c := range list {
				some := allowed([3]Ways{list[a], list[b], list[c]})
				s.kinds[a][b], s.halves[a][b] = append(s.kinds[a][b], some), append(s.halves[a][b], either(some))
			}
		}
	}
}

// allowed are the arrangements of three pieces, as bits.
func (s *Stock) allowed(a, b, c *piece) uint64 { return s.kinds[a.kind][b.kind][c.kind] }

// joint is the cost of two pieces' meeting.
func (s *Stock) joint(i, j int) float64 {
	if s.meeting == nil {
		return 0
	}
	return s.meeting[s.rank[i]][s.rank[j]]
}

// hardly is how much straighter a line may seem for being tilted otherwise, mm.
const hardly = 1e-6

// unlined forgets the straightness along the pieces when some are scans: a bed with a scan is judged by cells, and those of one piece are others.
func (s *Stock) unlined() {
	if slices.ContainsFunc(s.pieces, func(p *piece) bool { return p.cells }) {
		for _, p := range s.pieces {
			p.along = 0
		}
	}
}

// nested tells whether every limit rises from class to class.
func nested(classes []Limits) bool {
	for c := 1; c < len(classes); c++ {
		if a, b := &classes[c-1], &classes[c]; b.MaxStep < a.MaxStep || b.Zone < a.Zone || b.Lengthwise < a.Lengthwise || b.Across < a.Across {
			return false
		}
	}
	return true
}

// largest are the limits beyond which a bed conforms to no class.
func (s *Stock) largest() {
	for _, c := range s.classes {
		s.widest, s.broadest, s.longest = max(s.widest, c.Zone+seating.Hold), max(s.broadest, c.Across), max(s.longest, c.Lengthwise+hardly)
	}
}

// Stats says what was worked out for a stock.
type Stats struct {
	Pieces, Known int // pieces, and those of which there is a face
	Joints        int // ways in which an edge of one piece may meet an edge of another
	Close         int // those that can close within the steps of some class, or of which that is not known
	Triples       int // of all pieces
}

// Stats counts.
func (s *Stock) Stats() Stats {
	n := len(s.pieces)
	t := Stats{Pieces: n, Triples: n * (n - 1) * (n - 2) / 6}
	for _, p := range s.pieces {
		if p.face != nil {
			t.Known++
		}
	}
	for _, r := range s.pairs {
		for _, own := range r.own {
			for _, step := range own {
				if t.Joints++; !math.IsInf(step, 1) {
					t.Close++
				}
			}
		}
	}
	return t
}

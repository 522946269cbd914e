package beds

import (
	"math"

	"slatewright/cores"
	"slatewright/seating"
)

// pairs are the floors of the joints of all pairs of pieces, by rank, a < b, with each edge of a against each of b. Row a has those of a.
type pairs []row

type row struct {
	first []int32 // of each function, its first line; one more at the end. Functions: four for each b, by the edges of a and of b
	list  lines
	skew  []bool         // of each function: the stations depend on the direction
	own   [][4]float64   // for each b: the four floors at the larger of the own zones
	need  [][][4]float64 // for each class and b: half the zone at which they are within the steps of the class
}

// of is the floor for the edges ea of a and eb of b, 0 for −x, 1 for +x, and whether its stations depend on the direction.
func (q pairs) of(a, ea, b, eb int) (lines, bool) {
	if a > b {
		a, ea, b, eb = b, eb, a, ea
	}
	r := &q[a]
	k := 4*(b-a-1) + 2*ea + eb
	return r.list[r.first[k]:r.first[k+1]], r.skew[k]
}

// newPairs traces all of them, on all cores, up to half a zone of most.
func (s *Stock) newPairs(most float64) pairs {
	n := len(s.pieces)
	q := make(pairs, n)
	cores.Share(n, 4, func(from, to int) {
		var t tracer
		for i := from; i < to; i++ {
			a := i / 2 // long rows and short ones in turn
			if i%2 == 1 {
				a = n - 1 - i/2
			}
			q[a] = t.row(s, a, most)
		}
	})
	return q
}

// tracer traces one joint after the other, with room to work in.
type tracer struct {
	program program
	meeting []crossing
	list    lines
}

func (t *tracer) row(s *Stock, a int, most float64) row {
	pieces := s.pieces
	n := len(pieces)
	r := row{first: make([]int32, 1, 4*(n-a)+1), skew: make([]bool, 0, 4*(n-a)), own: make([][4]float64, 0, n-a),
		need: make([][][4]float64, len(s.classes))}
	t.list = t.list[:0]
	for b := a + 1; b < n; b++ {
		var own [4]float64
		for e := range 4 {
			from := len(t.list)
			skew := t.joint(s, pieces[a], e/2, pieces[b], e%2, most)
			r.first, r.skew = append(r.first, int32(len(t.list))), append(r.skew, skew)
			if from < len(t.list) {
				own[e] = max(0, t.list[from].s)
			}
		}
		r.own = append(r.own, own)
		for c := range s.classes {
			var need [4]float64
			for e := range need {
				k := len(r.first) - 5 + e
				need[e] = t.list[r.first[k]:r.first[k+1]].reaches(s.classes[c].MaxStep+grain, 0)
			}
			r.need[c] = append(r.need[c], need)
		}
	}
	r.list = append(lines(nil), t.list...)
	return r
}

// joint traces one joint; a lies on the head side. Nothing is traced where no bed can be, or where the rows of a piece are not known.
func (t *tracer) joint(s *Stock, a *piece, ea int, b *piece, eb int, most float64) (skew bool) {
	if a.face == nil || b.face == nil || max(a.zone, b.zone)/2 > most {
		return false
	}
	list, apart := meet(t.meeting[:0], a.headSide(ea == 0), b.footSide(eb == 1))
	if len(list) == 0 {
		t.list = append(t.list, line{0, math.Inf(1), 0})
		return false
	}
	t.meeting = list
	if a.rough || b.rough {
		return apart > 0
	}
	p := &t.program
	p.pieces = [3]*piece{a, b, nil}
	p.joints[0] = list
	from := len(t.list)
	t.list = p.trace(t.list, most)
	for k := from; k < len(t.list); k++ {
		t.list[k].s -= apart
	}
	if !s.closes(t.list[from:]) {
		t.list = append(t.list[:from], line{0, math.Inf(1), 0})
	}
	return apart > 0
}

// closes tells whether a joint can keep the steps of any class inside its zone.
func (s *Stock) closes(f lines) bool {
	for _, c := range s.classes {
		if f.at(c.Zone/2+2*seating.Hold) <= c.MaxStep+grain { // the last line, carried on, is a floor beyond what was traced
			return true
		}
	}
	return false
}

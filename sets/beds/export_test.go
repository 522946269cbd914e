package beds

import (
	"fmt"
	"math"

	"slatewright/seating"
)

// Slowly is Price through package seating alone.
func (s *Stock) Slowly(i, j, k int) Bed {
	if list := s.BedsSlowly(i, j, k); len(list) > 0 {
		return list[0]
	}
	return Bed{Index: [3]int{i, j, k}}
}

// BedsSlowly is Beds through package seating alone: every class is asked for, whether or not another bed serves it.
func (s *Stock) BedsSlowly(i, j, k int) (list []Bed) {
	served := uint32(0)
	for c := range s.classes {
		if b, ok := s.slowly([3]int{i, j, k}, c); ok && served>>c&1 == 0 {
			list, served = append(list, b), served|b.Serves
		}
	}
	return list
}

// Unkept is the stock without its table of floors.
func (s *Stock) Unkept() *Stock {
	c := *s
	c.floors = floors{}
	return &c
}

// Trace says what the tables hold.
func (s *Stock) Trace() string {
	lines, longest, rows, rough := 0, 0, 0, 0
	for _, r := range s.pairs {
		lines += len(r.list)
		for k := range len(r.first) - 1 {
			longest = max(longest, int(r.first[k+1]-r.first[k]))
		}
	}
	for _, p := range s.pieces {
		rows += len(p.rows)
		if p.rough {
			rough++
		}
	}
	return fmt.Sprintf("%d lines, longest %d, %d rows a piece, %d rough", lines, longest, rows/len(s.pieces), rough)
}

// Joint is the floor of the larger step at a joint, piece i with its edge ei on the head side, and what the program of the two pieces finds at
// that zone; NaN where none is known.
func (s *Stock) Joint(i, ei, j, ej int, zone float64) (floor, exact float64) {
	f, _ := s.pairs.of(s.rank[i], ei, s.rank[j], ej)
	a, b := s.pieces[s.rank[i]], s.pieces[s.rank[j]]
	p := program{pieces: [3]*piece{a, b}, n: 2, d: 7, half: zone/2 + seating.Hold/2}
	p.joints[0], _ = meet(nil, a.headSide(ei == 0), b.footSide(ej == 1))
	if len(p.joints[0]) == 0 {
		return f.at(p.half), math.NaN()
	}
	p.begin()
	if p.solve(math.Inf(1)) != solved {
		return f.at(p.half), math.NaN()
	}
	return f.at(p.half), p.x[6]
}

// Needs is half the zone from which on a floor is within step.
func (s *Stock) Needs(i, ei, j, ej int, step float64) float64 {
	f, _ := s.pairs.of(s.rank[i], ei, s.rank[j], ej)
	return f.reaches(step, 0)
}

// Thin is thin.
func Thin(u, v, z []float64, sign, reach float64) []int { return thin(u, v, z, sign, reach) }

// Reach is half the zone up to which a piece's rows say all, and the rows as (sign, sign·u, sign·v, −sign·z).
func (s *Stock) Reach(i int) (half float64, rows [][4]float64) {
	p := s.pieces[s.rank[i]]
	for _, r := range p.rows {
		rows = append(rows, [4]float64{r.a0, r.a1, r.a2, r.b})
	}
	return p.reach, rows
}

// Arrangements lists the places and turns of all arrangements, and the number of each one's mirror image.
func Arrangements() (places [][3]int8, turned [][3]bool, mirror []int8) {
	for _, a := range arrangements {
		places, turned, mirror = append(places, a.place), append(turned, a.turned), append(mirror, a.mirror)
	}
	return places, turned, mirror
}

// Roughen makes Price ask package seating for every bed of piece i.
func (s *Stock) Roughen(i int) { s.pieces[s.rank[i]].rough = true }

package beds

import (
	"fmt"
	"math"
)

// Trace is what the tables hold, for measuring.
func (s *Stock) Trace() string {
	q := s.pairs
	lines, longest, rows, rough := 0, 0, 0, 0
	for _, r := range q {
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

// Slowly is Price through package seating alone.
func (s *Stock) Slowly(i, j, k int) Bed {
	for c := range s.classes {
		if b, ok := s.slowly([3]int{i, j, k}, c); ok {
			return b
		}
	}
	return Bed{Index: [3]int{i, j, k}}
}

func (s *Stock) Explain(i, j, k, c int) (out string) {
	q := s.question(i, j, k)
	for _, a := range q.candidates(nil, c) {
		at := &arrangements[a.number]
		b, ok := q.lay(a, c, math.Inf(1))
		slow, ok2 := s.slowBed(q.index, at, c)
		out += fmt.Sprintf("%v %v %+v\n  %v %+v\n  %v %+v\n", at.place, at.turned, a, ok, b, ok2, slow)
	}
	return out
}

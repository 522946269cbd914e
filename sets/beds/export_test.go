package beds

import "fmt"

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

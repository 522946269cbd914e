package traverse

import (
	"cmp"
	"math"
	"slices"
)

// Strip returns the least distance of two parallel straight lines that hold the profile z over s, all in mm: the straightness of
// ISO 1101 in the plane of the profile. The strip lies against an edge of one of the two hulls and touches the other at its farthest
// point.
func Strip(s, z []float64) float64 {
	order := make([]int, len(s))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(s[a], s[b]), cmp.Compare(z[a], z[b]), cmp.Compare(a, b))
	})
	lower, upper := hull(order, s, z, 1), hull(order, s, z, -1)
	best := math.Inf(1)
	for side, edges := range [][]int{lower, upper} {
		others, sign := [][]int{upper, lower}[side], []float64{1, -1}[side]
		for k := 1; k < len(edges); k++ {
			best = min(best, across(edges[k-1], edges[k], others, sign, s, z))
		}
	}
	if math.IsInf(best, 1) {
		return 0
	}
	return best
}

// across is the distance from the line over the edge a to b to the farthest of the others, square to the line.
func across(a, b int, others []int, sign float64, s, z []float64) float64 {
	slope := (z[b] - z[a]) / (s[b] - s[a])
	far := 0.0
	for _, i := range others {
		far = max(far, sign*(z[i]-z[a]-float64(slope*(s[i]-s[a]))))
	}
	return far / math.Sqrt(1+float64(slope*slope))
}

// hull is the lower hull of the profile (turn 1) or the upper one (turn −1), by rising s.
func hull(order []int, s, z []float64, turn float64) []int {
	var h []int
	for _, i := range order {
		if n := len(h); n > 0 && s[h[n-1]] == s[i] {
			if turn*(z[i]-z[h[n-1]]) >= 0 {
				continue
			}
			h = h[:n-1]
		}
		for len(h) >= 2 && turn*bend(h[len(h)-2], h[len(h)-1], i, s, z) <= 0 {
			h = h[:len(h)-1]
		}
		h = append(h, i)
	}
	return h
}

// bend is positive if the profile turns upward at b.
func bend(a, b, c int, s, z []float64) float64 {
	return float64((s[b]-s[a])*(z[c]-z[a])) - float64((s[c]-s[a])*(z[b]-z[a]))
}

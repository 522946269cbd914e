package flatness

import (
	"math"
	"slices"
)

// hull returns the corners of the convex hull of the points (s, z), as indices, counter-clockwise from the leftmost
// (lowest of equals): Andrew's monotone chain (1979). Points on an edge are left out. One point gives one corner, points on
// a line give two.
func hull(s, z []float64) []int {
	order := make([]int, len(s))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		switch {
		case s[a] != s[b]:
			return sign(s[a] - s[b])
		case z[a] != z[b]:
			return sign(z[a] - z[b])
		}
		return a - b
	})
	chain := make([]int, 0, len(s)+1)
	half := func(order func(k int) int, floor int) {
		for k := range s {
			i := order(k)
			if len(chain) > 0 && s[i] == s[chain[len(chain)-1]] && z[i] == z[chain[len(chain)-1]] {
				continue
			}
			for len(chain) >= floor+2 && turn(s, z, chain[len(chain)-2], chain[len(chain)-1], i) <= 0 {
				chain = chain[:len(chain)-1]
			}
			chain = append(chain, i)
		}
	}
	half(func(k int) int { return order[k] }, 0)
	if len(chain) == 1 {
		return chain
	}
	half(func(k int) int { return order[len(order)-1-k] }, len(chain)-1)
	return chain[:len(chain)-1]
}

func sign(x float64) int {
	switch {
	case x < 0:
		return -1
	case x > 0:
		return 1
	}
	return 0
}

// turn is twice the area of the triangle a, b, c: positive if it turns left.
func turn(s, z []float64, a, b, c int) float64 {
	return float64((s[b]-s[a])*(z[c]-z[a])) - float64((z[b]-z[a])*(s[c]-s[a]))
}

// narrowest returns the smallest width of the points, over all directions, and what holds it: two corners on one side and
// one on the other. The smallest width of a convex polygon stands on an edge (Toussaint 1983, rotating calipers).
func narrowest(s, z []float64) (width float64, on [3]int) {
	h := hull(s, z)
	if len(h) < 3 {
		return 0, [3]int{h[0], h[len(h)-1], h[0]}
	}
	width = math.Inf(1)
	far := 1
	for k := range h {
		a, b := h[k], h[(k+1)%len(h)]
		for turn(s, z, a, b, h[(far+1)%len(h)]) > turn(s, z, a, b, h[far%len(h)]) {
			far++
		}
		ds, dz := s[b]-s[a], z[b]-z[a]
		if w := turn(s, z, a, b, h[far%len(h)]) / (vector{ds, dz, 0}).length(); w < width {
			width, on = w, [3]int{a, b, h[far%len(h)]}
		}
	}
	return width, on
}

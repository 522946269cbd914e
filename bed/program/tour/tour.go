// Package tour finds the order in which to visit places so that little way is lost between them: an open tour from a place to begin at, over all
// stops, to a place to end at or to wherever it ends.
//
// A stop may be left elsewhere than it is reached. Up to [Exact] stops the shortest tour is found by dynamic programming over subsets (Bellman 1962; Held
// and Karp 1962). Beyond, tours from several beginnings are improved by reversing and moving stretches (2-opt and Or-opt) and kicked out of the local best
// by seeded draws, and a bound that no tour can go below stands beside the result: a least tree over the places with prices on them, raised by subgradients
// (Held and Karp 1970, 1971).
//
// The same stops give the same tour. The package knows no tools, feeds or stone.
package tour

import (
	"math"

	"slatewright/chance"
)

// Exact is the largest number of stops for which the shortest tour is found for certain.
const Exact = 12

// Point is a place in the plane.
type Point struct{ X, Y float64 }

// Stop is something to visit: reached at In, left at Out.
type Stop struct{ In, Out Point }

// At is a stop that is left where it is reached.
func At(p Point) Stop { return Stop{p, p} }

// Tour is an order of the stops.
type Tour struct {
	Order  []int
	Length float64 // way between the stops, from the beginning to the end, mm
	Bound  float64 // no tour is shorter; equal to Length where Proven
	Proven bool    // no tour is shorter
}

// problem holds the ways: between[i][j] from stop i to stop j, from the beginning to each, from each to the end (0 where the end is free).
type problem struct {
	between  [][]float64
	from, to []float64
}

func way(a, b Point) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }

// Solve orders the stops. end is nil where the tour may end at any of them.
func Solve(begin Point, stops []Stop, end *Point) Tour {
	n := len(stops)
	if n == 0 {
		l := 0.0
		if end != nil {
			l = way(begin, *end)
		}
		return Tour{Length: l, Bound: l, Proven: true}
	}
	p := ways(begin, stops, end)
	if n <= Exact {
		order := p.exact()
		l := p.length(order)
		return Tour{Order: order, Length: l, Bound: l, Proven: true}
	}
	order := p.search()
	t := Tour{Order: order, Length: p.length(order)}
	t.Bound = math.Min(t.Length, p.bound(t.Length))
	t.Proven = t.Length-t.Bound <= 1e-6*t.Length
	return t
}

// ways works out the way from each to each.
func ways(begin Point, stops []Stop, end *Point) *problem {
	n := len(stops)
	p := &problem{between: make([][]float64, n), from: make([]float64, n), to: make([]float64, n)}
	for i, s := range stops {
		p.between[i] = make([]float64, n)
		for j, t := range stops {
			p.between[i][j] = way(s.Out, t.In)
		}
		p.from[i] = way(begin, s.In)
		if end != nil {
			p.to[i] = way(s.Out, *end)
		}
	}
	return p
}

func (p *problem) length(order []int) float64 {
	l := p.from[order[0]] + p.to[order[len(order)-1]]
	for i := 1; i < len(order); i++ {
		l += p.between[order[i-1]][order[i]]
	}
	return l
}

// exact is the dynamic program: best[set][last] is the shortest way that has visited a set and stands at its last.
func (p *problem) exact() []int {
	n := len(p.from)
	best := make([][]float64, 1<<n)
	came := make([][]int8, 1<<n)
	for set := 1; set < 1<<n; set++ {
		best[set], came[set] = make([]float64, n), make([]int8, n)
		for last := range n {
			best[set][last], came[set][last] = math.Inf(1), -1
			rest := set &^ (1 << last)
			if set&(1<<last) == 0 {
				continue
			}
			if rest == 0 {
				best[set][last] = p.from[last]
				continue
			}
			for before := range n {
				if rest&(1<<before) == 0 {
					continue
				}
				if l := best[rest][before] + p.between[before][last]; l < best[set][last] {
					best[set][last], came[set][last] = l, int8(before)
				}
			}
		}
	}
	set, last := 1<<n-1, 0
	for i := range n {
		if best[set][i]+p.to[i] < best[set][last]+p.to[last] {
			last = i
		}
	}
	order := make([]int, n)
	for k := n - 1; k >= 0; k-- {
		order[k] = last
		before := int(came[set][last])
		set &^= 1 << last
		last = before
	}
	return order
}

// kicks is how often a good tour is kicked to find a better one.
const kicks = 150

// search improves the nearest-neighbour tours from each stop, and kicks the best of them.
func (p *problem) search() []int {
	n := len(p.from)
	var best []int
	length := math.Inf(1)
	for first := range n {
		order := p.nearest(first)
		p.improve(order)
		if l := p.length(order); l < length-1e-9 {
			best, length = order, l
		}
	}
	draws := chance.NewStream(1)
	for range kicks {
		order := kicked(best, draws)
		p.improve(order)
		if l := p.length(order); l < length-1e-9 {
			best, length = order, l
		}
	}
	return best
}

func (p *problem) nearest(first int) []int {
	order := []int{first}
	seen := make([]bool, len(p.from))
	seen[first] = true
	for len(order) < len(p.from) {
		last, next := order[len(order)-1], -1
		for j := range p.from {
			if !seen[j] && (next < 0 || p.between[last][j] < p.between[last][next]) {
				next = j
			}
		}
		seen[next] = true
		order = append(order, next)
	}
	return order
}

// kicked parts an order at three places and puts the middle parts the other way about (a double bridge).
func kicked(order []int, draws *chance.Stream) []int {
	n := len(order)
	a, b, c := draws.IntN(n+1), draws.IntN(n+1), draws.IntN(n+1)
	if a > b {
		a, b = b, a
	}
	if b > c {
		b, c = c, b
	}
	if a > b {
		a, b = b, a
	}
	out := append([]int{}, order[:a]...)
	out = append(out, order[b:c]...)
	out = append(out, order[a:b]...)
	return append(out, order[c:]...)
}

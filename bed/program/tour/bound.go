package tour

import "math"

// steps is how often prices are raised; more of them no longer help on beds.
const steps = 400

// bound is a length that no tour is below. A tour over the stops is a tree in which each stop has two ways, counting the one to the beginning and the one to
// the end. So for any price on each stop, added to each way that touches it, the least such tree with the least beginning and end, less twice the prices,
// bounds every tour; the prices are raised where the tree has too many ways and lowered where it has too few. Ways that differ there and back count as the
// shorter. above is the length of a known tour.
func (p *problem) bound(above float64) float64 {
	n := len(p.from)
	price, best := make([]float64, n), 0.0
	pace, since := 1.0, 0
	ways := make([]int, n)
	for range steps {
		l := p.tree(price, ways)
		if l > best {
			best, since = l, 0
		} else if since++; since == 15 {
			pace, since = pace/2, 0
		}
		norm := 0.0
		for _, w := range ways {
			norm += float64((w - 2) * (w - 2))
		}
		if norm == 0 || l >= above {
			break
		}
		by := pace * (above - l) / norm
		for i, w := range ways {
			price[i] += by * float64(w-2)
		}
	}
	return best
}

// tree is the least tree over the stops by Prim's way, with prices, and the least beginning and end; ways counts those at each stop.
func (p *problem) tree(price []float64, ways []int) float64 {
	n := len(price)
	total := 0.0
	for i := range ways {
		ways[i] = 0
		total -= 2 * price[i]
	}
	within := make([]bool, n)
	far, from := make([]float64, n), make([]int, n)
	for i := range far {
		far[i], from[i] = math.Inf(1), -1
	}
	for next := 0; next >= 0; {
		within[next] = true
		if f := from[next]; f >= 0 {
			total += far[next]
			ways[f]++
			ways[next]++
		}
		last := next
		next = -1
		for j := range n {
			if within[j] {
				continue
			}
			if w := math.Min(p.between[last][j], p.between[j][last]) + price[last] + price[j]; w < far[j] {
				far[j], from[j] = w, last
			}
			if next < 0 || far[j] < far[next] {
				next = j
			}
		}
	}
	for _, ends := range [2][]float64{p.from, p.to} {
		least := 0
		for i := range n {
			if ends[i]+price[i] < ends[least]+price[least] {
				least = i
			}
		}
		total += ends[least] + price[least]
		ways[least]++
	}
	return total
}

package tour

import "slices"

// improve reverses stretches of an order and moves stretches of up to three stops, as long as that shortens the tour.
func (p *problem) improve(order []int) {
	for p.reverse(order) || p.move(order) {
	}
}

// step is the way from one stop to another; −1 is the beginning as the first and the end as the second.
func (p *problem) step(a, b int) float64 {
	switch {
	case a < 0:
		return p.from[b]
	case b < 0:
		return p.to[a]
	}
	return p.between[a][b]
}

func stopAt(order []int, i int) int {
	if i < 0 || i >= len(order) {
		return -1
	}
	return order[i]
}

// reverse turns the first stretch about whose turning shortens the tour (2-opt). Ways may differ there and back, so the inner ones are added anew.
func (p *problem) reverse(order []int) bool {
	for i := range order {
		there, back := 0.0, 0.0
		for j := i + 1; j < len(order); j++ {
			there += p.between[order[j-1]][order[j]]
			back += p.between[order[j]][order[j-1]]
			before, after := stopAt(order, i-1), stopAt(order, j+1)
			now := p.step(before, order[i]) + there + p.step(order[j], after)
			if p.step(before, order[j])+back+p.step(order[i], after) < now-1e-9 {
				slices.Reverse(order[i : j+1])
				return true
			}
		}
	}
	return false
}

// move takes up to three stops out and puts them in elsewhere, as they are or reversed, where that shortens the tour (Or-opt).
func (p *problem) move(order []int) bool {
	n := len(order)
	for long := 1; long <= 3 && long < n; long++ {
		for i := 0; i+long <= n; i++ {
			first, last := order[i], order[i+long-1]
			before, after := stopAt(order, i-1), stopAt(order, i+long)
			inner, turned := 0.0, 0.0
			for k := i + 1; k < i+long; k++ {
				inner += p.between[order[k-1]][order[k]]
				turned += p.between[order[k]][order[k-1]]
			}
			gain := p.step(before, first) + inner + p.step(last, after) - p.joined(before, after)
			for at := -1; at < n; at++ { // between the stops at and at+1
				if at >= i-1 && at < i+long {
					continue
				}
				a, b := stopAt(order, at), stopAt(order, at+1)
				open := gain + p.step(a, b)
				plain, other := p.step(a, first)+inner+p.step(last, b), p.step(a, last)+turned+p.step(first, b)
				if min(plain, other) < open-1e-9 {
					p.put(order, i, long, at, other < plain)
					return true
				}
			}
		}
	}
	return false
}

// joined is the way over the gap that a stretch leaves.
func (p *problem) joined(before, after int) float64 {
	if before < 0 && after < 0 {
		return 0
	}
	return p.step(before, after)
}

// put moves order[i:i+long] behind place at.
func (p *problem) put(order []int, i, long, at int, turned bool) {
	part := slices.Clone(order[i : i+long])
	if turned {
		slices.Reverse(part)
	}
	rest := slices.Delete(slices.Clone(order), i, i+long)
	if at >= i {
		at -= long
	}
	copy(order, slices.Insert(rest, at+1, part...))
}

package guillotine

import "slices"

// priced bounds plans by prices on copies: for any prices of 0 or more, no plan is worth more than what it is worth less its prices, plus the price of all
// copies that there may be (H. Everett, Generalized Lagrange multiplier method for solving problems of optimum allocation of resources, Operations
// Research 11, 1963, 399).
type priced struct {
	price  []int64 // of a copy of each item
	all    int64   // of all copies
	around *table  // what the stock around a block can give at worth less price
}

// Work on prices: rounds, and steps of a programme beyond which they are not worth while.
const (
	priceRounds = 40
	priceSteps  = 4_000_000
)

// prices looks for prices with a low bound; nil when that would be too much work or none helps.
func (s *search) prices(t *table) *priced {
	nx, ny := len(t.x.sizes), len(t.y.sizes)
	if nx*ny*(nx+ny)/4 > priceSteps {
		return nil
	}
	lies := s.lies
	defer func() { s.lies = lies }()
	now := make([]float64, len(s.Items))
	best, scale, idle := s.bound, 1.0, 0
	var p *priced
	for range priceRounds {
		q := &priced{price: make([]int64, len(now))}
		for i, v := range now {
			q.price[i] = int64(v)
			q.all += q.price[i] * int64(s.most[i])
		}
		s.lies = q.less(lies)
		q.around = &table{x: t.x, y: t.y}
		if !s.fill(q.around, nil) {
			return nil
		}
		top := q.around.of(nx-1, ny-1) + q.all
		if top < best {
			best, p, idle = top, q, 0
		} else if idle++; idle%3 == 0 {
			scale /= 2
		}
		used := make([]int, len(now))
		b := s.trace(q.around, nx-1, ny-1)
		b.count(used)
		if kept := s.within(b, slices.Clone(s.most)); kept != nil && kept.value > s.value {
			s.take(kept)
		}
		if !s.move(now, used, scale*float64(max(top-s.value, 1))) {
			break
		}
	}
	if p != nil {
		s.lower(best)
		s.lies = p.less(lies)
		p.around = s.outside(p.around)
		if p.around == nil {
			return nil
		}
	}
	return p
}

// less takes the prices off the values.
func (p *priced) less(lies []lie) (out []lie) {
	for _, l := range lies {
		if l.value -= p.price[l.item]; l.value > 0 {
			out = append(out, l)
		}
	}
	slices.SortStableFunc(out, func(a, b lie) int { return int(sign(b.value - a.value)) })
	return out
}

// move changes prices by what a plan takes too much of; false when it keeps to the limits and nothing is paid.
func (s *search) move(now []float64, used []int, room float64) bool {
	var norm float64
	for i, n := range used {
		if d := float64(n - s.most[i]); d > 0 || now[i] > 0 {
			norm += d * d
		}
	}
	if norm == 0 {
		return false
	}
	for i, n := range used {
		now[i] = min(max(0, now[i]+room/norm*float64(n-s.most[i])), float64(s.Items[i].Value))
	}
	return true
}

// within leaves out of a block what is more than there may be; left is what may still be used. What is left counts at its full value.
func (s *search) within(b *build, left []int) *build {
	switch {
	case b == nil:
		return nil
	case b.first == nil:
		if left[b.lie.item] == 0 {
			return nil
		}
		left[b.lie.item]--
		l := b.lie
		l.value = s.Items[l.item].Value
		return leaf(l)
	}
	return join(s.within(b.first, left), s.within(b.then, left), b.up)
}

// count adds the copies of a block.
func (b *build) count(used []int) {
	switch {
	case b == nil:
	case b.first == nil:
		used[b.lie.item]++
	default:
		b.first.count(used)
		b.then.count(used)
	}
}

// bound is that on plans with a block.
func (p *priced) bound(b *build) int64 {
	v := b.value + p.all + p.around.of(int(p.around.x.at[b.w]), int(p.around.y.at[b.h]))
	for i, n := range b.used {
		v -= int64(n) * p.price[i]
	}
	return v
}

package threes

import (
	"math"
	"slices"
)

// generate solves the program over all threes: it takes in whatever has a negative reduced cost, truly priced, until nothing has. It
// returns a lower bound of the sum of costs that the last prices prove (−Inf: none yet), and false when time was over.
func (s *search) generate(p *program) (bound float64, done bool, err error) {
	bound = math.Inf(-1)
	patterns := len(s.t.patterns)
	p.dual(math.Inf(1))
	for {
		p.primal()
		if s.stop() {
			return bound, false, nil
		}
		q := p.pricesOf()
		found, least := q.scan(s.t, p, -tiny, 3)
		bound = max(bound, p.proven(least))
		if len(found) == 0 {
			return bound, true, nil
		}
		list := pick(found, s.t.n, 8)
		if err := s.learn(list); err != nil {
			return bound, false, err
		}
		if len(s.t.patterns) != patterns {
			return bound, false, nil
		}
		for _, c := range list {
			p.enter(c)
		}
	}
}

// proven is what the prices prove when no reduced cost is below least.
func (p *program) proven(least float64) float64 {
	b := p.bound()
	size := 0.0
	for r, y := range p.y {
		size += math.Abs(p.b[r] * y)
	}
	return b + float64(p.total)*(min(0, least)+p.shift) - 1e-14*size
}

// enter takes a priced three in if its reduced cost is negative for the best group that it serves.
func (p *program) enter(c three) {
	place := p.t.at(int(c[0]), int(c[1]), int(c[2]))
	if math.IsInf(p.t.low[place], 1) {
		return
	}
	if g, _ := p.best(p.t.served(place)); g >= 0 {
		p.take(c, g)
	}
}

// pick takes the candidates of least reduced cost, each thing at most most times.
func pick(found []candidate, n, most int) []three {
	slices.SortFunc(found, byReduced)
	times := make([]int, n)
	var list []three
	for _, f := range found {
		c := f.three
		if times[c[0]] < most || times[c[1]] < most || times[c[2]] < most {
			list = append(list, c)
			for _, i := range c {
				times[i]++
			}
		}
	}
	return list
}

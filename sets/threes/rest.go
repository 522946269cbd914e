package threes

import "math"

// rest is threes that could stand in a better plan, but are kept out of the program of a tree until one of its nodes wants them.
type rest struct {
	list  []candidate
	taken []bool
}

func newRest(list []candidate) *rest { return &rest{list, make([]bool, len(list))} }

// of is the reduced cost of a three.
func (q *prices) of(t *table, p *program, c three) float64 {
	i, j, k := int(c[0]), int(c[1]), int(c[2])
	low := t.low[t.at(i, j, k)]
	if math.IsInf(low, 1) {
		return low
	}
	d := p.scaled(low) - q.top - q.one[i] - q.one[j] - q.one[k]
	if q.two != nil {
		d -= q.two[i*q.n+j] + q.two[i*q.n+k] + q.two[j*q.n+k]
		for _, e := range q.whole[int32(i*q.n+j)] {
			if e.in[k] {
				d -= e.less
			}
		}
	}
	return q.exact(t, p, c, d)
}

// wanted lists what a solved node would take in, and the least reduced cost of all that is allowed in it.
func (r *rest) wanted(t *table, p *program, rules []rule) (found []candidate, least float64) {
	q := p.pricesOf()
	for a, f := range r.list {
		if r.taken[a] {
			continue
		}
		d := q.of(t, p, f.three)
		if d >= 0 || !allowed(rules, f.three) {
			continue
		}
		least = min(least, d)
		if d < -tiny {
			found = append(found, candidate{f.three, d})
		}
	}
	return found, least
}

func allowed(rules []rule, c three) bool {
	for _, r := range rules {
		if !r.allows(c) {
			return false
		}
	}
	return true
}

// fetch takes into the program what the node wants, until it wants nothing more. It returns the least reduced cost outside.
func (t *tree) fetch(at *node) (float64, error) {
	if t.rest == nil {
		return 0, nil
	}
	for {
		found, least := t.rest.wanted(t.t, t.p, at.rules)
		if len(found) == 0 || t.halt() {
			return least, nil
		}
		patterns := len(t.t.patterns)
		list, priced := pick(found, t.t.n, 4), t.t.priced
		if err := t.learn(list); err != nil {
			return 0, err
		}
		if t.again = len(t.t.patterns) != patterns; t.again {
			return 0, nil
		}
		columns := len(t.p.cols)
		for _, c := range list {
			t.p.enter(c)
		}
		if len(t.p.cols) == columns && t.t.priced == priced { // what is left is rounding
			return least, nil
		}
		t.fetched += len(t.p.cols) - columns
		t.rest.strike(t.p)
		t.p.primal()
	}
}

// strike marks what stands in the program for every group that it may serve, or can be no set.
func (r *rest) strike(p *program) {
	for a, f := range r.list {
		if r.taken[a] {
			continue
		}
		place := p.t.at(int(f.three[0]), int(f.three[1]), int(f.three[2]))
		if !p.t.isKnown(place) {
			continue
		}
		all := true
		for g := range p.groups {
			if p.t.serves[place]&p.groups[g].mask != 0 {
				_, in := p.columns[kind{f.three, int32(g)}]
				all = all && in
			}
		}
		r.taken[a] = all
	}
}

// bring takes into the program all threes outside that hold a thing: only then can it prove that the thing is in none.
func (t *tree) bring(i int32, rules []rule) error {
	var list []three
	for a, f := range t.rest.list {
		if c := f.three; !t.rest.taken[a] && (c[0] == i || c[1] == i || c[2] == i) && allowed(rules, c) {
			list = append(list, c)
		}
	}
	patterns := len(t.t.patterns)
	if err := t.learn(list); err != nil {
		return err
	}
	if t.again = len(t.t.patterns) != patterns; t.again {
		return nil
	}
	for _, c := range list {
		place := t.t.at(int(c[0]), int(c[1]), int(c[2]))
		for g := range t.p.groups {
			if t.t.serves[place]&t.p.groups[g].mask != 0 {
				t.p.take(c, int32(g))
			}
		}
	}
	t.rest.strike(t.p)
	return nil
}

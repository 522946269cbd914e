package threes

import "slatewright/sets/threes/known"

// rest is threes that could stand in a better plan, but are kept out of the program of a tree until one of its nodes wants them.
type rest struct {
	list  []known.Candidate
	taken []bool
}

func newRest(list []known.Candidate) *rest { return &rest{list, make([]bool, len(list))} }

// wanted lists what a solved node would take in by its prices, and the least reduced cost of all that is allowed in it.
func (r *rest) wanted(t *known.Table, q *known.Prices, rules []rule) (found []known.Candidate, least float64) {
	for a, f := range r.list {
		if r.taken[a] {
			continue
		}
		d := q.Of(t, f.Three)
		if d >= 0 || !allowed(rules, f.Three) {
			continue
		}
		least = min(least, d)
		if d < -tiny {
			found = append(found, known.Candidate{Three: f.Three, D: d})
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
		q := t.p.prices(t.p.Sound())
		found, least := t.rest.wanted(t.t, q, at.rules)
		if len(found) == 0 || t.halt() {
			return least, nil
		}
		patterns := len(t.t.Patterns)
		list, priced := pick(found, t.t.N, 4), t.t.Priced
		if err := t.learn(list); err != nil {
			return 0, err
		}
		if t.again = len(t.t.Patterns) != patterns; t.again {
			return 0, nil
		}
		columns := t.p.Columns()
		for _, c := range list {
			t.p.enter(q, c)
		}
		if t.p.Columns() == columns && t.t.Priced == priced { // what is left is rounding
			return least, nil
		}
		t.fetched += t.p.Columns() - columns
		t.rest.strike(t.p)
		t.p.Primal()
	}
}

// strike marks what stands in the program for every group that it may serve, or can be no set.
func (r *rest) strike(p *program) {
	for a, f := range r.list {
		if r.taken[a] {
			continue
		}
		place := p.t.Place(f.Three)
		if !p.t.IsKnown(place) {
			continue
		}
		all := true
		for g := range p.groups {
			if p.t.Serves(place)&p.groups[g].mask != 0 {
				_, in := p.columns[kind{f.Three, int32(g)}]
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
		if c := f.Three; !t.rest.taken[a] && (c[0] == i || c[1] == i || c[2] == i) && allowed(rules, c) {
			list = append(list, c)
		}
	}
	patterns := len(t.t.Patterns)
	if err := t.learn(list); err != nil {
		return err
	}
	if t.again = len(t.t.Patterns) != patterns; t.again {
		return nil
	}
	for _, c := range list {
		place := t.t.Place(c)
		for g := range t.p.groups {
			if t.t.Serves(place)&t.p.groups[g].mask != 0 {
				t.p.take(c, int32(g))
			}
		}
	}
	t.rest.strike(t.p)
	return nil
}

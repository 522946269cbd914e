package search

import "math/bits"

// Where prices leave a gap, the programme is run once more with all that matters of the copies: for each part the sets of limited copies that it can give, of
// which none is more than another (a copy too many is left out, so more is never worse). What cannot lead to more than the best plan is dropped, by the
// prices and by what the rest of the slab can give beside a part.

// set is what a part can give: copies of the limited types, at most the limits, and the worth of the others.
type set struct {
	copies string // one byte a limited type
	rest   int32
	plan   *tree
}

// counted is such a run over a programme.
type counted struct {
	*programme
	limited []int   // types
	limit   []byte  // copies of each at most
	place   []int   // of each type among the limited ones; −1: not limited
	full    []int32 // worth without prices, in units of the programme
	beside  []int32 // of each cell: what the rest of the slab gives beside its part
	floor   int32   // what a plan must exceed, less the price of all copies
	sets    map[int32][]set
	done    func(steps int) bool
	steps   int
	most    int // steps
}

// mostCopies is how many of a type are told apart.
const mostCopies = 200

// count counts copies on a frame's lines after prices have settled; true when nothing is left to be looked for there.
func (c *search) count(s *site, p *programme, rest []int32) bool {
	k := c.newCounted(s, p, rest)
	if k == nil {
		return false
	}
	top, t, ok := k.run()
	if !ok {
		return false
	}
	s.bound = max(min(s.bound, max(top, s.passed)), c.value)
	switch {
	case s.bound <= c.value:
		return true
	case top <= s.passed:
		s.again()
		return true
	}
	c.keep(s, p.realise(t, s.whole()))
	return s.bound <= c.value
}

// newCounted prepares a run; nil when it is not worth while.
func (c *search) newCounted(s *site, p *programme, rest []int32) *counted {
	k := &counted{programme: p, beside: rest, place: make([]int, len(c.Types)), full: make([]int32, len(c.Types)), sets: map[int32][]set{}, done: c.done, most: countedSteps}
	for i, t := range c.Types {
		k.place[i] = -1
		k.full[i] = int32((t.Value + p.unit - 1) / p.unit)
		if t.Most >= 0 && len(s.kinds[i]) > 0 {
			if t.Most > mostCopies {
				return nil
			}
			k.place[i] = len(k.limited)
			k.limited, k.limit = append(k.limited, i), append(k.limit, byte(t.Most))
		}
	}
	if len(k.limited) == 0 || len(k.limited) > 12 {
		return nil
	}
	k.alone = make([]uint64, p.cells)
	k.enter()
	return k
}

// hopes tells whether a set in a part can still lead to more than the best plan.
func (k *counted) hopes(s set, room int32) bool {
	v := s.rest
	for i, n := range []byte(s.copies) {
		v += int32(n) * max(0, k.worth[k.limited[i]])
	}
	return v+room > k.floor
}

// list lists the sets of a part.
func (k *counted) list(a, i, j1, j2 int) []set {
	at := k.level.of(a, i, j1, j2)
	if at < 0 || k.value[at] == 0 || k.steps > k.most {
		return nil
	}
	if got, ok := k.sets[at]; ok {
		return got
	}
	room := k.beside[at]
	if room+k.value[at] <= k.floor {
		return nil
	}
	f := front{counted: k, room: room}
	for m := k.alone[at]; m != 0; m &= m - 1 {
		f.offer(k.one(bits.TrailingZeros64(m)))
	}
	if i-a > 1 {
		f.all(k.list(a, i-1, j1, j2))
		f.all(k.list(a+1, i, j1, j2))
	}
	if j2-j1 > 1 {
		f.all(k.list(a, i, j1, j2-1))
		f.all(k.list(a, i, j1+1, j2))
	}
	for c := a + 1; c < i; c++ {
		if one, two := k.of(a, c, j1, j2), k.of(c, i, j1, j2); one > 0 && two > 0 && one+two+room > k.floor {
			f.both(k.list(a, c, j1, j2), k.list(c, i, j1, j2), c, false)
		}
	}
	for c := j1 + 1; c < j2; c++ {
		if one, two := k.of(a, i, j1, c), k.of(a, i, c, j2); one > 0 && two > 0 && one+two+room > k.floor {
			f.both(k.list(a, i, j1, c), k.list(a, i, c, j2), c, true)
		}
	}
	if k.steps += 1 + len(f.list); k.done(1 + len(f.list)) {
		k.most = 0
	}
	k.sets[at] = f.list
	return f.list
}

// one is the set of one copy.
func (k *counted) one(kind int) set {
	n := make([]byte, len(k.limit))
	s := set{plan: &tree{kind: kind}}
	if at := k.place[kind]; at >= 0 {
		n[at] = 1
	} else {
		s.rest = k.full[kind]
	}
	s.copies = string(n)
	return s
}

// front collects sets of which none is more than another.
type front struct {
	*counted
	room int32
	list []set
}

func (f *front) all(list []set) {
	for _, s := range list {
		f.offer(s)
	}
}

func (f *front) both(one, two []set, cut int, along bool) {
	n := make([]byte, len(f.limit))
	for _, s := range one {
		for _, t := range two {
			for i := range n {
				n[i] = min(s.copies[i]+t.copies[i], f.limit[i])
			}
			f.steps++
			f.offer(set{copies: string(n), rest: s.rest + t.rest, plan: &tree{cut: cut, along: along, first: s.plan, then: t.plan}})
		}
	}
}

// more tells whether a set is as much as another in everything.
func (s set) more(t set) bool {
	if s.rest < t.rest {
		return false
	}
	for i := range len(s.copies) {
		if s.copies[i] < t.copies[i] {
			return false
		}
	}
	return true
}

func (f *front) offer(s set) {
	if !f.hopes(s, f.room) {
		return
	}
	for _, t := range f.list {
		if t.more(s) {
			return
		}
	}
	f.steps += len(f.list)
	kept := f.list[:0]
	for _, t := range f.list {
		if !s.more(t) {
			kept = append(kept, t)
		}
	}
	f.list = append(kept, s)
}

// run gives the highest worth of the whole and a tree for it; false when it was too much work. No value beyond the best plan gives 0.
func (k *counted) run() (top int64, t *tree, ok bool) {
	all := k.list(0, k.left.n(), 0, k.low.n())
	if k.steps > k.most {
		return 0, nil, false
	}
	for _, s := range all {
		v := s.rest
		for i, n := range []byte(s.copies) {
			v += int32(n) * k.full[k.limited[i]]
		}
		if w := int64(v) * k.unit; w > top {
			top, t = w, s.plan
		}
	}
	return top, t, true
}

package threes

import (
	"container/heap"
	"math"
	"slices"

	"slatewright/sets/threes/cuts"
)

// rule is a branch: two things are in one three, or in none together. A thing may also be left out: then they are not together.
// Of a thing with itself, together says that it is in a three, and not together that it is left out.
type rule struct {
	i, j     int32
	together bool
}

// allows says whether a three may stand under the rule.
func (r rule) allows(c three) bool {
	a, b := false, false
	for _, i := range c {
		a = a || i == r.i
		b = b || i == r.j
	}
	if r.together {
		return a == b
	}
	return !(a && b)
}

// node is a part of the plans: those that keep the rules.
type node struct {
	low    float64
	serial int
	rules  []rule
	basis  []int32
}

// nodes is a heap, the node of the lowest bound on top.
type nodes []*node

func (h nodes) Len() int { return len(h) }
func (h nodes) Less(a, b int) bool {
	if h[a].low != h[b].low {
		return h[a].low < h[b].low
	}
	return h[a].serial > h[b].serial
}
func (h nodes) Swap(a, b int) { h[a], h[b] = h[b], h[a] }

// Push is for the heap.
func (h *nodes) Push(x any) { *h = append(*h, x.(*node)) }

// Pop is for the heap.
func (h *nodes) Pop() any {
	last := len(*h) - 1
	x := (*h)[last]
	*h = (*h)[:last]
	return x
}

// tree branches until nothing better is left. It needs a program that holds every three that could stand in a better plan.
type tree struct {
	*stage
	open   nodes
	serial int
	rest   *rest   // threes outside the program; nil: none
	some   bool    // the program holds some of the threes only: plans count, bounds do not
	most   int     // nodes to look at; 0: all
	left   float64 // no plan in the nodes that were given up is below it
}

// search looks at one node after another, always going on with a child of the last one while it may be better. False: stopped.
func (t *tree) search() (bool, error) {
	t.left = math.Inf(1)
	heap.Push(&t.open, &node{low: t.low})
	begin := t.nodes
	for len(t.open) > 0 {
		at := heap.Pop(&t.open).(*node)
		if !t.some {
			t.raise(min(at.low, t.left))
		}
		if t.over() || t.most > 0 && t.nodes-begin >= t.most {
			return true, nil
		}
		t.p.load(at)
		for at != nil {
			next, err := t.look(at)
			if err != nil || t.wrong != nil {
				return false, t.wrong
			}
			if t.halt() {
				return false, nil
			}
			at = next
		}
	}
	if !t.some {
		t.raise(min(t.high, t.left))
	}
	return true, nil
}

// load makes the program that of a node, beginning with the basis of the node before it.
func (p *program) load(at *node) {
	for j, k := range p.kinds {
		p.Hold(j, p.gone[j] || !k.isShortage() && !allowed(at.rules, k.three))
	}
	for i := range p.t.N {
		p.Tighten(i, false)
	}
	for _, r := range at.rules {
		p.use(r)
	}
	p.Restore(at.basis)
	if !p.DualFeasible() {
		p.Restore(nil)
	}
}

// use lets nothing of a thing that must be in a three be left over.
func (p *program) use(r rule) {
	if r.i == r.j && r.together {
		p.Tighten(int(r.i), true)
	}
}

// look solves a node and returns the child to go on with; nil: nothing better is in it, or the node is parted and waits.
func (t *tree) look(at *node) (*node, error) {
	t.nodes++
	p := t.p
	for round := 0; ; round++ {
		if !t.solve(at) {
			return nil, nil
		}
		least, err := t.fetch(at)
		if t.halt() || err != nil {
			heap.Push(&t.open, at)
			return nil, err
		}
		at.low = max(at.low, t.proven(least))
		if at.low >= t.high-t.step {
			return nil, nil
		}
		if round == 0 && (t.some || t.nodes%4 == 1) || p.isWhole() {
			if err := t.round(); err != nil {
				return nil, err
			}
			if whole := p.isWhole(); whole || at.low >= t.high-t.step {
				t.giveUp(at)
				return nil, nil
			}
		}
		list := p.finder().Broken(15)
		if len(list) == 0 || round >= t.rounds(at) {
			break
		}
		for _, c := range list {
			p.add(c)
		}
	}
	return t.part(at)
}

// rounds is how often cuts are looked for in a node.
func (t *tree) rounds(at *node) int {
	if len(t.p.cuts) > t.p.t.N+100 {
		return 0
	}
	if len(at.rules) == 0 {
		return 10
	}
	return 2
}

// part makes two nodes of one and returns the one to go on with.
func (t *tree) part(at *node) (*node, error) {
	r, ok := t.p.fork(at.rules)
	if !ok {
		t.giveUp(at)
		return nil, nil
	}
	if r.i == r.j && t.rest != nil {
		if err := t.bring(r.i, at.rules); err != nil || t.again {
			return nil, err
		}
	}
	basis := t.p.Basis()
	t.serial++
	other := &node{low: at.low, serial: t.serial, basis: basis, rules: append(slices.Clone(at.rules), rule{r.i, r.j, !r.together})}
	heap.Push(&t.open, other)
	next := &node{low: at.low, serial: t.serial, rules: append(at.rules, r)}
	for j, k := range t.p.kinds {
		if !k.isShortage() && !r.allows(k.three) {
			t.p.Hold(j, true)
		}
	}
	t.p.use(r)
	return next, nil
}

// fork chooses the two things to part by: those whose being together is most in doubt, or, where all of those were parted by before, a thing
// whose being in any three is: then every solution that is not whole is cut off on both sides. False: rounding alone is in doubt.
func (p *program) fork(rules []rule) (rule, bool) {
	f := p.finder()
	parted := make(map[[2]int32]bool, len(rules))
	for _, r := range rules {
		parted[[2]int32{r.i, r.j}] = true
	}
	best, r := math.Inf(-1), rule{}
	doubt := func(i, j int32, w float64) {
		if w < 1e-7 || w > 1-1e-7 || parted[[2]int32{i, j}] {
			return
		}
		if d := -math.Abs(w - 0.5); d > best {
			best, r = d, rule{i, j, w >= 0.5}
		}
	}
	for pair, weight := range f.Pairs {
		doubt(pair[0], pair[1], weight)
	}
	for i := 0; math.IsInf(best, -1) && i < p.t.N; i++ {
		doubt(int32(i), int32(i), f.Used(i))
	}
	return r, !math.IsInf(best, -1)
}

// isWhole says that every three is chosen wholly or not at all; which groups they go to can then be settled as well.
func (p *program) isWhole() bool {
	return !slices.ContainsFunc(p.fractions(), func(f cuts.Fraction) bool { return math.Abs(f.X-math.Round(f.X)) > 1e-6 })
}

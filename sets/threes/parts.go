package threes

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"slatewright/chance"
	"slatewright/sets/threes/known"
)

// part is the question over some of the things: the answers come from what the whole search knows.
type part struct {
	*search
	things []int32
	lock   sync.Mutex
}

// Floors is for Triples.
func (q *part) Floors(i, j int, floors []float64) {
	a, b := int(q.things[i]), int(q.things[j])
	for r := range floors {
		floors[r] = q.t.Low(q.t.At(a, b, int(q.things[j+1+r])))
	}
}

// Price is for Triples.
func (q *part) Price(i, j, k int) (float64, uint32) {
	q.lock.Lock()
	defer q.lock.Unlock()
	c := three{q.things[i], q.things[j], q.things[k]}
	place := q.t.Place(c)
	if err := q.learn([]three{c}); err != nil {
		q.wrong = err
		return 0, 0
	}
	return q.t.Low(place), q.t.Serves(place)
}

// near keeps for each thing the threes of least reduced cost, so that sets are chosen together that could trade.
type near struct {
	of   [][]known.Candidate
	hold []int // which set holds each thing; −1: none
}

// mostNear is how many threes are kept for each thing.
const mostNear = 40

func (st *stage) nearby(found []known.Candidate) *near {
	n := &near{of: make([][]known.Candidate, st.t.N)}
	slices.SortFunc(found, known.ByReduced)
	for _, f := range found {
		for _, i := range f.Three {
			if len(n.of[i]) < mostNear {
				n.of[i] = append(n.of[i], f)
			}
		}
	}
	return n
}

// index says which set holds each thing.
func (n *near) index(sets []set) {
	n.hold = make([]int, len(n.of))
	for i := range n.hold {
		n.hold[i] = -1
	}
	for a, c := range sets {
		for _, i := range c.three {
			n.hold[i] = a
		}
	}
}

// choose takes up to size sets that hang together by threes of small reduced cost, beginning with one, and the free things among
// those threes.
func (n *near) choose(begin int, sets []set, size int, draw *chance.Stream) (chosen []int, things []int32) {
	in := make([]bool, len(sets))
	has := map[int32]bool{}
	var queue []known.Candidate
	add := func(a int) {
		in[a] = true
		chosen = append(chosen, a)
		for _, i := range sets[a].three {
			has[i] = true
			things = append(things, i)
			for _, f := range n.of[i] {
				queue = append(queue, known.Candidate{Three: f.Three, D: f.D * (0.5 + draw.Float64())})
			}
		}
	}
	add(begin)
	for len(chosen) < size && len(queue) > 0 {
		at := 0
		for q := range queue {
			if queue[q].D < queue[at].D {
				at = q
			}
		}
		f := queue[at]
		queue[at] = queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		for _, i := range f.Three {
			if a := n.hold[i]; a >= 0 && !in[a] && len(chosen) < size {
				add(a)
			} else if a < 0 && !has[i] && len(things) < 3*size+6 {
				has[i] = true
				things = append(things, i)
			}
		}
	}
	slices.Sort(chosen)
	slices.Sort(things)
	return chosen, things
}

// anew parts the things of some sets anew, exactly as far as a budget goes, and returns the sets. More asks for that many more sets of
// a demand.
func (st *stage) anew(chosen []int, things []int32, demand, more int) (Plan, []set, error) {
	wanted := make([]int, len(st.ask.Wanted))
	inner := &part{search: st.search, things: things}
	at := map[int32]int{}
	for a, i := range things {
		at[i] = a
	}
	wanted[demand] += more
	var before [][3]int
	for _, a := range chosen {
		c := st.sets[a]
		wanted[slices.Index(st.groupOf, int(c.group))]++
		before = append(before, [3]int{at[c.three[0]], at[c.three[1]], at[c.three[2]]})
	}
	patterns := len(st.t.Patterns)
	budget := 300
	if more > 0 {
		budget = 60
	}
	p, err := Choose(Ask{N: len(things), Triples: inner, Wanted: wanted, Before: before, Stop: func() bool {
		budget--
		return budget < 0 || st.stop()
	}})
	if st.again = st.again || len(st.t.Patterns) != patterns; st.again || err != nil || st.wrong != nil {
		return Plan{}, nil, cmp.Or(err, st.wrong)
	}
	var sets []set
	for _, c := range p.Sets {
		i, j, k := things[c.Three[0]], things[c.Three[1]], things[c.Three[2]]
		sets = append(sets, st.newSet(three{i, j, k}, int32(st.groupOf[c.Demand])))
	}
	return p, sets, nil
}

// mend parts the things of some sets anew and reports whether that made the plan cheaper.
func (st *stage) mend(chosen []int, things []int32) (bool, error) {
	old := 0.0
	for _, a := range chosen {
		old += st.t.Low(st.sets[a].place)
	}
	p, fresh, err := st.anew(chosen, things, 0, 0)
	if err != nil || len(fresh) != len(chosen) || p.Cost >= old-st.slight(old) {
		return false, err
	}
	before := st.high
	err = st.offer(st.without(chosen, fresh))
	return st.high < before, err
}

// without is the plan with fresh sets in place of those chosen.
func (st *stage) without(chosen []int, fresh []set) []set {
	var sets []set
	for a, c := range st.sets {
		if !slices.Contains(chosen, a) {
			sets = append(sets, c)
		}
	}
	return append(sets, fresh...)
}

// another looks for one more set of a demand in parts of the plan, until enough tries were in vain.
func (st *stage) another(demand int, draw *chance.Stream) error {
	if len(st.sets) == 0 {
		return nil
	}
	found, _ := st.p.prices(st.p.Sound()).Scan(st.t, math.Inf(1), 2)
	n := st.nearby(found)
	for vain := 0; vain < 30 && st.numbers[demand] < st.most[demand] && !st.halt(); vain++ {
		n.index(st.sets)
		chosen, things := n.choose(draw.IntN(len(st.sets)), st.sets, min(8, len(st.sets)), draw)
		things = st.withFree(things, 12, draw)
		_, fresh, err := st.anew(chosen, things, demand, 1)
		if err != nil || st.again {
			return err
		}
		was := st.numbers[demand]
		if err := st.offer(st.without(chosen, fresh)); err != nil {
			return err
		}
		if st.numbers[demand] > was {
			vain = -1
		}
	}
	return nil
}

// withFree adds things in no set, so that at least most of them are among things.
func (st *stage) withFree(things []int32, most int, draw *chance.Stream) []int32 {
	free := st.free(st.sets)
	for range most {
		if len(free) == 0 {
			break
		}
		i := free[draw.IntN(len(free))]
		if !slices.Contains(things, i) {
			things = append(things, i)
		}
	}
	slices.Sort(things)
	return things
}

// mendParts mends parts of the plan, of least sets or a few more, until enough tries in a row were in vain.
func (st *stage) mendParts(found []known.Candidate, least int, draw *chance.Stream) error {
	n := st.nearby(found)
	vain := 0
	for tries := 0; vain < 2*len(st.sets) && !st.over() && !st.halt(); tries++ {
		n.index(st.sets)
		size := least + draw.IntN(5)
		chosen, things := n.choose(draw.IntN(len(st.sets)), st.sets, min(size, len(st.sets)), draw)
		better, err := st.mend(chosen, things)
		if err != nil || st.again {
			return err
		}
		if vain++; better {
			vain = 0
		}
	}
	return nil
}

// within counts the candidates whose reduced cost is below d.
func within(found []known.Candidate, d float64) []known.Candidate {
	kept := found[:0:0]
	for _, f := range found {
		if f.D < d {
			kept = append(kept, f)
		}
	}
	return kept
}

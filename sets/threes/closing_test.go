package threes

import (
	"math"
	"slices"
	"testing"

	"slatewright/chance"
	"slatewright/sets/threes/cuts"
	"slatewright/sets/threes/known"
)

// rooted is a search for the least cost after its root, without cuts, and every three in the order of reduced costs.
func rooted(t *testing.T, ask Ask) (*stage, []known.Candidate) {
	t.Helper()
	if err := check(&ask); err != nil {
		t.Fatal(err)
	}
	s, err := newSearch(ask)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.begin(); err != nil {
		t.Fatal(err)
	}
	if s.regroup() {
		if err := s.begin(); err != nil {
			t.Fatal(err)
		}
	}
	s.floor()
	st := s.newStage(s.goal(), wholeCost, s.close())
	if done, err := st.root(0); err != nil || !done || st.again {
		t.Fatalf("done %v, again %v, %v", done, st.again, err)
	}
	found, _ := st.last.prices.Scan(st.t, math.Inf(1), st.t.N)
	slices.SortFunc(found, known.ByReduced)
	return st, found
}

// shared is a table in which every other three serves the second of two demands only.
type shared struct{ loose }

func (s shared) Price(i, j, k int) (float64, uint32) {
	cost, _ := s.loose.Price(i, j, k)
	if (i+j+k)%2 == 0 {
		return cost, 2
	}
	return cost, 3
}

// TestBringsAllThatHoldAThing: a node in which a thing must be used, whose threes are all outside the program, looks as if it contradicted itself. Once they were
// brought in it does not, and what it proves is not above the best plan with that thing.
func TestBringsAllThatHoldAThing(t *testing.T) {
	draw := chance.NewStream(21)
	for round := range 20 {
		n := 10 + draw.IntN(2)
		st, all := rooted(t, Ask{N: n, Triples: shared{drawnLoose(n, draw)}, Wanted: []int{1, -1}})
		thing := int32(draw.IntN(n))
		rules := []rule{{(thing + 1) % int32(n), (thing + 2) % int32(n), draw.IntN(2) == 0}}
		holds := func(f known.Candidate) bool { return slices.Contains(f.Three[:], thing) }
		inside, outside := slices.DeleteFunc(slices.Clone(all), holds), slices.DeleteFunc(slices.Clone(all), func(f known.Candidate) bool { return !holds(f) })
		st.gather(st.last.p, inside)
		st.high, st.low, st.step = 1e6, math.Inf(-1), 0
		tr := &tree{stage: st, rest: newRest(outside), left: math.Inf(1)}
		at := &node{low: math.Inf(-1), rules: append(slices.Clone(rules), rule{thing, thing, true})}
		tr.p.load(at)
		if tr.solve(at) || !tr.closed() {
			t.Fatalf("round %d: without its threes thing %d can be used", round, thing)
		}
		if err := tr.bring(thing, rules); err != nil || tr.again {
			t.Fatalf("round %d: again %v, %v", round, tr.again, err)
		}
		best := math.Inf(1)
		for _, f := range outside {
			place := st.t.Place(f.Three)
			if !allowed(rules, f.Three) {
				continue
			}
			if best = min(best, st.p.scale.Of(st.t.Low(place))); !st.t.IsKnown(place) {
				t.Errorf("round %d: %v is not truly priced", round, f.Three)
			}
			for g := range st.p.groups {
				if _, in := st.p.columns[kind{f.Three, int32(g)}]; in != (st.t.Serves(place)&st.p.groups[g].mask != 0) {
					t.Errorf("round %d: %v stands in group %d: %v", round, f.Three, g, in)
				}
			}
		}
		for _, g := range st.p.groups { // a plan with the thing: its best three, and all other sets missing
			best += g.missing * float64(g.wanted)
		}
		tr.p.load(at)
		if !tr.solve(at) {
			t.Fatalf("round %d: closed, though thing %d can be used", round, thing)
		}
		if low := tr.proven(0); low > best || math.IsInf(low, -1) {
			t.Errorf("round %d: proven %v, but %v can be", round, low, best)
		}
	}
}

// TestPartBringsFirst parts by a thing where every pair in doubt was parted by before: its threes are in the program then.
func TestPartBringsFirst(t *testing.T) {
	draw := chance.NewStream(22)
	parted := 0
	for range 60 {
		st, all := rooted(t, Ask{N: 14, Triples: drawnLoose(14, draw)})
		tr := &tree{stage: st, rest: newRest(all), left: math.Inf(1)}
		tr.rest.strike(st.p)
		at := &node{low: 1}
		for pair := range st.p.finder().Pairs { // told, but not kept, as rounding would have it
			at.rules = append(at.rules, rule{pair[0], pair[1], false})
		}
		r, ok := st.p.fork(at.rules)
		if !ok {
			continue
		}
		rules := slices.Clone(at.rules)
		if next, err := tr.part(at); err != nil || next == nil || len(tr.open) != 1 || r.i != r.j {
			t.Fatalf("parted by %v, %d nodes wait, %v", r, len(tr.open), err)
		}
		parted++
		for _, f := range all {
			if _, in := st.p.columns[kind{f.Three, 0}]; slices.Contains(f.Three[:], r.i) && allowed(rules, f.Three) && !in {
				t.Errorf("parted by thing %d, but %v is outside", r.i, f.Three)
			}
		}
	}
	if parted == 0 {
		t.Error("nothing was parted by a thing")
	}
}

// oneDear is a search for sets of things, one thing left over, all threes in the program; those that hold thing 0 cost 2 to 3, others 0 to 1. It
// knows nothing but a plan that is no good.
func oneDear(t *testing.T, sets int, draw *chance.Stream) *tree {
	t.Helper()
	n := 3*sets + 1
	l := drawnLoose(n, draw)
	for at := range n * n {
		l.cost[at] += 2
	}
	copy(l.low, l.cost)
	st, all := rooted(t, Ask{N: n, Triples: l})
	st.gather(st.last.p, all)
	st.high, st.low, st.bound = 100, math.Inf(-1), math.Inf(-1)
	return &tree{stage: st, left: math.Inf(1)}
}

// TestNodeIsClosedByProofOnly: a row that every plan with thing 0 keeps has coefficients too small for a pivot, so that floats find no solution. That proves nothing: the
// search may not say that no plan is below the one that it knows.
func TestNodeIsClosedByProofOnly(t *testing.T) {
	for seed := range uint64(10) {
		tr := oneDear(t, 2, chance.NewStream(30+seed))
		in := make([]bool, 7)
		in[0] = true
		tr.p.add(cuts.Cut{In: in, List: []int32{0}, By: [4]float64{0, -1e-8, -1e-8, -1e-8}, Room: -1e-8})
		if done, err := tr.search(); err != nil || !done {
			t.Fatal(done, err)
		}
		if tr.nodes == 0 || tr.low > 4 {
			t.Errorf("seed %d: after %d nodes proven %v; two sets with thing 0 cost less than 4", seed, tr.nodes, tr.low)
		}
	}
}

// TestCeilingIsNoProof: the dual simplex comes above its ceiling while a cheap column was held; without the hold nothing is proven any more.
func TestCeilingIsNoProof(t *testing.T) {
	given := 0
	for seed := range uint64(10) {
		tr := oneDear(t, 9, chance.NewStream(50+seed))
		at := &node{low: math.Inf(-1)}
		tr.p.load(at)
		tr.high, tr.step = 0, 0
		cheap := tr.p.columns[kind{three{1, 2, 3}, 0}]
		tr.p.SetCost(cheap, -1000)
		tr.p.Hold(cheap, true)
		if tr.p.Dual(-1e9) { // above it as soon as it looks
			continue
		}
		given++
		if !tr.closed() {
			t.Errorf("seed %d: proven %v, not closed below %v", seed, tr.proven(0), tr.high)
		}
		if tr.p.Hold(cheap, false); tr.closed() {
			t.Errorf("seed %d: closed by a ceiling, though a column costs −1000", seed)
		}
	}
	if given == 0 {
		t.Error("the dual simplex never gave up")
	}
}

// TestNoPlanOfWholeThrees: a node's solution is whole but makes no better plan, since one of its threes counts less in the program than it costs. What the node could hold
// stays open.
func TestNoPlanOfWholeThrees(t *testing.T) {
	st, all := rooted(t, Ask{N: 3, Triples: costsOne{}})
	st.gather(st.last.p, all)
	st.high, st.low, st.bound = st.valueOf(st.sets), math.Inf(-1), math.Inf(-1)
	low := st.high - 0.5
	st.p.SetCost(st.p.columns[kind{three{0, 1, 2}, 0}], low)
	tr := &tree{stage: st}
	if done, err := tr.search(); err != nil || !done || tr.nodes != 1 || math.Abs(tr.low-low) > 1e-9 {
		t.Errorf("done %v, %v, %d nodes: proven %v, want %v", done, err, tr.nodes, tr.low, low)
	}
}

type costsOne struct{}

func (costsOne) Floors(_, _ int, floors []float64)   { clear(floors) }
func (costsOne) Price(_, _, _ int) (float64, uint32) { return 1, 1 }

// TestNothingLeftToPartBy: where rounding alone is in doubt a node is given up, not closed.
func TestNothingLeftToPartBy(t *testing.T) {
	draw := chance.NewStream(70)
	seen := 0
	for range 40 {
		st, _ := rooted(t, Ask{N: 12, Triples: drawnLoose(12, draw)})
		if st.p.isWhole() {
			continue
		}
		seen++
		tr := &tree{stage: st, left: math.Inf(1)}
		at := &node{low: st.high - 1}
		for i := range int32(12) {
			for j := range i + 1 {
				at.rules = append(at.rules, rule{j, i, false})
			}
		}
		if next, err := tr.part(at); next != nil || err != nil || tr.left != at.low || len(tr.open) != 0 {
			t.Errorf("next %v, %v, left %v for %v, %d wait", next, err, tr.left, at.low, len(tr.open))
		}
	}
	if seen == 0 {
		t.Error("every root was whole")
	}
}

package threes

import (
	"cmp"
	"math"
	"slices"

	"slatewright/sets/threes/cuts"
	"slatewright/sets/threes/known"
)

// stage is one question put to a program: the most sets of a demand, or the least cost at given numbers. Values are the program's.
type stage struct {
	*search
	p      *program
	low    float64 // proven: no plan is below it
	high   float64 // of the best plan known
	step   float64 // a plan that is not lower by this much is no better
	costs  bool    // the stage of costs: low and high are the search's bound and cost
	budget int     // of pivots; 0: no end
	last   *proof  // by the last pass over all threes; nil: there was none
	again  bool    // demands that were alike are no longer: all is to be begun anew
}

// newStage begins with the present plan.
func (s *search) newStage(groups []group, scale known.Scale, step float64) *stage {
	st := &stage{search: s, low: math.Inf(-1), step: step, costs: scale == wholeCost}
	st.p = newProgram(s.t, groups, scale, func() bool { return st.again || st.stop() })
	st.p.Welcome = st.welcome
	st.high = st.valueOf(s.sets)
	if st.costs {
		st.low = s.bound - float64(st.p.total)*st.p.scale.Shift
	}
	for _, c := range s.sets {
		st.p.take(c.three, c.group)
	}
	return st
}

// renewed is a stage of costs, which has no cuts yet, begun anew for the present numbers: with its threes, and with what its last prices prove of these. No plan
// of these numbers has a shortage, whatever one costs.
func (st *stage) renewed() *stage {
	fresh := st.newStage(st.goal(), wholeCost, st.search.close())
	for j, k := range st.p.kinds {
		if st.p.sure[j] && !st.p.gone[j] && !k.isShortage() {
			fresh.p.take(k.three, k.group)
		}
	}
	if q := st.last; q != nil && len(q.y) == fresh.p.Rows() && st.p.scale == fresh.p.scale {
		fresh.raise(fresh.p.proven(q.y, q.least))
	}
	return fresh
}

// halt says that pivoting is to end.
func (st *stage) halt() bool {
	return st.again || st.p.Stuck() || st.budget > 0 && st.p.Pivots() > st.budget || st.stop()
}

// over says that nothing better can be found, or need be.
func (st *stage) over() bool {
	return st.low >= st.high-st.step || st.costs && st.good()
}

// valueOf is what a plan is worth in the program.
func (st *stage) valueOf(sets []set) float64 {
	have := make([]int, len(st.p.groups))
	sum := 0.0
	if st.costs {
		sum = st.sum(sets) - float64(len(sets))*st.p.scale.Shift
	}
	for _, c := range sets {
		if have[c.group]++; !st.costs && have[c.group] <= st.p.groups[c.group].wanted {
			sum += st.p.costOf(c.place)
		}
	}
	for g := range have {
		sum += st.p.groups[g].missing * float64(max(0, st.p.groups[g].wanted-have[g]))
	}
	return sum
}

// raise takes in a lower bound.
func (st *stage) raise(low float64) {
	if low <= st.low {
		return
	}
	st.low = min(low, st.high)
	if st.costs {
		st.bound = max(st.bound, st.low+float64(st.p.total)*st.p.scale.Shift)
		st.tell()
	}
}

// offer makes sets the plan if they are better, mended by exchanges.
func (st *stage) offer(sets []set) error {
	if !st.costs {
		if st.valueOf(sets) >= st.high-st.step {
			return nil
		}
		full, err := st.greedy(slices.Clone(sets))
		if err != nil {
			return err
		}
		sets = full
	} else if err := st.exchange(sets); err != nil {
		return err
	}
	if value := st.valueOf(sets); value < st.high-1e-12*(1+math.Abs(st.high)) {
		st.high = value
		st.adopt(sets)
		if st.costs {
			st.tell()
		}
	}
	return nil
}

// welcome prices a column truly before it enters.
func (st *stage) welcome(j int) bool {
	p := st.p
	if p.sure[j] {
		return true
	}
	k := p.kinds[j]
	patterns := len(st.t.Patterns)
	if err := st.learn([]three{k.three}); err != nil {
		st.wrong = err
		st.again = true
		return true
	}
	if len(st.t.Patterns) != patterns {
		st.again = true
		return true
	}
	p.sure[j] = true
	place := st.t.Place(k.three)
	if math.IsInf(st.t.Low(place), 1) || !st.can(place, k.group) {
		p.gone[j] = true
		p.Hold(j, true)
		return false
	}
	cost := p.costOf(place)
	if cost > p.Cost(j) {
		p.SetCost(j, cost)
		return false
	}
	return true
}

// root solves the program with cuts as long as they raise the bound, and makes plans of what it finds on the way. False: stopped.
func (st *stage) root(rounds int) (bool, error) {
	slow := 0
	for round := 0; ; round++ {
		before := st.low
		done, err := st.generate()
		if err != nil {
			return false, err
		}
		if !done || st.over() {
			return done, nil
		}
		if err := st.round(); err != nil || st.over() {
			return true, err
		}
		if slow++; st.low-before > 0.02*(st.high-st.low) {
			slow = 0
		}
		list := st.p.finder().Broken(20 + st.t.N/5)
		if len(list) == 0 || round >= rounds || slow > 4 {
			return true, nil
		}
		st.p.purge()
		for _, c := range list {
			st.p.add(c)
		}
		st.p.Dual(math.Inf(1))
	}
}

// round makes a plan of the present solution: its threes in the order of their values as far as they go together, and the rest
// greedily.
func (st *stage) round() error {
	list := st.p.fractions()
	slices.SortStableFunc(list, func(a, b cuts.Fraction) int { return cmp.Compare(math.Round(b.X*1e6), math.Round(a.X*1e6)) })
	used := make([]bool, st.t.N)
	var sets []set
	for _, f := range list {
		c := f.Three
		if used[c[0]] || used[c[1]] || used[c[2]] {
			continue
		}
		for _, i := range c {
			used[i] = true
		}
		sets = append(sets, st.newSet(c, 0))
	}
	sets = st.assign(sets)
	sets, err := st.complete(sets)
	if err != nil {
		return err
	}
	return st.offer(sets)
}

// reserve lists every three whose reduced cost is below what can still be saved; the others stand in no better plan.
func (st *stage) reserve() []known.Candidate {
	found, _ := st.last.prices.Scan(st.t, st.high-st.step-st.last.bound, st.t.N)
	return found
}

// gather begins a program anew with the threes found, and the cuts that have a price in it.
func (st *stage) gather(p *program, found []known.Candidate) {
	fresh := newProgram(st.t, p.groups, p.scale, p.stop)
	for i := range p.cuts {
		if p.Price(p.firstCut()+i) < -1e-12 {
			fresh.add(p.cuts[i])
		}
	}
	for _, f := range found {
		served := st.t.Serves(st.t.Place(f.Three))
		for g := range p.groups {
			if served&p.groups[g].mask != 0 {
				fresh.take(f.Three, int32(g))
			}
		}
	}
	fresh.Welcome = st.welcome
	st.p = fresh
}

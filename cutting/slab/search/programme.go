package search

import (
	"math"
	"slices"

	"slatewright/cores"
	"slatewright/cutting/slab"
	"slatewright/cutting/slab/ground"
)

// programme is the dynamic programme over the parts of a level: for each cell the most value that its part gives.
type programme struct {
	*level
	left, low ruling // of the level's lines
	kinds     [][]*ground.Stance
	worth     []int32 // of each type, in units
	unit      int64   // of value, so that sums fit
	order     []int   // types with a worth, the highest first
	dense     float64 // most worth on a square mm
	sound     *sound  // what parts without flaws give; nil: not known yet
	clean     ends    // of an exact programme: where they are
	room      []int32 // what the rest of the slab gives beside a cell's part at most; nil: not known
	floor     int32   // what a part and the rest must exceed
	value     []int32
	right     [][]run  // of each block: where it gives more than the part that ends a line before
	tight     [][]run  // and than the one that begins a line later
	alone     []uint64 // types of which a piece alone begins and ends at a cell's lines; nil: not asked for
}

// programme prepares the programme of a frame's level at its prices, with lines where they are said: loose parts, or exact ones.
func (c *search) programme(s *site, x, y []int, loose bool) *programme {
	p := &programme{level: s.level, left: ruling{x, s.kerf, loose}, low: ruling{y, s.kerf, loose}, kinds: s.kinds, sound: s.sound, worth: make([]int32, len(c.Types))}
	p.unit = 1 + c.top>>29
	if loose {
		p.room, p.floor = s.room, c.floor(s, p, max(c.value, s.passed))
	}
	for k, t := range c.Types {
		if len(s.kinds[k]) == 0 {
			continue
		}
		p.worth[k] = int32((max(s.worth(t, k), 0) + p.unit - 1) / p.unit)
		if p.worth[k] > 0 {
			p.order = append(p.order, k)
			st := s.kinds[k][0]
			p.dense = math.Max(p.dense, float64(p.worth[k])/(float64(st.W)*float64(st.H)))
		}
	}
	slices.SortStableFunc(p.order, func(a, b int) int { return int(p.worth[b] - p.worth[a]) })
	if ny := len(y); s.sound != nil && !loose && len(x)*ny*ny <= mostClean {
		p.clean = tableClean(s.spotless, &p.left, &p.low)
	}
	return p
}

func (s *site) worth(t slab.Type, k int) int64 { return t.Value - s.prices.of(k) }

// fill runs a programme; false when it was stopped.
func (c *search) fill(p *programme) bool {
	return !c.done(len(p.blocks)+(p.x[len(p.x)-1]-p.x[0])*len(p.order)) && p.run(c.done)
}

// of gives the value of a part.
func (p *programme) of(a, i, j1, j2 int) int32 {
	if c := p.level.of(a, i, j1, j2); c >= 0 {
		return p.value[c]
	}
	return 0
}

// all is the value of the whole, in units.
func (p *programme) all() int32 { return p.of(0, p.left.n(), 0, p.low.n()) }

// top is the value of the whole.
func (p *programme) top() int64 { return int64(p.all()) * p.unit }

// whole finds a tree for the whole.
func (p *programme) whole() *tree { return p.plan(0, p.left.n(), 0, p.low.n()) }

// part is what lies between lines.
func (p *programme) part(a, i, j1, j2 int) part {
	return part{p.left.left(a), p.low.left(j1), p.left.at[i], p.low.at[j2]}
}

// run fills the programme, parts of the same number of stretches at once; false when done says to stop.
func (p *programme) run(done func(steps int) bool) bool {
	p.value = make([]int32, p.cells)
	p.right, p.tight = make([][]run, len(p.blocks)), make([][]run, len(p.blocks))
	p.enter()
	order, start := p.byDistance()
	steps := make([]int, len(order))
	for d := 1; d+1 < len(start); d++ {
		now := order[start[d]:start[d+1]]
		cores.Share(len(now), 4, func(from, to int) {
			for k := from; k < to; k++ {
				steps[k] = p.across(now[k]) + p.up(now[k])
				p.compare(now[k])
			}
		})
		sum := 0
		for k := range now {
			sum += steps[k]
		}
		if done(sum) {
			return false
		}
	}
	return true
}

// enter enters single pieces, each where the part between lines around it is smallest.
func (p *programme) enter() {
	cores.Share(p.left.n(), 4, func(from, to int) {
		for a := from; a < to; a++ {
			if blocks := p.from(int32(a)); len(blocks) > 0 {
				for _, k := range p.order {
					for _, s := range p.kinds[k] {
						p.stand(a, s)
					}
				}
			}
		}
	})
}

// stand enters a stance behind left line a.
func (p *programme) stand(a int, s *ground.Stance) {
	left, next := p.left.left(a), ground.None
	if a+1 < p.left.n() {
		next = p.left.left(a + 1)
	}
	for i := p.left.before(left + s.W); i <= p.left.n(); i++ {
		from, to := max(left, p.left.at[i-1]-s.W+1), min(next-1, p.left.at[i]-s.W)
		if from > to {
			return
		}
		if n := p.index[a*len(p.x)+i]; n >= 0 {
			for _, r := range p.in(n) {
				p.enterRun(r, s, left, from, to)
			}
		}
	}
}

// enterRun enters a stance above the lower line of a run, where its first place from left on lies between two places.
func (p *programme) enterRun(r run, s *ground.Stance, left, from, to int) {
	y := max(p.low.left(int(r.low)), p.low.at[r.lo-1]-s.H+1)
	end := p.low.at[r.hi-1] - s.H
	if int(r.low)+1 < p.low.n() {
		end = min(end, p.low.left(int(r.low)+1)-1)
	}
	for j := r.lo; y <= end; y++ {
		x := s.Next(left, y)
		if x < from || x > to {
			continue
		}
		for p.low.at[j] < y+s.H {
			j++
		}
		c := r.at + j - r.lo
		p.value[c] = max(p.value[c], p.worth[s.Kind])
		if p.alone != nil {
			p.alone[c] |= 1 << s.Kind
		}
	}
}

// across takes what smaller parts along x give, alone or two together.
func (p *programme) across(number int32) (steps int) {
	b, own := p.blocks[number], p.in(number)
	wide := int32(len(p.x))
	raise := func(at, from, n int32) {
		out, v := p.value[at:at+n], p.value[from:from+n]
		for k := range out {
			out[k] = max(out[k], v[k])
		}
		steps += int(n)
	}
	for _, at := range []int32{b.a*wide + b.i - 1, (b.a+1)*wide + b.i} {
		if b.i-b.a > 1 && p.index[at] >= 0 {
			pairs(own, p.in(p.index[at]), raise)
		}
	}
	join := func(one, at, two, n int32) {
		out := p.value[at : at+n]
		v, w := p.value[one:][:len(out)], p.value[two:][:len(out)]
		for k := range out {
			out[k] = max(out[k], v[k]+w[k])
		}
		steps += int(n)
	}
	for _, one := range p.from(b.a) {
		if one.i >= b.i {
			break
		}
		if n := p.index[one.i*wide+b.i]; n >= 0 {
			triples(p.right[p.index[b.a*wide+one.i]], own, p.in(n), join)
			steps++
		}
	}
	return steps
}

// starts finds the first run above each lower line, and at last the end of all.
func starts(runs []run, n int) []int32 {
	out := make([]int32, n+1)
	k := 0
	for j := range out {
		for k < len(runs) && int(runs[k].low) < j {
			k++
		}
		out[j] = int32(k)
	}
	return out
}

// up takes what smaller parts along y give, alone or two together, and drops what leads to nothing.
func (p *programme) up(number int32) (steps int) {
	b, runs := &p.blocks[number], p.in(number)
	above := starts(runs, len(p.y))
	for k := len(runs) - 1; k >= 0; {
		from := int(above[runs[k].low])
		for n := from; n <= k; n++ { // the runs of one lower line, upward
			r := runs[n]
			below := runs[above[r.low+1]:above[r.low+2]]
			var last int32
			for j := r.lo; j < r.hi; j++ {
				c := r.at + j - r.lo
				v := max(p.value[c], last)
				for len(below) > 0 && below[0].hi <= j {
					below = below[1:]
				}
				if len(below) > 0 && below[0].lo <= j {
					v = max(v, p.value[below[0].at+j-below[0].lo])
				}
				v = p.capped(v, b, r.low, j)
				if p.room != nil && v+p.room[c] <= p.floor {
					v = 0
				}
				p.value[c] = v
				if v > last { // otherwise a cut at the line before is as good
					steps += p.above(v, runs[n:k+1], j, runs[above[j]:above[min(int(j)+1, len(p.y))]])
				}
				last = v
			}
			steps += int(r.hi - r.lo)
		}
		k = from - 1
	}
	return steps
}

// above adds a value below line j to those above it, into runs from below.
func (p *programme) above(v int32, into []run, j int32, then []run) (steps int) {
	for _, t := range then {
		for _, r := range into {
			lo, hi := max(t.lo, r.lo, j+1), min(t.hi, r.hi)
			if lo >= hi {
				continue
			}
			out := p.value[r.at+lo-r.lo : r.at+hi-r.lo]
			more := p.value[t.at+lo-t.lo:][:len(out)]
			for k := range out {
				out[k] = max(out[k], v+more[k])
			}
			steps += len(out)
		}
	}
	return steps
}

// compare notes where a block gives more than its neighbours. Elsewhere a cut at its right line is no better than one before, and what it gives beside
// another part is no more than what a smaller one gives.
func (p *programme) compare(number int32) {
	b, wide := &p.blocks[number], int32(len(p.x))
	p.right[number] = p.more(p.in(number), b.a*wide+b.i-1, b.i-b.a > 1)
	p.tight[number] = p.more(p.right[number], (b.a+1)*wide+b.i, b.i-b.a > 1)
}

// more gives the parts of runs with more value than another block.
func (p *programme) more(runs []run, other int32, there bool) []run {
	var against []run
	if there && p.index[other] >= 0 {
		against = p.in(p.index[other])
	}
	out := make([]run, 0, len(runs))
	k := 0
	for _, r := range runs {
		from, last := int32(-1), int32(-1)
		for j := r.lo; j < r.hi; j++ {
			v := p.value[r.at+j-r.lo]
			if v == 0 {
				continue
			}
			for k < len(against) && (against[k].low < r.low || against[k].low == r.low && against[k].hi <= j) {
				k++
			}
			if k < len(against) && against[k].low == r.low && against[k].lo <= j && p.value[against[k].at+j-against[k].lo] >= v {
				continue
			}
			if from >= 0 && j-last > fewDead {
				out = append(out, run{r.low, from, last + 1, r.at + from - r.lo})
				from = -1
			}
			if from < 0 {
				from = j
			}
			last = j
		}
		if from >= 0 {
			out = append(out, run{r.low, from, last + 1, r.at + from - r.lo})
		}
	}
	return out
}

// capped lowers a loose value to what a part of the size can give at most, and raises an exact one to what one without flaws gives.
func (p *programme) capped(v int32, b *block, j1, j2 int32) int32 {
	switch {
	case p.clean != nil:
		if p.isClean(int(b.a), int(b.i), int(j1), int(j2)) {
			v = max(v, p.soundly(int(b.a), int(b.i), int(j1), int(j2)))
		}
		return v
	case !p.left.loose:
		return v
	}
	width, height := p.left.at[b.i]-p.left.left(int(b.a)), p.low.at[j2]-p.low.left(int(j1))
	if p.sound == nil {
		return min(v, int32(math.Ceil(p.dense*float64(width)*float64(height))))
	}
	return min(v, int32((p.sound.most(width, height)+p.unit-1)/p.unit))
}

// soundly is what a part without flaws certainly gives.
func (p *programme) soundly(a, i, j1, j2 int) int32 {
	return int32(p.sound.least(p.left.at[i]-p.left.left(a), p.low.at[j2]-p.low.left(j1)) / p.unit)
}

func (p *programme) isClean(a, i, j1, j2 int) bool {
	ny := p.low.n()
	return p.clean[(a*ny+j1)*(ny+1)+j2] >= int32(p.left.at[i])
}

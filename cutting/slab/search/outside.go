package search

import (
	"math"

	"slatewright/cores"
)

// never is less than any value, with room to add some.
const never = math.MinInt32 / 2

// outside bounds, for each cell, what the rest of the slab gives beside its part in a plan that beats the floor: from the whole down to its parts. It is
// never where there is no such plan; nil when done says to stop.
func (p *programme) outside(done func(steps int) bool) []int32 {
	o := make([]int32, p.cells)
	for c := range o {
		o[c] = never
	}
	if c := p.level.of(0, p.left.n(), 0, p.low.n()); c >= 0 {
		o[c] = 0
	}
	order, start := p.byDistance()
	steps := make([]int, len(order))
	for d := len(start) - 2; d >= 1; d-- {
		now := order[start[d]:start[d+1]]
		cores.Share(len(now), 4, func(from, to int) {
			for k := from; k < to; k++ {
				steps[k] = p.beside(o, now[k]) + p.within(o, now[k])
			}
		})
		sum := 0
		for k := range now {
			sum += steps[k]
		}
		if done(sum) {
			return nil
		}
	}
	return o
}

// beside takes over from wider parts.
func (p *programme) beside(o []int32, number int32) (steps int) {
	b, own := p.blocks[number], p.in(number)
	wide := int32(len(p.x))
	grown := func(at, from, n int32) {
		out, v := o[at:at+n], o[from:from+n]
		for k := range out {
			out[k] = max(out[k], v[k])
		}
		steps += int(n)
	}
	if b.a > 0 {
		if n := p.index[(b.a-1)*wide+b.i]; n >= 0 {
			pairs(own, p.in(n), grown)
		}
	}
	if b.i+1 < wide {
		if n := p.index[b.a*wide+b.i+1]; n >= 0 {
			pairs(own, p.in(n), grown)
		}
	}
	with := func(other, at, all, n int32) {
		out := o[at : at+n]
		v, w := o[all:][:len(out)], p.value[other:][:len(out)]
		for k := range out {
			out[k] = max(out[k], v[k]+w[k])
		}
		steps += int(n)
	}
	for _, two := range p.from(b.i) { // b and what lies to its right
		if n := p.index[b.a*wide+two.i]; n >= 0 {
			triples(p.tight[p.index[b.i*wide+two.i]], own, p.in(n), with)
		}
	}
	for _, m := range p.lefts[b.a] { // b and what lies to its left
		if n := p.index[p.blocks[m].a*wide+b.i]; n >= 0 {
			triples(p.tight[m], own, p.in(n), with)
		}
	}
	return steps
}

// within takes over from higher parts of the block, and drops what leads to nothing.
func (p *programme) within(o []int32, number int32) (steps int) {
	runs := p.in(number)
	above := starts(runs, len(p.y))
	for k := 0; k < len(runs); {
		end := int(above[runs[k].low+1])
		for n := end - 1; n >= k; n-- { // the runs of one lower line, downward
			r := runs[n]
			next := runs[above[r.low+1]:above[r.low+2]]
			for j := r.hi - 1; j >= r.lo; j-- {
				c := r.at + j - r.lo
				v := o[c]
				if p.value[c] <= 0 || v+p.value[c] <= p.floor {
					o[c] = never
					continue
				}
				if j > r.lo {
					o[c-1] = max(o[c-1], v)
				}
				if at := find(next, j); at >= 0 {
					o[at] = max(o[at], v)
				}
				for _, q := range runs[k : n+1] { // a cut at line m
					for m := q.lo; m < min(q.hi, j); m++ {
						if other := find(runs[above[m]:above[m+1]], j); other >= 0 {
							one := q.at + m - q.lo
							o[one] = max(o[one], v+p.value[other])
							o[other] = max(o[other], v+p.value[one])
						}
					}
				}
				steps += int(j - r.low)
			}
		}
		k = end
	}
	return steps
}

// find gives the cell below line j among runs of one lower line; −1: none.
func find(runs []run, j int32) int32 {
	for _, r := range runs {
		if j < r.hi {
			if j < r.lo {
				return -1
			}
			return r.at + j - r.lo
		}
	}
	return -1
}

// count counts the parts that lead to more than the floor.
func (p *programme) count(rest []int32) (n int) {
	for i, v := range p.value {
		if v > 0 && v+rest[i] > p.floor {
			n++
		}
	}
	return n
}

// quantile is the floor that leaves some number of parts at most, where that can be.
func (p *programme) quantile(rest []int32, keep int) int32 {
	const parts = 4096
	step := (p.all()-p.floor)/parts + 1
	var more [parts + 1]int
	for i, v := range p.value {
		if u := v + rest[i]; v > 0 && u > p.floor {
			more[min(parts, (u-p.floor-1)/step)]++
		}
	}
	at := parts
	for n := 0; at > 0 && n+more[at] <= keep; at-- {
		n += more[at]
	}
	return p.floor + int32(at+1)*step
}

package guillotine

import (
	"container/heap"
	"slices"
)

// constrained solves with limits on copies.
func (s *search) constrained() {
	x, y, ok := s.axes(false)
	if !ok || slices.Max(s.most) > mostCopies {
		return
	}
	t := &table{x: x, y: y}
	if !s.fill(t, func(w, h int) int64 { return s.byArea(int64(w)*int64(h), nil) }) {
		return
	}
	if len(x.sizes) == 0 || len(y.sizes) == 0 {
		return
	}
	s.lower(t.of(len(x.sizes)-1, len(y.sizes)-1))
	s.careful(t)
	if s.bound <= s.value {
		return
	}
	p := s.prices(t)
	if s.bound > s.value && !s.stopped {
		s.bestFirst(s.outside(t), p)
	}
}

// byDensity gives the items in the order of their value for their area.
func (s *search) byDensity() []int {
	if s.dense == nil {
		s.dense = make([]int, 0, len(s.Items))
		for i := range s.Items {
			if s.most[i] > 0 && s.Items[i].Value > 0 {
				s.dense = append(s.dense, i)
			}
		}
		density := func(i int) float64 {
			return float64(s.Items[i].Value) / float64((s.Items[i].Length+s.Kerf)*(s.Items[i].Width+s.Kerf))
		}
		slices.SortStableFunc(s.dense, func(a, b int) int {
			switch da, db := density(a), density(b); {
			case da > db:
				return -1
			case da < db:
				return 1
			}
			return 0
		})
	}
	return s.dense
}

// careful runs the programme with one plan a state that keeps to the limits: not the best, but a good one at once.
func (s *search) careful(t *table) {
	nx, ny := len(t.x.sizes), len(t.y.sizes)
	if nx*ny > mostCareful {
		return
	}
	best := make([]*build, nx*ny)
	at := func(i, j int) *build { return best[i*ny+j] }
	for i := range nx {
		steps := 0
		for j := range ny {
			var b *build
			for _, l := range s.lies {
				if l.w <= t.x.sizes[i] && l.h <= t.y.sizes[j] {
					b = s.one(l)
					break
				}
			}
			for _, p := range t.x.pairs[i] {
				b = s.better(b, at(p.a, j), at(p.b, j), false)
			}
			for _, p := range t.y.pairs[j] {
				b = s.better(b, at(i, p.a), at(i, p.b), true)
			}
			best[i*ny+j] = b
			steps += 1 + len(t.x.pairs[i]) + len(t.y.pairs[j])
		}
		if s.done(steps) {
			return
		}
	}
	if b := at(nx-1, ny-1); b != nil && b.value > s.value {
		s.take(b)
	}
}

const (
	mostCareful = 1_000_000
	mostCopies  = 60_000 // of one item, as they are counted
)

// one is a block of one copy that counts.
func (s *search) one(l lie) *build {
	b := leaf(l)
	b.used = make([]uint16, len(s.Items))
	b.used[l.item] = 1
	return b
}

// better joins two blocks when that is worth more than b and keeps to the limits.
func (s *search) better(b, first, then *build, up bool) *build {
	if first == nil || then == nil || b != nil && first.value+then.value <= b.value || !s.together(first, then) {
		return b
	}
	return s.joined(first, then, up)
}

// together tells whether two blocks keep to the limits.
func (s *search) together(a, b *build) bool {
	for i, n := range a.used {
		if int(n)+int(b.used[i]) > s.most[i] {
			return false
		}
	}
	return true
}

func (s *search) joined(a, b *build, up bool) *build {
	c := join(a, b, up)
	c.used = slices.Clone(a.used)
	for i, n := range b.used {
		c.used[i] += n
	}
	return c
}

// outside bounds, for each size of a block in the corner of the stock, what the stock around it can give.
func (s *search) outside(t *table) *table {
	nx, ny := len(t.x.sizes), len(t.y.sizes)
	o := &table{x: t.x, y: t.y, value: make([]int64, nx*ny)}
	room := func(a *axis, whole, part int) int { // place of the largest size beside a part; -1: none, the block only grows by waste
		if r := int(a.down[whole-part]); r > 0 {
			return int(a.at[r])
		}
		return -1
	}
	beside := func(r int, of func() int64) int64 {
		if r < 0 {
			return 0
		}
		return of()
	}
	for i := nx - 1; i >= 0; i-- {
		for j := ny - 1; j >= 0; j-- {
			var v int64
			w, h := t.x.sizes[i], t.y.sizes[j]
			for k := i + 1; k < nx; k++ { // the block grows to a size along x by something beside it
				r := room(t.x, t.x.sizes[k], w)
				v = max(v, o.of(k, j)+beside(r, func() int64 { return t.of(r, j) }))
			}
			for k := j + 1; k < ny; k++ {
				r := room(t.y, t.y.sizes[k], h)
				v = max(v, o.of(i, k)+beside(r, func() int64 { return t.of(i, r) }))
			}
			o.value[i*ny+j] = v
		}
		if s.done(ny * (nx - i + ny)) {
			return nil
		}
	}
	return o
}

// node is a block that waits to be joined with others, under the bound on every plan that holds it.
type node struct {
	*build
	bound int64
	turn  int
}

type queue []node

func (q queue) Len() int { return len(q) }
func (q queue) Less(i, j int) bool {
	if q[i].bound != q[j].bound {
		return q[i].bound > q[j].bound
	}
	if q[i].value != q[j].value {
		return q[i].value > q[j].value
	}
	return q[i].turn < q[j].turn
}
func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }

// Push adds a node.
func (q *queue) Push(x any) { *q = append(*q, x.(node)) }

// Pop takes the last.
func (q *queue) Pop() any {
	old := *q
	n := old[len(old)-1]
	*q = old[:len(old)-1]
	return n
}

// frontier is the state of the search best first.
type frontier struct {
	*search
	around *table
	priced *priced // nil: none
	open   queue
	closed []*build
	sizes  map[string][]pair // of the blocks with the same copies
	turn   int
}

// mostOpen is how many blocks may wait: a few hundred megabytes.
const mostOpen = 1_500_000

// bestFirst joins blocks in the order of the bound on plans that hold them.
func (s *search) bestFirst(around *table, p *priced) {
	if around == nil {
		return
	}
	f := &frontier{search: s, around: around, priced: p, sizes: map[string][]pair{}}
	for _, l := range s.lies {
		f.offer(s.one(l))
	}
	for len(f.open) > 0 && len(f.open) < mostOpen {
		n := heap.Pop(&f.open).(node)
		s.lower(n.bound)
		if s.bound <= s.value {
			return
		}
		f.closed = append(f.closed, n.build)
		for _, c := range f.closed {
			f.try(n.build, c)
		}
		if s.done(8 * len(f.closed)) {
			return
		}
	}
	if len(f.open) == 0 {
		s.lower(s.value)
	}
}

// try joins two blocks both ways.
func (f *frontier) try(a, b *build) {
	if a.w+b.w > f.length && a.h+b.h > f.width || !f.together(a, b) {
		return
	}
	value := a.value + b.value
	for _, up := range []bool{false, true} {
		w, h := a.w+b.w, max(a.h, b.h)
		if up {
			w, h = max(a.w, b.w), a.h+b.h
		}
		if w <= f.length && h <= f.width && value+f.beyond(w, h) > f.value {
			f.offer(f.joined(a, b, up))
		}
	}
}

// beyond bounds what the stock around a block of a size can give.
func (f *frontier) beyond(w, h int) int64 {
	return f.around.of(int(f.around.x.at[w]), int(f.around.y.at[h]))
}

// offer lets a block wait when a plan with it can be better and no other with the same copies is smaller.
func (f *frontier) offer(b *build) {
	area := int64(f.length)*int64(f.width) - int64(b.w)*int64(b.h)
	bound := b.value + min(f.beyond(b.w, b.h), f.byArea(area, b.used))
	if f.priced != nil {
		bound = min(bound, f.priced.bound(b))
	}
	if b.value > f.value {
		f.take(b)
	}
	if bound <= f.value {
		return
	}
	key := make([]byte, 0, 2*len(b.used))
	for _, n := range b.used {
		key = append(key, byte(n), byte(n>>8))
	}
	same := f.sizes[string(key)]
	for _, other := range same {
		if other.a <= b.w && other.b <= b.h {
			return
		}
	}
	f.sizes[string(key)] = append(same, pair{b.w, b.h})
	f.turn++
	heap.Push(&f.open, node{b, bound, f.turn})
}

package beds

import (
	"math"
	"math/bits"

	"slatewright/cores"
	"slatewright/seating"
)

// mostKept is the largest stock whose floors are worked out once and kept: four bytes for each triple, 143 MB.
const mostKept = 600

// floors are the floors of all triples.
type floors struct {
	table []float32 // of i < j < k in the order of Floors; nil: too many to keep
	start []int     // of i
	n     int
}

// Floors writes for every k > j into floors[k−j−1] a number that the cost of {i, j, k} is never below, i < j < k; +Inf where no
// arrangement can conform to any class.
func (s *Stock) Floors(i, j int, floors []float64) {
	n := len(s.pieces)
	if s.floors.table == nil {
		for k := j + 1; k < n; k++ {
			floors[k-j-1] = s.floor(i, j, k)
		}
		return
	}
	at := s.floors.at(i, j, j+1)
	for k, f := range s.floors.table[at : at+n-1-j] {
		floors[k] = float64(f)
	}
}

// newTable makes room for the floors of all triples of n.
func newTable(n int) floors {
	f := floors{start: make([]int, n+1), n: n}
	for i := range n {
		left := n - 1 - i
		f.start[i+1] = f.start[i] + left*(left-1)/2
	}
	f.table = make([]float32, f.start[n])
	return f
}

// at is the place of i < j < k.
func (f *floors) at(i, j, k int) int {
	first, left := f.n-1-i, f.n-j // of row i: pieces after i; those from j on
	return f.start[i] + (first*(first-1)-left*(left-1))/2 + k - j - 1
}

// keep works out the floors of all triples, on all cores.
func (s *Stock) keep() {
	n := len(s.pieces)
	if n > mostKept {
		return
	}
	f := newTable(n)
	cores.Share(n, 4, func(from, to int) {
		for x := from; x < to; x++ {
			a := x / 2 // long rows and short ones in turn
			if x%2 == 1 {
				a = n - 1 - x/2
			}
			for b := a + 1; b < n; b++ {
				s.keepRow(&f, a, b)
			}
		}
	})
	s.floors = f
}

// keepRow works out the floors of two pieces with each that is at least as wide; pieces go by rank here.
func (s *Stock) keepRow(f *floors, a, b int) {
	t := s.begin(a, b)
	i, j := s.order[a], s.order[b]
	if i > j {
		i, j = j, i
	}
	for c := b + 1; c < f.n; c++ {
		t.rank[2] = c
		x, y, z := i, j, s.order[c]
		if z < y {
			y, z = z, y
		}
		if y < x {
			x, y = y, x
		}
		f.table[f.at(x, y, z)] = below(s.floorOf(&t))
	}
}

// below is x rounded down.
func below(x float64) float32 {
	y := float32(x)
	if float64(y) > x {
		y = math.Nextafter32(y, float32(math.Inf(-1)))
	}
	return y
}

// floor is the floor of one triple.
func (s *Stock) floor(i, j, k int) float64 {
	a, b, c := s.rank[i], s.rank[j], s.rank[k]
	if b < a {
		a, b = b, a
	}
	if c < b {
		b, c = c, b
	}
	if b < a {
		a, b = b, a
	}
	t := s.begin(a, b)
	t.rank[2] = c
	return s.floorOf(&t)
}

// triple is three pieces in the order of their own zones, and what is known of the twelve meetings of their edges: of pieces 0 and 1,
// 0 and 2, 1 and 2, four each by the edges of the first and of the second.
type triple struct {
	rank  [3]int
	lines [4]lines // of the first four; the others begin at the zone of the widest
	at    [4]int   // which line of them holds there
	step  twelve   // at the zone of the widest

	kinds  []uint64 // arrangements by the kind of the widest
	across float64  // of the other two
	along  float64
	seated bool    // both
	cost   float64 // of their meeting
}

// begin is two pieces that wait for a third one, at least as wide.
func (s *Stock) begin(a, b int) triple {
	p, q := s.pieces[a], s.pieces[b]
	t := triple{rank: [3]int{a, b, 0}, kinds: s.halves[p.kind][q.kind], across: max(p.across, q.across), along: max(p.along, q.along),
		seated: p.face != nil && q.face != nil}
	for e := range 4 {
		t.lines[e], _ = s.pairs.of(a, e/2, b, e%2)
	}
	if s.meeting != nil {
		t.cost = s.meeting[a][b]
	}
	return t
}

// meets says for each arrangement which of the meetings stand at its joints.
var meets = func() (m [48][2]uint8) {
	for k := range arrangements {
		a := &arrangements[k]
		for j := range 2 {
			x, ex, y, ey := a.place[j], a.meets[j].headEdge, a.place[j+1], a.meets[j].footEdge
			if x > y {
				x, ex, y, ey = y, ey, x, ex
			}
			m[k][j] = uint8(4*(x+y-1) + 2*ex + ey)
		}
	}
	return m
}()

// centred are the arrangements with each of the three in the centre, one of every two that are one bed.
var centred = func() (sets [3]uint64) {
	for k := range arrangements {
		if a := &arrangements[k]; int(a.mirror) > k {
			sets[a.place[1]] |= 1 << k
		}
	}
	return sets
}()

// anyArrangement has one of every two that are one bed.
var anyArrangement = centred[0] | centred[1] | centred[2]

// either are arrangements, the preferred one of every two that are one bed.
func either(some uint64) uint64 {
	if some == 1<<48-1 {
		return anyArrangement
	}
	out := uint64(0)
	for ; some != 0; some &= some - 1 {
		k := bits.TrailingZeros64(some)
		out |= 1 << min(k, int(arrangements[k].mirror))
	}
	return out
}

// floorOf is the least that three pieces can cost, by what each two of them say of their joint at the zone of the widest.
func (s *Stock) floorOf(t *triple) float64 {
	c := s.pieces[t.rank[2]]
	allowed := t.kinds[c.kind]
	if allowed == 0 || c.zone > s.widest || max(t.across, c.across) > s.broadest || max(t.along, c.along) > s.longest {
		return math.Inf(1)
	}
	half := c.zone/2 + seating.Hold/2
	s.steps(t, half)
	var joints [3]float64
	if s.meeting != nil {
		x, y := s.meeting[t.rank[2]][t.rank[0]], s.meeting[t.rank[2]][t.rank[1]]
		joints = [3]float64{t.cost + x, t.cost + y, x + y}
	}
	seated := t.seated && c.face != nil
	least := math.Inf(1)
	var steps [3]float64
	if allowed == anyArrangement {
		steps = t.step.smallestOfAll()
	}
	for centre, bits := range centred {
		step := steps[centre]
		if allowed != anyArrangement {
			if bits &= allowed; bits == 0 {
				continue
			}
			step = t.step.smallest(bits)
		}
		cost := joints[centre]
		if !seated {
			if cost < least && (step <= s.classes[0].MaxStep || !math.IsInf(s.binding(t, bits&allowed, half), 1)) {
				least = cost
			}
			continue
		}
		cost += s.weights.Zone * (2*half - 2*seating.Hold)
		switch limit := s.classes[0].MaxStep; {
		case step <= limit:
			least = min(least, cost+s.weights.Step*max(0, step-grain))
		case cost < least:
			least = min(least, joints[centre]+s.binding(t, bits&allowed, half))
		}
	}
	if math.IsInf(least, 1) {
		return least
	}
	return least - 1e-12*math.Abs(least)
}

// steps fills in what each two say at half the zone of the widest. Of a triple that is asked again with a wider one, lines are found from where
// they were.
func (s *Stock) steps(t *triple, half float64) {
	for e := range 4 {
		f, k := t.lines[e], t.at[e]
		for k+1 < len(f) && f[k+1].h <= half {
			k++
		}
		t.at[e], t.step[e] = k, 0
		if len(f) > 0 {
			t.step[e] = max(0, f[k].s+f[k].g*(half-f[k].h))
		}
	}
	first, second := &s.pairs[t.rank[0]], &s.pairs[t.rank[1]]
	*(*[4]float64)(t.step[4:]) = first.own[t.rank[2]-t.rank[0]-1]
	*(*[4]float64)(t.step[8:]) = second.own[t.rank[2]-t.rank[1]-1]
}

// twelve is a number for each of the meetings; smaller is better, and the worse of two joints counts.
type twelve [12]float64

// smallestOfAll is the least for each of the three in the centre, with nothing forbidden: its neighbours turn as suits each joint.
func (s *twelve) smallestOfAll() (least [3]float64) {
	least[0] = min(max(min(s[0], s[1]), min(s[6], s[7])), max(min(s[2], s[3]), min(s[4], s[5])))
	least[1] = min(max(min(s[0], s[2]), min(s[10], s[11])), max(min(s[1], s[3]), min(s[8], s[9])))
	least[2] = min(max(min(s[4], s[6]), min(s[9], s[11])), max(min(s[5], s[7]), min(s[8], s[10])))
	return least
}

// smallest is the least over some arrangements.
func (s *twelve) smallest(some uint64) float64 {
	least := math.Inf(1)
	for ; some != 0; some &= some - 1 {
		m := &meets[bits.TrailingZeros64(some)]
		least = min(least, max(s[m[0]], s[m[1]]))
	}
	return least
}

// joints is the cost of the meetings for each of the three pieces in the centre.
func (s *Stock) joints(rank [3]int) [3]float64 {
	if s.meeting == nil {
		return [3]float64{}
	}
	x, y, z := s.meeting[rank[0]][rank[1]], s.meeting[rank[0]][rank[2]], s.meeting[rank[1]][rank[2]]
	return [3]float64{x + y, x + z, y + z}
}

// binding is the least that seating costs in some arrangements whose steps want a wider zone than the pieces alone.
func (s *Stock) binding(t *triple, some uint64, half float64) float64 {
	least := math.Inf(1)
	first, second := &s.pairs[t.rank[0]], &s.pairs[t.rank[1]]
	for c := range s.classes {
		m, w := &s.classes[c], &s.weights
		if 2*half > m.Zone+4*seating.Hold {
			continue
		}
		var need twelve
		*(*[4]float64)(need[0:]) = first.need[c][t.rank[1]-t.rank[0]-1]
		*(*[4]float64)(need[4:]) = first.need[c][t.rank[2]-t.rank[0]-1]
		*(*[4]float64)(need[8:]) = second.need[c][t.rank[2]-t.rank[1]-1]
		switch h := need.smallest(some); {
		case h <= half+narrow/2:
			least = min(least, s.hardly(t, some, c, half))
		case 2*h <= m.Zone+4*seating.Hold:
			least = min(least, w.Zone*(2*h-4*seating.Hold)+w.Step*max(0, m.MaxStep-s.slack))
		}
	}
	return least
}

// hardly is binding for one class where the zone may be hardly wider than that of the pieces alone.
func (s *Stock) hardly(t *triple, some uint64, c int, half float64) float64 {
	var all [12]lines
	copy(all[:], t.lines[:])
	for e := range 4 {
		all[4+e], _ = s.pairs.of(t.rank[0], e/2, t.rank[2], e%2)
		all[8+e], _ = s.pairs.of(t.rank[1], e/2, t.rank[2], e%2)
	}
	least := math.Inf(1)
	for ; some != 0; some &= some - 1 {
		m := &meets[bits.TrailingZeros64(some)]
		if step := max(t.step[m[0]], t.step[m[1]]); !math.IsInf(step, 1) {
			least = min(least, s.least(c, half, step, all[m[0]], all[m[1]]))
		}
	}
	return least
}

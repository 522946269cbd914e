package beds

import (
	"cmp"
	"math"
	"slices"

	"slatewright/seating"
)

// Price returns the best bed of three pieces, i < j < k: of the arrangements that conform to the tightest class that any conforms to,
// the one of the least cost; of those that are alike in cost the one with the fewest turned pieces, then the first by pieces and turns.
func (s *Stock) Price(i, j, k int) Bed {
	if list := s.beds(i, j, k, true); len(list) > 0 {
		return list[0]
	}
	return Bed{Index: [3]int{i, j, k}}
}

// Beds returns the beds that serve all classes that three pieces can serve: that of Price first, and behind it, for each class that none before
// it serves, the best with the steps of that class. Where the classes are nested (every limit rises from class to class) there is one bed at most.
func (s *Stock) Beds(i, j, k int) []Bed { return s.beds(i, j, k, s.nested) }

// beds are the beds of three pieces, or only the first.
func (s *Stock) beds(i, j, k int, first bool) (list []Bed) {
	q := s.question(i, j, k)
	served := uint32(0)
	for c := range s.classes {
		if served>>c&1 == 1 {
			continue
		}
		if b, ok := q.best(c); ok {
			list, served = append(list, b), served|b.Serves
			if first {
				break
			}
		}
	}
	return list
}

// question is one triple.
type question struct {
	*Stock
	index   [3]int // of the stock
	rank    [3]int
	pieces  [3]*piece
	allowed uint64     // arrangements
	meeting [3]float64 // cost of the meetings with each in the centre
	zone    float64
	across  float64
	along   float64
	seated  bool
	rough   bool

	program program
	room    [2][24]crossing
	lost    bool // an arrangement was lost on the way
}

func (s *Stock) question(i, j, k int) *question {
	q := &question{Stock: s, index: [3]int{i, j, k}, seated: true}
	for n, i := range q.index {
		r := s.rank[i]
		p := s.pieces[r]
		q.pieces[n], q.rank[n] = p, r
		q.zone, q.across, q.along = max(q.zone, p.zone), max(q.across, p.across), max(q.along, p.along)
		q.seated, q.rough = q.seated && p.face != nil, q.rough || p.rough
	}
	q.allowed = s.allowed(q.pieces[0], q.pieces[1], q.pieces[2])
	q.meeting = s.joints(q.rank)
	return q
}

// candidate is an arrangement with the least that it can cost.
type candidate struct {
	number int
	joints float64 // cost of its meetings
	floor  float64
}

// best is the best bed with the steps of class c that conforms to it.
func (q *question) best(c int) (Bed, bool) {
	if q.outside(c) {
		return Bed{}, false
	}
	if q.seated && q.rough {
		return q.slowly(q.index, c)
	}
	var room [48]candidate
	var found [48]Bed
	least, n := math.Inf(1), 0
	order := [48]int{}
	for _, a := range q.candidates(room[:0], c) {
		if a.floor > least+q.tie {
			break
		}
		b, ok := q.lay(a, c, least+q.tie)
		if q.lost {
			return q.slowly(q.index, c)
		}
		if ok && (!q.seated || q.conforms(&b, c)) {
			found[n], order[n], least = b, a.number, min(least, b.Cost)
			n++
		}
	}
	won := -1 // of those that cost the same, the preferred one
	for k := range n {
		if found[k].Cost <= least+q.tie && (won < 0 || order[k] < order[won]) {
			won = k
		}
	}
	if won < 0 {
		return Bed{}, false
	}
	if !q.seated {
		q.unseated(&found[won], order[won])
	}
	return found[won], true
}

// outside tells whether one of the pieces alone exceeds what a bed of class c may.
func (q *question) outside(c int) bool {
	m := &q.classes[c]
	return q.zone > m.Zone+seating.Hold || q.across > m.Across || q.along > m.Lengthwise+hardly
}

// unseated says which classes a bed may serve of which a piece is not known: those that what is known of the others does not rule out.
func (q *question) unseated(b *Bed, number int) {
	all := q.allowed
	q.allowed = 1 << number
	defer func() { q.allowed = all }()
	for c := range q.classes {
		if q.outside(c) {
			continue
		}
		var room [1]candidate
		if len(q.candidates(room[:0], c)) == 1 {
			b.Serves |= 1 << c
		}
	}
}

// candidates lists the arrangements that may conform to class c, the least floor first. Of two that are one bed seen from
// either end the preferred one is listed, unless their stations may differ.
func (q *question) candidates(list []candidate, c int) []candidate {
	half := q.zone/2 + seating.Hold/2
	for n := range arrangements {
		if q.allowed>>n&1 == 0 {
			continue
		}
		a := &arrangements[n]
		var f [2]lines
		skew := false
		cost := q.meeting[a.place[1]]
		for j := range 2 {
			head, foot := a.place[j], a.place[j+1]
			var s bool
			f[j], s = q.pairs.of(q.rank[head], int(a.meets[j].headEdge), q.rank[foot], int(a.meets[j].footEdge))
			skew = skew || s
		}
		if m := int(a.mirror); m < n && !skew && q.allowed>>m&1 == 1 {
			continue
		}
		seat := q.least(c, half, max(f[0].at(half), f[1].at(half)), f[0], f[1])
		if !q.seated && !math.IsInf(seat, 1) {
			seat = 0
		}
		if !math.IsInf(seat, 1) {
			list = append(list, candidate{number: n, joints: cost, floor: cost + seat})
		}
	}
	slices.SortFunc(list, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(a.floor, b.floor), cmp.Compare(a.number, b.number))
	})
	return list
}

// What rounding may take of a step, mm: of one that was solved to the end, and of a floor, which was carried on from step to step.
const (
	rounding = 1e-10
	grain    = 1e-8
)

// narrow is how much wider than the pieces alone a zone must be, mm, for the steps to be no further below their limit than slack.
const narrow = 1e-5

// slack is how far below the limit a step may be that made the zone wider by at least narrow: after the zone the step may win what a zone
// wider by Hold gives, and that is no more than the average gain on the way there, for the step is convex in the zone. On that way
// it falls from no more than it is when all lie in the middle of their own zones.
func slack(pieces []*piece) float64 {
	bump := 0.0
	for _, p := range pieces {
		for e := range p.edges {
			for _, z := range p.edges[e].z {
				bump = max(bump, math.Abs(z))
			}
		}
	}
	return grain + 2*bump*2*seating.Hold/narrow
}

// least is the least that seating can cost with the steps of class c, from half a zone at which the joints allow no larger step less than
// step: +Inf where the steps or the zone cannot be kept.
func (s *Stock) least(c int, half, step float64, head, foot lines) float64 {
	m, w := &s.classes[c], &s.weights
	zone := 2*half - 2*seating.Hold
	if step <= m.MaxStep+grain {
		return w.Zone*zone + w.Step*max(0, step-grain)
	}
	h := max(head.reaches(m.MaxStep+grain, half), foot.reaches(m.MaxStep+grain, half))
	if !(2*h <= m.Zone+4*seating.Hold) {
		return math.Inf(1)
	}
	cost := w.Zone*(2*h-4*seating.Hold) + w.Step*max(0, m.MaxStep-s.slack)
	if far := half + narrow/2; h <= far {
		far += 2 * seating.Hold
		cost = min(cost, w.Zone*zone+w.Step*max(0, max(head.at(far), foot.at(far))-grain))
	}
	return cost
}

// lay seats a candidate with the steps of class c; not when it would cost more than bound, or cannot be.
func (q *question) lay(a candidate, c int, bound float64) (Bed, bool) {
	at := &arrangements[a.number]
	b := Bed{Index: at.of(q.index), Turned: at.turned, Cost: a.joints}
	if !q.seated {
		return b, true
	}
	m, w, p := &q.classes[c], &q.weights, &q.program
	p.n, p.d = 3, unknowns
	for k, i := range at.place {
		p.pieces[k] = q.pieces[i]
	}
	for j := range 2 {
		p.joints[j], _ = meet(q.room[j][:0], p.pieces[j].headSide(at.turned[j]), p.pieces[j+1].footSide(at.turned[j+1]))
	}
	b.Seated, b.Across, b.Lengthwise = true, q.across, math.NaN()
	b.Zone = q.zone
	bound -= a.joints
	most := m.MaxStep
	if w.Step > 0 {
		most = min(most, (bound-w.Zone*b.Zone)/w.Step)
	}
	switch p.smoothest(b.Zone, most+rounding) {
	case lostPath, never:
		q.lost = true
		return b, false
	case beyond:
		if p.x[unknowns-1] <= m.MaxStep {
			return b, false // it costs too much
		}
		ok := false
		if b.Zone, ok = q.flattest(m, bound); !ok {
			return b, false
		}
	}
	b.Step, b.Steps, b.Class = p.x[unknowns-1], p.stepsAt(), c
	b.Cost += w.Step*b.Step + w.Zone*b.Zone
	return b, true
}

// smoothest asks for the smallest larger step with a zone, and stops beyond bound.
func (p *program) smoothest(zone, bound float64) outcome {
	p.forZone, p.half = false, zone/2+seating.Hold/2
	p.begin()
	return p.solve(bound)
}

// flattest asks for the smallest zone with the steps of a class, then for the smallest larger step; not when it would cost more than bound.
func (q *question) flattest(m *Limits, bound float64) (zone float64, ok bool) {
	p, w := &q.program, &q.weights
	p.forZone, p.limit = true, m.MaxStep
	p.begin()
	most := m.Zone
	if w.Zone > 0 {
		most = min(most, max(q.zone+narrow, (bound-w.Step*max(0, m.MaxStep-q.slack))/w.Zone))
	}
	switch p.solve(most/2 + seating.Hold) {
	case lostPath:
		q.lost = true
		fallthrough
	case beyond, never:
		return 0, false
	}
	zone = 2 * p.x[p.d-1]
	if p.smoothest(zone, math.Inf(1)) != solved || !p.within(zone/2) {
		q.lost = true
	}
	return zone, !q.lost
}

// within tells whether the rows of the pieces say all at half a zone.
func (p *program) within(half float64) bool {
	for _, q := range p.pieces[:p.n] {
		if half > q.reach+seating.Hold {
			return false
		}
	}
	return true
}

// stepsAt are the largest steps at the two joints for the present x.
func (p *program) stepsAt() (steps [2]float64) {
	for j := range steps {
		h, f := p.x[3*j:3*j+3], p.x[3*j+3:3*j+6]
		for i := range p.joints[j] {
			c := &p.joints[j][i]
			s := c.z + f[0] + f[1]*c.footU + f[2]*c.footV - h[0] - h[1]*c.headU - h[2]*c.headV
			steps[j] = max(steps[j], math.Abs(s))
		}
	}
	return steps
}

// conforms says which classes a bed serves, and whether class c is one of them.
func (s *Stock) conforms(b *Bed, c int) bool {
	b.Serves = 0
	for c := range s.classes {
		m := &s.classes[c]
		if b.Step <= m.MaxStep+seating.Hold && b.Zone <= m.Zone+seating.Hold && b.Across <= m.Across && s.lengthwise(b, m.Lengthwise) {
			b.Serves |= 1 << c
		}
	}
	return b.Serves>>c&1 == 1
}

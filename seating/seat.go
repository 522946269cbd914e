package seating

import (
	"cmp"
	"fmt"
	"math"

	"slatewright/bed"
	"slatewright/lowlp"
	"slatewright/trouble"
)

// Seat answers the question. Errors are *trouble.Trouble: a face without size, tilted by more than MaxTilt, a bottom face,
// or a joint of which nothing is known. A limit that cannot be met is not an error: the result says Feasible false and the
// pieces lie as near to it as they can.
func Seat(q Question) (Result, error) {
	b, err := newBench(q)
	if err != nil {
		return Result{}, err
	}
	list := arrangements(b.fixed(), q.AnyPlace)
	best, tried, err := b.best(list, q)
	if err != nil {
		return Result{}, err
	}
	proven := best.prove()
	r, err := b.result(best, tried)
	if r.Proven = proven; !proven {
		r.ZoneBound, r.StepBound = 0, 0
		r.Warnings = append(r.Warnings, "that no other moves do better was not proven for these readings: rounding leaves too little to hold the pieces")
	}
	return r, err
}

// bench holds the three measured pieces of a question.
type bench struct {
	pieces [3]*piece
	spec   bed.Spec
}

func newBench(q Question) (*bench, error) {
	b := &bench{spec: q.Spec}
	if !(q.MaxZone >= 0) || (q.MaxZone == 0 && !(q.MaxStep >= 0)) {
		return nil, trouble.Usage("bad-limit", "seat", "the largest step or zone must be a length of 0 or more", "give for example --max-step 0.127mm")
	}
	for k, f := range q.Faces {
		if f == nil {
			return nil, trouble.Usage("no-file", "seat", "three faces are needed", "name the head, centre and foot files")
		}
		p, err := newPiece(f, q.Spec)
		if err != nil {
			return nil, err
		}
		b.pieces[k] = p
	}
	return b, nil
}

func (b *bench) fixed() (fixed [3]bool) {
	for k, p := range b.pieces {
		fixed[k] = p.face.TurnFixed
	}
	return fixed
}

// system sets up the rows of one arrangement.
func (b *bench) system(a arrangement) (*system, [2][2]bool, error) {
	s := &system{half: math.Inf(1), limit: [2]float64{math.Inf(1), math.Inf(1)}}
	var measured [2][2]bool
	for place := range 3 {
		s.pieces[place] = b.pieces[a.index[place]]
	}
	for j := range 2 {
		list, ok, err := stationsOf(&b.pieces, a, j)
		if err != nil {
			return nil, measured, err
		}
		measured[j] = ok
		head, foot := s.pieces[j], s.pieces[j+1]
		for _, st := range list {
			s.steps[j] = append(s.steps[j], stepAt(st, j, head.face.Z, foot.face.Z))
		}
	}
	return s, measured, nil
}

// stepAt is the step at a station between places j and j+1 for the given readings.
func stepAt(st station, j int, head, foot []float64) step {
	out := step{y: st.y, z: st.foot.z(foot) - st.head.z(head)}
	out.a[3*j], out.a[3*j+1], out.a[3*j+2] = -1, -st.head.x, -st.head.y
	out.a[3*j+3], out.a[3*j+4], out.a[3*j+5] = 1, st.foot.x, st.foot.y
	return out
}

// laid is one arrangement and what it reaches.
type laid struct {
	arrangement
	wished
	measured [2][2]bool
	failed   bool // the limit cannot be met
}

// best runs the wishes of the question over all arrangements.
func (b *bench) best(list []arrangement, q Question) (won *laid, tried int, err error) {
	race, left, err := b.race(list)
	if err != nil {
		return nil, 0, err
	}
	won, err = run(race, q)
	if err == nil && left != "" {
		won.warnings = append(won.warnings, left)
	}
	return won, len(race), err
}

// race sets up the arrangements whose joints are known, and says in words which were left out. The error is that of the
// first arrangement when none is left.
func (b *bench) race(list []arrangement) (race []*laid, left string, err error) {
	var first error
	for _, a := range list {
		s, measured, err := b.system(a)
		if err != nil {
			first = cmp.Or(first, err)
			continue
		}
		race = append(race, &laid{arrangement: a, wished: wished{system: s}, measured: measured})
	}
	if len(race) == 0 {
		return nil, "", first
	}
	if first != nil {
		left = fmt.Sprintf("%d of %d arrangements could not be tried: %v", len(list)-len(race), len(list), first)
	}
	return race, left, nil
}

// run goes through the wishes of the question: each leaves those within Hold of the best in the race. When no arrangement
// can keep the limit, the other list of wishes runs without one, and the winner is marked as failed.
func run(race []*laid, q Question) (*laid, error) {
	free := math.Inf(1)
	wishes := func(limited bool) ([]*laid, error) {
		switch {
		case q.MaxZone > 0 && limited:
			return stepFirst(race, q.MaxZone)
		case limited:
			return zoneFirst(race, [2]float64{q.MaxStep, q.MaxStep})
		case q.MaxZone > 0:
			return zoneFirst(race, [2]float64{free, free})
		}
		return stepFirst(race, free)
	}
	won, err := wishes(true)
	if err != nil {
		return nil, err
	}
	if len(won) > 0 {
		return won[0], nil
	}
	if won, err = wishes(false); err != nil {
		return nil, err
	}
	won[0].failed = true
	return won[0], nil
}

// zoneFirst is the list of wishes that begins with the zone. It returns no arrangement when none can keep the limit.
func zoneFirst(race []*laid, limit [2]float64) ([]*laid, error) {
	race, err := wish(race, func(l *laid) error { return l.flattest(limit) }, func(l *laid) float64 { return l.zone })
	if err != nil || len(race) == 0 {
		return nil, err
	}
	if race, err = wish(race, func(l *laid) error { return l.thenStep() }, func(l *laid) float64 { return l.larger() }); err != nil {
		return nil, err
	}
	return theRest(race)
}

// stepFirst is the list of wishes that begins with the larger step.
func stepFirst(race []*laid, limit float64) ([]*laid, error) {
	race, err := wish(race, func(l *laid) error { return l.smoothest(limit) }, func(l *laid) float64 { return l.larger() })
	if err != nil || len(race) == 0 {
		return nil, err
	}
	if race, err = wish(race, func(l *laid) error { return l.thenZone() }, func(l *laid) float64 { return l.zone }); err != nil {
		return nil, err
	}
	return theRest(race)
}

func theRest(race []*laid) ([]*laid, error) {
	race, err := wish(race, func(l *laid) error { return l.thenSmaller() }, func(l *laid) float64 { return l.smaller() })
	if err != nil {
		return nil, err
	}
	return wish(race, func(l *laid) error { return l.thenLeast() }, func(l *laid) float64 { return l.cornerMoves() })
}

// wish asks one wish of every arrangement in the race and keeps those that reach the best value to within Hold.
func wish(race []*laid, ask func(*laid) error, value func(*laid) float64) ([]*laid, error) {
	best := math.Inf(1)
	var met []*laid
	for k, l := range race {
		if k > 0 && l.warm == nil && l.index == race[k-1].index {
			l.warm = race[k-1].warmReadings() // turning a piece leaves the rows of the readings as they are
		}
		if err := ask(l); err != nil {
			return nil, err
		}
		if l.feasible {
			met = append(met, l)
			best = min(best, value(l))
		}
	}
	var kept []*laid
	for _, l := range met {
		if value(l) <= best+Hold {
			kept = append(kept, l)
		}
	}
	return kept, nil
}

// cornerMoves is the sum of the squared moves of the twelve corners.
func (l *laid) cornerMoves() float64 {
	g := l.system.corners()
	s := 0.0
	for c := 0; c < len(g); c += 9 {
		m := 0.0
		for k := range 9 {
			m += float64(g[c+k] * l.moves[k])
		}
		s += float64(m * m)
	}
	return s
}

// prove shows that the first wish could not have been answered better in this arrangement. It reports whether that holds for
// every move that pieces of slate can make. Where a limit is just what can be reached, exact arithmetic may find that it
// cannot, by less than floats can tell: then nothing is proven.
func (l *laid) prove() bool {
	if lowlp.Prove(l.problem, &l.first) != nil || !(l.first.Violation <= Hold) {
		return false
	}
	const high, steep = 10, 2 * MaxTilt // mm, mm per mm: far beyond what a map that was not refused can ask for
	for k, within := range l.first.Within {
		if (k%3 == 0 && within < high) || within < steep {
			return false
		}
	}
	return true
}

// result gathers the figures of the seated bed.
func (b *bench) result(l *laid, tried int) (Result, error) {
	r := Result{Feasible: !l.failed, Tried: tried}
	if l.problem.Rows.(*system).halfWish {
		r.ZoneBound = 2 * l.first.Bound
	} else {
		r.StepBound = l.first.Bound
	}
	for _, p := range b.pieces {
		r.Warnings = append(r.Warnings, p.warnings...)
	}
	r.Warnings = append(r.Warnings, b.sizes()...)
	b.place(&r, l)
	b.joints(&r, l)
	if err := b.figures(&r, l.arrangement, l.moves); err != nil {
		return Result{}, err
	}
	r.Warnings = append(r.Warnings, l.warnings...)
	b.levels(&r, l)
	return r, b.shims(&r, l)
}

func (b *bench) place(r *Result, l *laid) {
	for place := range 3 {
		sign := l.sign(place)
		r.Pieces[place] = Seated{Place: bed.Place(place), Index: l.index[place], Turned: l.turned[place],
			Height: l.moves[3*place], TiltX: sign * l.moves[3*place+1], TiltY: sign * l.moves[3*place+2]}
	}
}

func (b *bench) joints(r *Result, l *laid) {
	for j, steps := range l.system.steps {
		joint := &r.Joints[j]
		joint.Measured = l.measured[j]
		width := min(l.system.pieces[j].sizeY, l.system.pieces[j+1].sizeY)
		if joint.Covered = covered(steps, width); !joint.Covered {
			r.Warnings = append(r.Warnings, fmt.Sprintf("the joint between %s and %s was not read from end to end on both pieces (stations from y = %.0f to %.0f mm): "+
				"what it does elsewhere is not known", bed.Place(j), bed.Place(j+1), steps[0].y, steps[len(steps)-1].y))
		}
		for _, st := range steps {
			d := st.at(l.moves)
			joint.Y, joint.Step = append(joint.Y, st.y), append(joint.Step, d)
			joint.Largest = max(joint.Largest, math.Abs(d))
		}
		for side, ok := range l.measured[j] {
			if ok {
				continue
			}
			p := b.pieces[l.index[j+side]]
			edge := minusEdge
			if side == 0 {
				edge = plusEdge
			}
			r.Warnings = append(r.Warnings, fmt.Sprintf("%s: the joint between %s and %s is not measured at the edge of this piece: %s",
				p.name, bed.Place(j), bed.Place(j+1), p.edge(edge, l.turned[j+side]).how))
		}
	}
}

// sizes warns of pieces that differ.
func (b *bench) sizes() []string {
	var out []string
	first := b.pieces[0]
	for _, p := range b.pieces[1:] {
		if math.Abs(p.sizeX-first.sizeX) > 1 || math.Abs(p.sizeY-first.sizeY) > 1 {
			out = append(out, fmt.Sprintf("%s is %g x %g mm, %s is %g x %g mm: the pieces of a bed are equal", p.name, p.sizeX, p.sizeY, first.name, first.sizeX, first.sizeY))
		}
	}
	return out
}

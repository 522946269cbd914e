package plate

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"slatewright/plate/contact"
	"slatewright/plate/sparse"
	"slatewright/trouble"
)

// Touch is a place of a bench at which contact is asked for.
type Touch struct {
	Point
	Force, Gap float64
}

// benchPoints returns the places of the splines that have stone over them, as many as heights that the splines can hold.
func (m *mesh) benchPoints() (p []Point) {
	for _, y := range m.y.greville() {
		for _, x := range m.x.greville() {
			if q := (Point{x, y}); m.piece.Outline.Has(q) {
				p = append(p, q)
			}
		}
	}
	return p
}

// OnBench lets the plate settle on a bench whose heights are given, which pushes everywhere and never pulls. Contact is asked for at
// the places of the splines, and the answer is proved by its conditions at every one of them.
//
// The set that touches is found by the method of multipliers (Rockafellar, Mathematics of Operations Research 1, 1976): springs at
// the places that touch, and the force in each carried over as the next start, which for a convex quadratic problem ends at the
// very solution. Each round minimises a convex function that is quadratic by pieces, by Newton's method with an exact line
// search, which ends too. At last the plate is held at the set found, its forces corrected to the last digits, and checked.
func (p *Plate) OnBench(heights Field, loads ...Load) (*Rest, []Touch, error) {
	b := bench{plate: p, places: p.mesh.benchPoints()}
	_, balance, err := p.loaded(loads)
	if err != nil {
		return nil, nil, err
	}
	if err := b.prepare(heights, loads); err != nil {
		return nil, nil, err
	}
	r := b.settle(balance)
	if r == nil {
		return nil, nil, trouble.Data("no-rest", "bench", "the piece finds no rest on this bench: it rocks, or the heights are too rough",
			"give the bench's heights over the whole piece; a piece that touches a bench along one line only has no rest")
	}
	touches := make([]Touch, len(b.places))
	for i, q := range b.places {
		touches[i] = Touch{q, r.Force[i], r.Gap[i]}
	}
	return r, touches, nil
}

// bench is one question.
type bench struct {
	plate  *Plate
	places []Point
	rows   []row
	height []float64
	force  []float64 // own weight, growth and loads, by spline
	stiff  float64   // the largest stiffness of a spline
	steps  int
}

func (b *bench) prepare(heights Field, loads []Load) error {
	m := b.plate.mesh
	b.rows, b.height = make([]row, len(b.places)), make([]float64, len(b.places))
	for i, q := range b.places {
		b.rows[i], b.height[i] = m.row(q), heights.At(q.X, q.Y)
		if math.IsNaN(b.height[i]) || math.IsInf(b.height[i], 0) {
			return trouble.Data("bad-bench", "bench", fmt.Sprintf("the height of the bench at (%g, %g) mm is not a number", q.X, q.Y), "give heights over the whole piece")
		}
	}
	b.force = make([]float64, len(m.own))
	for i := range b.force {
		b.force[i] = m.own[i] + m.bend[i]
		b.stiff = math.Max(b.stiff, m.k.At(i, i))
	}
	for _, l := range loads {
		if err := m.lay(b.force, l); err != nil {
			return err
		}
	}
	return nil
}

// gapSlack is the depth in mm that still counts as touching: a picometre.
const gapSlack = 1e-9

// The springs of the first round, as a share of the largest stiffness of a spline, by how much they grow from round to round,
// and their largest. Measured on crowns, dishes and twists of 0.02 to 1.2 mm: fewer or more rounds cost more steps.
const (
	firstSpring = 1e-3
	growSpring  = 10
	lastSpring  = 1e3
	mostRounds  = 40
	mostSteps   = 100 // of Newton in one round; where it ends it takes some five
)

// settle carries the rounds out and returns the proved rest, nil where there is none.
func (b *bench) settle(balance []float64) *Rest {
	c := make([]float64, len(b.force))
	p := make([]float64, len(b.places))
	for i := range p {
		p[i] = math.Max(0, balance[0]/float64(len(p)))
	}
	spring := firstSpring * b.stiff
	for range mostRounds {
		if !b.minimise(c, p, spring) {
			return nil
		}
		on := make([]bool, len(p))
		for i, w := range b.rows {
			p[i] = math.Max(0, p[i]+spring*(b.height[i]-w.of(c)))
			on[i] = p[i] > 0
		}
		if spring = math.Min(spring*growSpring, lastSpring*b.stiff); spring < lastSpring*b.stiff {
			continue
		}
		if r := b.held(on, c, p, spring); r != nil {
			if r.Proof = b.check(r.Force, r.Gap, balance); r.Proof.Holds() {
				return r
			}
		}
	}
	return nil
}

// minimise changes the splines c to those of least energy with a spring at every place whose force p + spring·depth pushes.
func (b *bench) minimise(c, p []float64, spring float64) bool {
	var last []bool
	for range mostSteps {
		b.steps++
		push := make([]float64, len(p)) // the force of each place
		on := make([]bool, len(p))
		same := last != nil
		for i, w := range b.rows {
			push[i] = p[i] + spring*(b.height[i]-w.of(c))
			on[i] = push[i] > 0
			same = same && on[i] == last[i]
		}
		if same {
			return true
		}
		right := b.unbalanced(c, push, on)
		f := b.sprung(on, spring)
		if f == nil {
			return false
		}
		d := f.Solve(right)
		t := b.search(c, d, push, right, spring)
		for u, v := range d {
			c[u] += t * v
		}
		last = nil
		if t == 1 {
			last = on
		}
	}
	return true // the next round goes on from here
}

// unbalanced is the force at each spline that nothing answers: loads, less what bending takes, and what the places push.
func (b *bench) unbalanced(c, push []float64, on []bool) []float64 {
	right := b.plate.mesh.k.Multiply(c)
	for u := range right {
		right[u] = b.force[u] - right[u]
	}
	for i, w := range b.rows {
		if on[i] {
			for a, u := range w.at {
				right[u] += push[i] * w.v[a]
			}
		}
	}
	return right
}

// sprung factorises the stiffness with springs at the places that are on; where they do not hold the plate, the pins help.
func (b *bench) sprung(on []bool, spring float64) *sparse.Factor {
	k := b.plate.mesh.k.Copy()
	add := func(r row, s float64) {
		for a, u := range r.at {
			for c := range a + 1 {
				k.Add(r.at[c], u, s*r.v[a]*r.v[c])
			}
		}
	}
	for i, r := range b.rows {
		if on[i] {
			add(r, spring)
		}
	}
	if f, err := sparse.NewFactor(k); err == nil {
		return f
	}
	for _, q := range b.plate.pins {
		add(b.plate.mesh.row(q), 1e-6*b.stiff)
	}
	f, _ := sparse.NewFactor(k)
	return f
}

// search returns how far along d the energy is least. Its slope along d is a line by pieces that never falls; where it passes 0 is
// found by walking over the places whose spring lets go or takes hold.
func (b *bench) search(c, d, push, right []float64, spring float64) float64 {
	bend := 0.0
	for u, v := range b.plate.mesh.k.Multiply(d) {
		bend += v * d[u]
	}
	start := 0.0
	for u, v := range right {
		start -= v * d[u]
	}
	type turn struct{ t, rate float64 }
	var turns []turn
	rate := bend
	for i, w := range b.rows {
		down := -spring * w.of(d) // how the force of the place grows
		k := down * down / spring
		if push[i] > 0 {
			rate += k
		}
		if t := -push[i] / down; t > 0 {
			turns = append(turns, turn{t, math.Copysign(k, down)})
		}
	}
	slices.SortStableFunc(turns, func(a, b turn) int { return cmp.Compare(a.t, b.t) })
	at, slope := 0.0, start
	for _, next := range turns {
		if slope+rate*(next.t-at) >= 0 {
			break
		}
		slope += rate * (next.t - at)
		at, rate = next.t, rate+next.rate
	}
	if rate <= 0 {
		return at
	}
	if t := at - slope/rate; math.Abs(t-1) > 1e-9 {
		return t
	}
	return 1
}

// held returns the plate held at the heights of the places that are on, from the splines and forces that are nearly right; nil
// when those places do not hold it.
func (b *bench) held(on []bool, c, p []float64, spring float64) *Rest {
	f := b.sprung(on, spring)
	r := &Rest{plate: b.plate, splice: slices.Clone(c)}
	r.Force, r.Gap, r.Carries, r.Steps = slices.Clone(p), make([]float64, len(on)), on, b.steps
	if f == nil {
		return nil
	}
	push := make([]float64, len(on))
	for range 30 {
		for i, w := range b.rows {
			push[i] = r.Force[i] + spring*(b.height[i]-w.of(r.splice))
		}
		for u, v := range f.Solve(b.unbalanced(r.splice, push, on)) {
			r.splice[u] += v
		}
		off, size := 0.0, 0.0
		for i, w := range b.rows {
			if r.Gap[i] = w.of(r.splice) - b.height[i]; on[i] {
				r.Force[i] -= spring * r.Gap[i]
				off, size = math.Max(off, math.Abs(r.Gap[i])), math.Max(size, math.Abs(r.Force[i]))
			}
		}
		if off < gapSlack && spring*off < 1e-7*size {
			return r
		}
	}
	return r
}

// check measures by how much the conditions are missed at all places.
func (b *bench) check(force, gap, balance []float64) contact.Proof {
	n := len(force)
	c := contact.Problem{D: make([]float64, n), E: make([][]float64, n), B: balance, Low: make([]float64, n)}
	lo, hi := math.Inf(1), math.Inf(-1)
	for i, q := range b.places {
		r := b.plate.rigid(q)
		c.E[i] = r[:]
		lo, hi = math.Min(lo, gap[i]), math.Max(hi, gap[i])
	}
	proof := c.Check(force, gap)
	proof.ScaleMM = math.Max(hi-lo, 1e-3) // a micrometre where nothing lifts
	return proof
}

package levelling

import (
	"fmt"
	"math"

	"slatewright/bed"
	"slatewright/flatness"
	"slatewright/lowlp"
	"slatewright/plate"
	"slatewright/seating"
	"slatewright/trouble"
)

// Question asks how a bed is laid on its frame.
type Question struct {
	Layout *seating.Layout
	Spec   bed.Spec        // limits, and the shims that exist
	Plates [3]*plate.Plate // of head, centre and foot, in the frame of the piece as it lies

	Pull     float64          // what each support can hold down, N; 0: it can only push
	Give     float64          // how much the frame gives at a support, mm/N; 0: it is hard
	Frame    [3][]float64     // how high the frame stands under each support, mm; nil: it is true
	Look     [3][]plate.Point // places, besides the readings, whose heights are asked for
	Strength float64          // of the stone in bending, N/mm²; 0: not looked at
	Factor   float64          // by which the largest stress is to stay below it

	Test *plate.Load // a load laid on the centre piece for a test; nil: none
}

// Result is how the bed lies.
type Result struct {
	Figures               // on the packs
	Share    float64      // the largest of lengthwise, across, zone and steps, each as a share of its limit
	Bound    float64      // proven: no heights of shims make Share smaller
	Proven   bool         // else Bound is 0
	Ideal    Figures      // on shims of any height
	Feet     [3][]Foot    // head, centre, foot
	Heights  [3][]float64 // of the places of Look, on the packs, mm
	Readings [3][]float64 // of the readings
	Joints   [2][]Along   // the step at every station
	TestSag  float64      // how far the centre piece goes down where the test load lies, mm; of its own place only
	Stress   [3]Stress    // largest in each piece, on the packs
	Work     []Stage      // in order
	Tried    int          // beds looked at while packs were exchanged
	Warnings []string
}

// Along is the step at one place of a joint: the height of the foot-side edge less that of the head-side edge, mm.
type Along struct{ Y, Step float64 }

// Figures are the numbers of a bed that are judged, mm.
type Figures = seating.Figures

// Foot is one support.
type Foot struct {
	X, Y    float64 // frame of the piece as it lies, mm
	Asked   float64 // height that the ideal bed has there, mm above the lowest pack
	Pack    bed.Pack
	Force   float64 // N, negative where a screw pulls
	Lifts   bool    // it carries nothing
	Gap     float64 // mm, where it lifts
	Assumed bool    // no thickness was read near by
}

// places are those of each piece that are looked at, in the frame of the piece as it lies: the readings, the edges at the
// stations of the joints, the mechanic's marks, and what the question asks for, in this order.
func (q Question) places() (at [3][][2]float64) {
	l := q.Layout
	for k, p := range l.Pieces {
		for i := range p.X {
			at[k] = append(at[k], [2]float64{p.X[i], p.Y[i]})
		}
	}
	for j, list := range l.Joints {
		for _, st := range list {
			at[j] = append(at[j], [2]float64{st.Head.X, st.Head.Y})
			at[j+1] = append(at[j+1], [2]float64{st.Foot.X, st.Foot.Y})
		}
	}
	for k := range at {
		at[k] = append(at[k], marks(l.Pieces[k])...)
		for _, p := range q.Look[k] {
			at[k] = append(at[k], [2]float64{p.X, p.Y})
		}
	}
	return at
}

// sheets asks the plates how they bend.
func (q Question) sheets() (sheets [3]sheet, stands [3]*plate.Stand, err error) {
	for k, at := range q.places() {
		var supports []plate.Support
		for _, u := range q.Layout.Pieces[k].Undersides {
			supports = append(supports, plate.Support{X: u.X, Y: u.Y, Pull: q.Pull, Give: q.Give})
		}
		look := make([]plate.Point, len(at))
		for i, p := range at {
			look[i] = plate.Point{X: p[0], Y: p[1]}
		}
		if stands[k], err = q.Plates[k].Stand(supports, look); err != nil {
			return sheets, stands, err
		}
		sheets[k] = bend(q.Plates[k], stands[k], at)
	}
	return sheets, stands, nil
}

// job is a question at work.
type job struct {
	q       Question
	pieces  [3]*piece
	shape   bedShape
	marksAt [3]int          // number of the first mark among the places of each piece
	stands  [3]*plate.Stand // nil in tests that make up their sheets
	result  Result
}

// Level answers the question. Errors are *trouble.Trouble: supports that do not hold a piece, a specification without them.
func Level(q Question) (Result, error) {
	f, err := Prepare(q)
	if err != nil {
		return Result{}, err
	}
	return f.Level()
}

// Ready is a question made ready: how each piece bends on its supports is known, so other packs cost no more than finding where the
// pieces rest on them. It is not changed by its methods.
type Ready struct {
	q      Question
	sheets [3]sheet
	stands [3]*plate.Stand
}

// Prepare makes a question ready. Errors are those of [Level].
func Prepare(q Question) (*Ready, error) {
	for k, p := range q.Layout.Pieces {
		if len(p.Undersides) < 3 {
			return nil, trouble.Data("few-supports", "the specification", fmt.Sprintf("it names %s for the %s piece", trouble.Count(len(p.Undersides), "support", "supports"), bed.Place(k)),
				"name at least three under each piece that do not stand on one line ('supports:')")
		}
	}
	f := &Ready{q: q}
	var err error
	f.sheets, f.stands, err = q.sheets()
	return f, err
}

// Level finds the packs.
func (f *Ready) Level() (Result, error) { return (&job{q: f.q, stands: f.stands}).level(f.sheets) }

// On returns what the bed measures on packs of the given heights, mm, one for each support of head, centre and foot. A piece that would tip is trouble.
func (f *Ready) On(packs [3][]float64) (Figures, error) {
	j := &job{q: f.q, stands: f.stands}
	if err := j.set(f.sheets); err != nil {
		return Figures{}, err
	}
	l, err := j.on(packs)
	if err != nil {
		return Figures{}, err
	}
	return l.Figures, nil
}

// Packs are the heights of the packs that were found, as [Ready.On] takes them.
func (r Result) Packs() (packs [3][]float64) {
	for k, feet := range r.Feet {
		for _, f := range feet {
			packs[k] = append(packs[k], f.Pack.Height)
		}
	}
	return packs
}

func (j *job) level(sheets [3]sheet) (Result, error) {
	if err := j.set(sheets); err != nil {
		return Result{}, err
	}
	moves, forces, err := j.ideal()
	if err != nil {
		return Result{}, err
	}
	err = j.pack(moves, forces)
	return j.result, err
}

// set brings free shapes, sheets and supports together.
func (j *job) set(sheets [3]sheet) error {
	l := j.q.Layout
	count := [3]int{}
	j.shape.middle = l.Middle
	for k, p := range l.Pieces {
		s := sheets[k]
		if err := s.check(p.Name); err != nil {
			return err
		}
		pc := &piece{sheet: s, name: p.Name, z: make([]float64, len(s.at)), under: make([]float64, len(s.feet)), pull: make([]float64, len(s.feet))}
		copy(pc.z, p.Z)
		for i := range p.X {
			j.shape.places[k] = append(j.shape.places[k], spot{i, l.Middle[k] + p.X[i], p.Y[i]})
		}
		count[k] = len(p.X)
		for i, u := range p.Undersides {
			pc.under[i], pc.pull[i] = u.Z, j.q.Pull
		}
		if err := pc.balance(); err != nil {
			return err
		}
		j.pieces[k] = pc
	}
	for i, list := range l.Joints {
		for _, st := range list {
			a, b := count[i], count[i+1]
			j.pieces[i].z[a], j.pieces[i+1].z[b] = st.Head.Z, st.Foot.Z
			j.shape.joints[i] = append(j.shape.joints[i], step{st.Y, a, b})
			count[i]++
			count[i+1]++
		}
	}
	j.marksAt = count
	for k, p := range j.pieces {
		for i := count[k]; i < len(p.at); i++ {
			p.z[i], _ = l.Height(bed.Place(k), p.at[i][0], p.at[i][1])
		}
	}
	j.result.Warnings = append(j.result.Warnings, l.Warnings...)
	return nil
}

// ideal finds the flattest bed on shims of any height, and proves it.
func (j *job) ideal() (moves [3][3]float64, forces [3][]float64, err error) {
	w := newWish(j.pieces, &j.shape, j.q.Spec.Limits)
	if d := w.Dim(); d > lowlp.MaxDim {
		return moves, forces, trouble.Data("many-supports", "the specification", fmt.Sprintf("%d supports are more than the %d that can be levelled at once", d-1, lowlp.MaxDim-1),
			"leave out supports that only follow the piece")
	}
	cost := make([]float64, w.Dim())
	cost[w.first[3]] = 1
	problem := lowlp.Problem{Cost: cost, Rows: w, Start: w.start()}
	best, err := lowlp.Solve(problem)
	if err != nil {
		return moves, forces, err
	}
	if best.Status != lowlp.Optimal {
		return moves, forces, trouble.Data("tips", "the bed", "a piece would tip: its supports do not surround its middle", "place supports further out, or screw it down")
	}
	v := best.V
	if soft, err := w.gentlest(best.Value, j.natural()); err == nil && soft != nil {
		v = soft
	}
	if lowlp.Prove(problem, &best) == nil && best.Violation <= 1e-9 && best.Within == nil {
		j.result.Bound, j.result.Proven = math.Max(0, best.Bound)*(1-upright), true
	} else {
		j.result.Warnings = append(j.result.Warnings, "that no other shims make a flatter bed was not proven for these readings")
	}
	var heights [3][]float64
	for k, p := range j.pieces {
		from := w.first[k]
		forces[k] = p.forces(v[from : from+p.beyond()])
		copy(moves[k][:], v[from+p.beyond():])
		heights[k] = p.heights(forces[k], moves[k])
	}
	j.result.Ideal, err = j.figures(heights)
	return moves, forces, err
}

// upright is by how much a figure taken along z may be larger than the same figure square to its own line or plane: a bed
// within a few mm of level has slopes below 1 mm/m. A share of the bound is given up for it.
const upright = 1e-6

// start is a guess: every piece on the forces of a flat one on a true frame, level.
func (w *wish) start() []float64 {
	return make([]float64, w.Dim())
}

// natural are the forces of flat pieces of even thickness on a true frame: as nobody forces them.
func (j *job) natural() (forces [3][]float64) {
	for k, p := range j.pieces {
		flat := *p
		flat.under = make([]float64, len(p.under))
		r, err := flat.lie(make([]float64, len(p.under)))
		if err != nil {
			r.forces = p.base
		}
		forces[k] = r.forces
	}
	return forces
}

// gentlest takes, of all beds that reach t, the one whose forces are nearest to the natural ones.
func (w *wish) gentlest(t float64, natural [3][]float64) ([]float64, error) {
	d := w.Dim()
	var g, h []float64
	add := func(hk float64, set func(a []float64)) {
		a := make([]float64, d)
		set(a)
		g, h = append(g, a...), append(h, hk)
	}
	for k, p := range w.pieces {
		b, first := p.beyond(), w.first[k]
		for i := range p.feet {
			add((natural[k][i]-p.base[i])/unit, func(a []float64) {
				for c := range b {
					a[first+c] = p.loop[i*b+c] / unit
				}
			})
		}
		for _, at := range corners(p.at) { // a hundredth of a millimetre of a corner counts as little as 0.1 N
			add(0, func(a []float64) { a[first+b], a[first+b+1], a[first+b+2] = 0.1, 0.1*at[0], 0.1*at[1] })
		}
	}
	add(0, func(a []float64) { a[d-1] = 1e-3 })
	cap := row{make([]float64, d), t + 1e-9 + 1e-6*math.Abs(t)}
	cap.a[d-1] = 1
	w.rows = append(w.rows, cap)
	warm := []int{len(w.rows) - 1}
	s, err := lowlp.Nearest(lowlp.Least{G: g, H: h, Rows: &capped{w, len(w.rows) - 1}, Warm: warm})
	if err != nil || s.Status != lowlp.Optimal {
		return nil, err
	}
	return s.V, nil
}

// capped is a wish with t held down.
type capped struct {
	*wish
	cap int
}

// Worst looks at the cap too.
func (c *capped) Worst(v []float64, ray bool, yield func(int, float64)) {
	if e := c.rows[c.cap].excess(v, ray); e > 0 {
		yield(c.cap, e)
	}
	c.wish.Worst(v, ray, yield)
}

// corners of the box around places.
func corners(at [][2]float64) [4][2]float64 {
	lo, hi := at[0], at[0]
	for _, a := range at {
		lo, hi = [2]float64{min(lo[0], a[0]), min(lo[1], a[1])}, [2]float64{max(hi[0], a[0]), max(hi[1], a[1])}
	}
	return [4][2]float64{lo, {lo[0], hi[1]}, {hi[0], lo[1]}, hi}
}

// figures are what a bed of given heights measures.
func (j *job) figures(heights [3][]float64) (f Figures, err error) {
	var p flatness.Points
	for k, spots := range j.shape.places {
		for _, sp := range spots {
			p.X, p.Y, p.Z = append(p.X, sp.x), append(p.Y, sp.y), append(p.Z, heights[k][sp.at])
		}
	}
	long, across, err := flatness.Lines(p, j.q.Layout.JointX)
	if err != nil {
		return f, err
	}
	f.Lengthwise, f.Across = long.Value, across.Value
	if f.Zone, err = flatness.ZoneValue(p); err != nil {
		return f, err
	}
	for i, steps := range j.shape.joints {
		for _, st := range steps {
			f.Steps[i] = max(f.Steps[i], math.Abs(heights[i+1][st.foot]-heights[i][st.head]))
		}
	}
	return f, nil
}

// share is the largest figure as a share of its limit, and the sum of the squares of all of them, for beds that are equally good.
func (j *job) share(f Figures) (largest, squares float64) {
	l := j.q.Spec.Limits
	for _, s := range [5]float64{f.Lengthwise / l.Lengthwise, f.Across / l.Across, f.Zone / l.Zone, f.Steps[0] / l.Step, f.Steps[1] / l.Step} {
		largest = max(largest, s)
		squares += float64(s * s)
	}
	return largest, squares
}

// Package cause asks what made the holes of a drawing lie where they were not drawn: one systematic fault, or none that can be told.
//
// The faults that it knows are a shift, a turn, both; a scale (of both axes or of one); a face taken for the other (mirrored); one stop of the fixture
// off, so that the stone was drilled turned about the others; a wander of the drill that grows along its run, in one direction or in all; one piece that lies off; one hole alone.
// Every fault, with and without a motion of the whole, is a small linear model of the deviations; they are compared by the Bayesian
// information criterion (G. Schwarz, Annals of Statistics 6, 1978, 461–464), and a cause must be better than no fault by 10 or more.
// Where another kind of fault comes within 6 of it, the two cannot be told apart, and that is said.
//
// It knows nothing of tolerances and does not say whether the holes are good.
package cause

import (
	"cmp"
	"math"
	"slices"

	"slatewright/bed/holes/fit"
)

// Kind is a kind of fault, a word for programs and people.
type Kind string

// The kinds.
const (
	None         Kind = "none"
	Shift        Kind = "shift"
	Turn         Kind = "turn"
	ShiftAndTurn Kind = "shift and turn"
	Scale        Kind = "scale"
	Mirrored     Kind = "mirrored"
	Pin          Kind = "fixture pin"
	Wander       Kind = "drill wander"
	Piece        Kind = "one piece"
	OneHole      Kind = "one hole"
)

// What a difference of the criterion must be, and what is too little to part two kinds.
const (
	Found    = 10.0
	Together = 6.0
)

// Place is one hole. The drawing and what was measured are in nearly the same frame: what a fit has found of an own frame is taken off already.
type Place struct {
	Name     string
	Nominal  fit.Vector
	Measured fit.Vector
	Run      float64 // how far the drill had come when it was made: 0 first hole, 1 last
	Piece    int     // index into Pieces
}

// Stop is where a fixture holds a piece, and the unit direction in which it pushes it. Three stops hold a piece.
type Stop struct {
	Piece int
	At, N fit.Vector
}

// Question is a set of holes that were drilled alike.
type Question struct {
	Places []Place
	Pieces []string // their names
	Stops  []Stop   // three for each piece, in the same order for each; nil where the fixture is not known
	U      float64  // standard uncertainty of a coordinate: scatter is never taken to be less
	// Datum says that the frame means something: that a shift or a turn of the whole is a fault, and not only how the instrument lay.
	Datum bool
	// Drilled says that Run is the order of drilling, and not only that of the drawing, where one kind of hole stands behind another: scatter that grows along it
	// is asked for only then.
	Drilled bool
}

// Amount is one number of a fault with its standard uncertainty.
type Amount struct {
	Name  string
	Value float64
	U     float64
	Unit  string // "mm" or "mm per m"
}

// Finding is what was found.
type Finding struct {
	Kind Kind
	// Of names the hole, piece, stop or axis that is at fault, or Scatter; empty where the kind says all.
	Of      string
	Amounts []Amount
	// Explains is the share of the squares of the deviations that the fault takes away, and Scatter what is left: standard deviation of a coordinate, mm.
	Explains, Scatter float64
	Better            float64 // than no fault, by the criterion
	Rivals            []Kind  // other kinds that explain nearly as much, best first
}

// Sure reports whether the finding stands alone.
func (f Finding) Sure() bool { return f.Kind == None || len(f.Rivals) == 0 }

// Find answers. With fewer than three places nothing can be told, and the kind is None.
//
// A motion of the whole is preferred to a fault of the pattern, and a simple motion to shift and turn together, unless the fault is better by Found,
// the two together by Together: every larger model fits a little better.
func Find(q Question) Finding {
	if len(q.Places) < 3 {
		return Finding{Kind: None}
	}
	var tried []trial
	for _, m := range q.models() {
		if t, ok := q.try(m); ok {
			tried = append(tried, t)
		}
	}
	none, ok := least(tried, func(t trial) bool { return t.model.kind == None })
	if !ok {
		return Finding{Kind: None}
	}
	best := none
	prefer := func(by float64, kinds func(t trial) bool) {
		if t, ok := least(tried, kinds); ok && t.criterion < best.criterion-by {
			best = t
		}
	}
	prefer(Found, func(t trial) bool { return t.moves() && t.model.kind != ShiftAndTurn })
	if best.model.kind == None {
		prefer(Found, func(t trial) bool { return t.model.kind == ShiftAndTurn })
	} else {
		prefer(Together, func(t trial) bool { return t.model.kind == ShiftAndTurn })
	}
	motion, _ := least(tried, trial.moves) // that it was not found does not make it less likely
	if t, ok := least(tried, func(t trial) bool { return !t.moves() }); ok && t.criterion < motion.criterion-Found {
		best = t
	}
	f := Finding{Kind: best.model.kind, Of: best.model.of, Amounts: best.amounts(), Scatter: best.scatter, Better: none.criterion - best.criterion}
	if f.Kind == None {
		return f
	}
	if none.squares > 0 && best.model.weights == nil {
		f.Explains = 1 - best.squares/none.squares
	}
	f.Rivals = rivals(tried, best)
	return f
}

// least is the trial of the least criterion of some.
func least(tried []trial, of func(t trial) bool) (best trial, ok bool) {
	for _, t := range tried {
		if of(t) && (!ok || t.criterion < best.criterion) {
			best, ok = t, true
		}
	}
	return best, ok
}

// moves reports whether the fault is a motion of the whole, or none.
func (t trial) moves() bool { return t.model.kind == t.model.motion || t.model.kind == None }

// rivals are the kinds that come close to the best without holding it as a part of themselves.
func rivals(tried []trial, best trial) (list []Kind) {
	tried = slices.DeleteFunc(slices.Clone(tried), func(t trial) bool { return t.criterion > best.criterion+Together })
	slices.SortStableFunc(tried, func(a, b trial) int { return cmp.Compare(a.criterion, b.criterion) })
	for _, t := range tried {
		k := t.model.kind
		switch {
		case k == best.model.kind || k == None || slices.Contains(list, k):
		case best.moves() && (t.model.motion == best.model.motion || t.model.motion == ShiftAndTurn): // it holds the motion that was found
		case !best.moves() && t.moves(): // it is a part of what was found
		default:
			list = append(list, k)
		}
	}
	return list
}

// trial is a model with what it leaves.
type trial struct {
	model     model
	values    []float64
	us        []float64
	squares   float64
	scatter   float64
	criterion float64
}

// try fits a model. The scatter is what it leaves, but not less than the uncertainty of a reading; where it grows along the run it is that at the end.
func (q Question) try(m model) (trial, bool) {
	columns, deviations, cost, most := m.weighted(q.deviations(m))
	x, inverse, squares, ok := leastSquares(columns, deviations)
	n := float64(2 * len(q.Places))
	if !ok || float64(len(m.columns)) >= n {
		return trial{}, false
	}
	t := trial{model: m, values: x, squares: squares}
	floor := math.Max(q.U*q.U, 1e-6) * most * most
	variance := math.Max(squares/n, floor)
	t.criterion = n*math.Log(variance) + squares/variance + cost + (float64(len(m.columns))+m.choice)*math.Log(n) + m.extra
	t.scatter = math.Sqrt(math.Max(squares/(n-float64(len(m.columns))), floor))
	for k := range x {
		t.us = append(t.us, t.scatter*math.Sqrt(inverse[k]))
	}
	return t, true
}

// deviations are measured less drawn, one after the other; of a mirrored model after the mirrored drawing is laid on by least squares.
func (q Question) deviations(m model) []fit.Vector {
	if m.kind != Mirrored {
		out := make([]fit.Vector, len(q.Places))
		for i, p := range q.Places {
			out[i] = fit.Vector{X: p.Measured.X - p.Nominal.X, Y: p.Measured.Y - p.Nominal.Y}
		}
		return out
	}
	var pairs []fit.Pair
	for i, p := range q.Places {
		pairs = append(pairs, fit.Pair{Nominal: m.mirror[i], Measured: p.Measured, U: 1})
	}
	r, err := fit.Least(pairs)
	if err != nil {
		return make([]fit.Vector, len(q.Places))
	}
	return r.Deviations
}

// amounts says the fault's numbers; those of the motion beside it are left out.
func (t trial) amounts() (list []Amount) {
	if t.model.weights != nil {
		return []Amount{{"scatter at the end of the run", t.scatter, t.scatter / math.Sqrt(4*float64(len(t.model.weights))), "mm"}}
	}
	for k, name := range t.model.names {
		if name != "" {
			list = append(list, Amount{name, t.values[k] * t.model.units[k].factor, t.us[k] * t.model.units[k].factor, t.model.units[k].name})
		}
	}
	return list
}

// Package float asks whether all bolts pass at the same time: is there a place for every part at which each bolt is within the float of its hole?
//
// Parts (pieces of stone, rails) move rigidly in the plane, each by a small shift and a small turn; the ground (the frame) stays. A passage says that a
// hole of one part must lie within the float of a bolt of another; a closure says how far two parts may move against each other at a joint.
// What is found is the most float that can be left at the tightest bolt. Less than none means that they do not all pass, and the bolts that
// fight are named: no place of the parts frees all of them together.
//
// The answer stands between two bounds. One is a place of the parts, looked at with true turns. The other is a combination of the bolts' directions in
// which the moves cancel (the multipliers of a linear programme, package lowlp, over tangents of the floats' circles), taken with what
// true turns can change of it. The package does not know which bolts there are, reads nothing, and says nothing of height.
//
// Lengths are in mm, angles in radians.
package float

import (
	"fmt"
	"math"
	"slices"

	"slatewright/bed/holes/fit"
	"slatewright/lowlp"
	"slatewright/trouble"
)

// Ground is the part that does not move.
const Ground = -1

// Part is something that moves as a whole.
type Part struct {
	Name   string
	Middle fit.Vector // about which its turn counts
	Turn   float64    // the largest turn that is looked at, either way, > 0
	Shift  float64    // the largest shift along x and along y, > 0
}

// Passage is one bolt in one hole.
type Passage struct {
	Name       string
	Hole, Bolt int        // the parts that carry them, or Ground
	At, To     fit.Vector // middle of the hole and of the bolt, no part moved
	Float      float64    // how far they may be apart; negative where the bolt is thicker than the hole
	U          float64    // standard uncertainty of At − To, each coordinate
	UFloat     float64    // standard uncertainty of Float
}

// Closure says how far two parts may move against each other at a place: Low ≤ n·(move of B − move of A) ≤ High.
type Closure struct {
	Name      string
	A, B      int
	At, N     fit.Vector // N is a unit vector
	Low, High float64    // Low ≤ 0 ≤ High
}

// Question is what is laid together.
type Question struct {
	Parts    []Part
	Passages []Passage
	Closures []Closure
}

// Share is a bolt's part in what holds the answer.
type Share struct {
	Name  string
	Share float64 // of 1
}

// Answer says how much float is left.
type Answer struct {
	// Left is the float that is left at the tightest bolt in the place that was found; no place leaves more than Most. Less than 0: that much is missing.
	Left, Most float64
	U          float64 // standard uncertainty of both, by those of holes, bolts and floats
	// Holding are the bolts that hold it, by their share; where Most is below 0, these cannot all pass.
	Holding []Share
	Moves   []fit.Motion // of each part about its own middle
	Each    []float64    // float left at each passage in that place
}

// MostParts is how many parts may move.
const MostParts = (lowlp.MaxDim - 1) / 3

// Lay answers. Errors are *trouble.Trouble: no bolts, or more parts than can be laid.
func Lay(q Question) (*Answer, error) {
	if err := q.check(); err != nil {
		return nil, err
	}
	rows := newTangents(q)
	d := rows.Dim()
	cost := make([]float64, d)
	cost[d-1] = 1
	s, err := lowlp.Solve(lowlp.Problem{Cost: cost, Rows: rows, Start: make([]float64, d), Warm: rows.warm()})
	if err != nil {
		return nil, err
	}
	if s.Status != lowlp.Optimal {
		return nil, trouble.Own("float-lost", "float", "the laying of the parts has no end: "+s.Status.String(), "report this")
	}
	a := &Answer{}
	for i := range q.Parts {
		a.Moves = append(a.Moves, fit.Motion{DX: s.V[3*i], DY: s.V[3*i+1], Angle: s.V[3*i+2] / rows.lever[i]})
	}
	a.Left = math.Inf(1)
	for _, p := range q.Passages {
		left := p.Float - q.Apart(p, a.Moves).Size()
		a.Each = append(a.Each, left)
		a.Left = min(a.Left, left)
	}
	rows.bound(&s, a)
	a.Most = max(a.Most, a.Left)
	return a, nil
}

func (q Question) check() error {
	if len(q.Passages) == 0 {
		return trouble.Data("no-bolts", "", "there is no bolt to pass", "give the diameter of the bolts")
	}
	if len(q.Parts) > MostParts {
		return trouble.Data("too-many-parts", "", fmt.Sprintf("%d parts are to be laid, and at most %d can be", len(q.Parts), MostParts), "lay fewer parts at a time")
	}
	inside := func(i int) bool { return i >= Ground && i < len(q.Parts) }
	for _, p := range q.Passages {
		if !inside(p.Hole) || !inside(p.Bolt) || p.Hole == p.Bolt || math.IsNaN(p.Float+p.U+p.UFloat+p.At.X+p.At.Y+p.To.X+p.To.Y) {
			return trouble.Own("float-passage", p.Name, "a bolt that belongs to no two parts, or has no place", "report this")
		}
	}
	for _, c := range q.Closures {
		if !inside(c.A) || !inside(c.B) || !(c.Low <= 0 && c.High >= 0) {
			return trouble.Own("float-closure", c.Name, "a closure of parts that do not exist, or that is not open", "report this")
		}
	}
	return nil
}

// Apart is hole less bolt of a passage once the parts are moved, with true turns.
func (q Question) Apart(p Passage, moves []fit.Motion) fit.Vector {
	a, b := q.moved(p.Hole, p.At, moves), q.moved(p.Bolt, p.To, moves)
	return fit.Vector{X: a.X - b.X, Y: a.Y - b.Y}
}

func (q Question) moved(part int, at fit.Vector, moves []fit.Motion) fit.Vector {
	if part == Ground {
		return at
	}
	m := q.Parts[part].Middle
	to := moves[part].Of(fit.Vector{X: at.X - m.X, Y: at.Y - m.Y})
	return fit.Vector{X: to.X + m.X, Y: to.Y + m.Y}
}

// bound turns the multipliers into the bound, its uncertainty, and the bolts' shares.
//
// Σ y n·(hole − bolt) ≤ Σ y (float − left) for y ≥ 0, Σ y = 1. In the moves the left side is linear but for the turns: a turn φ moves a place p (about the part's middle) by
// φ·Jp − (φ²/2)·p and no more than φ³/6·|p| besides. Where the linear part cancels, left is at most Σ y (float − n·(at − to)), and the multipliers' rounding and
// the turns add what they can within the reach of the parts.
func (t *tangents) bound(s *lowlp.Solution, a *Answer) {
	d := t.Dim()
	rest := make([]float64, d) // Σ y·row
	rest[d-1] = 1              // cost + Σ y·row = 0 in an optimum
	pull := make([]fit.Vector, len(t.q.Passages))
	weight := make([]float64, len(t.q.Passages))
	row := make([]float64, d)
	var value float64
	for k, id := range s.Active {
		y := s.Multipliers[k]
		value -= y * t.Row(id, row)
		for j := range rest {
			rest[j] += y * row[j]
		}
		if i := id / sides; i < len(t.q.Passages) {
			n := direction(id % sides)
			pull[i].X += y * n.X
			pull[i].Y += y * n.Y
			weight[i] += y
		}
	}
	reach := t.reach()
	for j, r := range rest {
		value -= math.Abs(r) * reach[j]
	}
	a.Most = -(value - t.turning(pull, weight))
	a.U = t.doubt(pull, weight)
	t.hold(weight, a)
}

// turning is the most that true turns can add to what is left, beyond the linear part.
func (t *tangents) turning(pull []fit.Vector, weight []float64) (most float64) {
	second := make([]float64, len(t.q.Parts))
	add := func(part int, at, n fit.Vector, w float64) {
		if part == Ground {
			return
		}
		m := t.q.Parts[part]
		p := fit.Vector{X: at.X - m.Middle.X, Y: at.Y - m.Middle.Y}
		second[part] += n.X*p.X + n.Y*p.Y
		most += w * math.Pow(m.Turn, 3) / 6 * p.Size()
	}
	for i, p := range t.q.Passages {
		if weight[i] == 0 {
			continue
		}
		add(p.Hole, p.At, pull[i], weight[i])
		add(p.Bolt, p.To, fit.Vector{X: -pull[i].X, Y: -pull[i].Y}, weight[i])
	}
	for i, s := range second { // Σ y n·(−φ²/2·p): it brings hole and bolt together where s > 0
		most += max(0, s) * t.q.Parts[i].Turn * t.q.Parts[i].Turn / 2
	}
	return most
}

func (t *tangents) doubt(pull []fit.Vector, weight []float64) float64 {
	var sum float64
	for i, p := range t.q.Passages {
		sum += (pull[i].X*pull[i].X+pull[i].Y*pull[i].Y)*p.U*p.U + weight[i]*weight[i]*p.UFloat*p.UFloat
	}
	return math.Sqrt(sum)
}

func (t *tangents) hold(weight []float64, a *Answer) {
	for i, w := range weight {
		if w > 1e-3 {
			a.Holding = append(a.Holding, Share{t.q.Passages[i].Name, w})
		}
	}
	slices.SortStableFunc(a.Holding, func(x, y Share) int {
		switch {
		case x.Share > y.Share:
			return -1
		case x.Share < y.Share:
			return 1
		}
		return 0
	})
}

package judge

import (
	"fmt"
	"math"
	"slices"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/seating"
)

// The cures of a set in whose way only its steps stand. Both are tried before they are advised: the pieces are seated, simulated
// with the same seed (and no more draws than usual) and judged as they will be, and where the steps are not yet small enough, a smaller limit is tried.

// tries is how many limits are tried, each lower than the last by what was still missing.
const tries = 5

// asked judges another seating, or other readings, of the same pieces.
func (c *cure) asked(q seating.Question) (Judgement, seating.Result, error) {
	r, err := seating.Seat(q)
	if err != nil {
		return Judgement{}, r, err
	}
	s, err := seating.NewResampler(q, r)
	if err != nil {
		return Judgement{}, r, err
	}
	d, err := Simulate(q, s, c.in.Doubt.Seed, min(c.in.Doubt.Draws, Draws))
	if err != nil {
		return Judgement{}, r, err
	}
	j, err := ruled(Input{Question: q, Result: r, Doubt: d, Issued: c.in.Issued})
	return j, r, err
}

// lower returns the limit of the steps, to the whole 0.001 mm, that they would have to keep if nothing else changed.
func (c *cure) lower() float64 {
	limit := math.Inf(1)
	for _, f := range c.failing() {
		limit = min(limit, f.Read+f.Margin)
	}
	return thousandths(limit)
}

// thousandths rounds down to the whole 0.001 mm.
func thousandths(mm float64) float64 { return math.Floor(sealed(mm)*1000) / 1000 }

// settle tries lower and lower limits until the set that change makes of one conforms. It gives up where anything but the steps
// is then in the way, and returns 0.
func (c *cure) settle(limit float64, change func(limit float64) (seating.Question, bool)) (float64, seating.Result) {
	for range tries {
		q, ok := change(limit)
		if !ok || !(limit > 0) {
			break
		}
		j, r, err := c.asked(q)
		if err != nil {
			c.untried(err)
			break
		}
		if !r.Feasible {
			break
		}
		then := &cure{in: c.in, j: &j}
		if len(then.failing()) == 0 {
			return limit, r
		}
		if !then.onlySteps() {
			break
		}
		limit = thousandths(min(limit-0.001, limit+worst(then.failing()).Margin))
	}
	return 0, seating.Result{}
}

// reseat tries the same pieces with a lower limit on the steps.
func (c *cure) reseat() (Step, bool) {
	q := c.in.Question
	if q.MaxZone > 0 || c.in.Reseater == nil || c.reseated {
		return Step{}, false // the steps are already as small as they can be, or nothing is tried, or it was in vain
	}
	c.reseated = true
	limit, r := c.settle(c.lower(), func(limit float64) (seating.Question, bool) {
		again := q
		again.MaxStep = limit
		return again, limit < q.MaxStep
	})
	if limit == 0 {
		return Step{}, false
	}
	return Step{Code: Reseat, Number: limit, Unit: "mm", Text: fmt.Sprintf("Seat the same pieces again with steps of at most %s mm.", mm(limit)),
		Why: fmt.Sprintf("Only the steps stand in the way, and with this limit the zone becomes %s mm, which still conforms.", mm(r.Zone))}, true
}

// MaxDress is the most that is taken off a joint by hand, mm (common practice, no source).
const MaxDress = 0.10

// dress takes the proud side down wherever a step is too large, as the pieces are seated now, and seats them anew.
func (c *cure) dress() (Step, bool) {
	failing := c.failing()
	w := worst(failing)
	foot := bed.Place(slices.Index(shapes(), w.Name) - 3 + 1) // the piece on the foot side of the joint
	joint := c.in.Result.Joints[foot-1]
	most := 0
	for i, s := range joint.Step {
		if math.Abs(s) > math.Abs(joint.Step[most]) {
			most = i
		}
	}
	proud := foot
	if joint.Step[most] < 0 {
		proud--
	}
	target := c.lower()
	if c.in.Reseater != nil && c.rows() {
		target, _ = c.settle(target, func(limit float64) (seating.Question, bool) { return c.dressed(limit), w.Read-limit <= MaxDress })
	}
	off := up(w.Read-target, 0.005)
	if !(target > 0) || off > MaxDress {
		return Step{}, false
	}
	s := Step{Code: Dress, Number: off, Unit: "mm",
		Text: fmt.Sprintf("Dress %s wherever it reads more than %s mm, by up to %s mm off the proud side: most at y = %.0f mm, on the %s piece (%s).",
			w.Name, mm(target), mm(off), joint.Y[most], proud, c.label(proud)),
		Why: fmt.Sprintf("It is %s mm where %s mm would be accepted, and nothing but the joints stands in the way; read the joint and seat again, with steps of at most %s mm.",
			mm(w.Value), mm(w.Accept), mm(target))}
	if len(failing) > 1 {
		s.Why += " The other joint needs it too."
	}
	return s, true
}

// rows tells whether all faces have joint rows, so that it can be tried what dressing does to them.
func (c *cure) rows() bool {
	return !slices.ContainsFunc(c.in.Question.Faces[:], func(f *face.Face) bool { return f.Row == nil })
}

// dressed is the question with every step beyond the limit taken down to it in the joint row of its proud side, and that limit
// asked for.
func (c *cure) dressed(limit float64) seating.Question {
	q, r := c.in.Question, c.in.Result
	for j, joint := range r.Joints {
		for side, s := range r.Pieces[j : j+2] {
			f := *q.Faces[s.Index]
			f.Z = slices.Clone(f.Z)
			mark, sign, proud := face.JointPlus, 1.0, float64(2*side-1)
			if (side == 0) == s.Turned {
				mark = face.JointMinus
			}
			if s.Turned {
				sign = -1
			}
			middle := 0.0
			if f.Origin == face.Corner {
				middle = f.SizeY / 2
			}
			for i, row := range f.Row {
				if row != mark {
					continue
				}
				y := float64(sign * (f.Y[i] - middle))
				if over := float64(proud * stepAt(joint, y)); over > limit {
					f.Z[i] -= over - limit
				}
			}
			q.Faces[s.Index] = &f
		}
	}
	q.MaxStep, q.MaxZone = limit, 0
	return q
}

package judge

import (
	"fmt"
	"math"
	"slices"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/seating"
)

// A cure looks for what would have to be done to a set that does not conform, or that measuring cannot decide.
type cure struct {
	in       Input
	j        *Judgement
	reseated bool // another seating was tried
}

// failing lists the findings that may be judged and do not conform.
func (c *cure) failing() []Finding {
	return slices.DeleteFunc(slices.Clone(c.j.Findings), func(f Finding) bool { return f.Verdict == Conforms || c.hindered(f) })
}

// hindered tells whether a hindrance, not the value, keeps the finding untold.
func (c *cure) hindered(f Finding) bool { return f.Verdict == CannotTell && c.j.hinders(f.Name) != nil }

func (c *cure) onlySteps() bool {
	for _, f := range c.failing() {
		if f.Name != StepHead && f.Name != StepFoot {
			return false
		}
	}
	return true
}

// best is the first of the cures that helps: another piece for one that is too thin; if only steps stand in the way, another
// seating or a joint dressed by hand; one face re-ground; another match.
func (c *cure) best() Step {
	for _, f := range c.failing() {
		if f.Name == Thickness {
			return c.exchange(f)
		}
	}
	if c.onlySteps() {
		if s, ok := c.reseat(); ok {
			return s
		}
		if s, ok := c.dress(); ok {
			return s
		}
	}
	if s, ok := c.regrind(); ok {
		return s
	}
	w := worst(c.failing())
	return Step{Code: Rematch, Text: "Match these three pieces anew with others.",
		Why: fmt.Sprintf("%s is %s mm where %s mm would be accepted, and no single face that is re-ground within what its stone leaves brings the set in.",
			capital(w.Name.String()), mm(w.Value), mm(w.Accept))}
}

// untried warns that a cure could not be tried. The verdict does not depend on it.
func (c *cure) untried(err error) {
	c.j.Warnings = append(c.j.Warnings, "A cure could not be tried, and there may be a better next step than the one given: "+err.Error())
}

func (c *cure) exchange(f Finding) Step {
	thin, least := 0, math.Inf(1)
	for k, p := range c.in.Question.Faces {
		if t := leastThickness(p); t < least {
			thin, least = k, t
		}
	}
	return Step{Code: Exchange, Number: f.Limit, Unit: "mm",
		Text: fmt.Sprintf("Exchange %s for a piece that is thicker than %s mm everywhere.", label(c.in.Question.Faces[thin]), mm(f.Accept)),
		Why:  fmt.Sprintf("Its stone is %s mm at its thinnest, %s mm is the least allowed, and stone cannot be put back.", mm(least), mm(f.Limit))}
}

// leastThickness is the least caliper reading of a piece, +Inf without any.
func leastThickness(f *face.Face) float64 {
	least := math.Inf(1)
	for _, t := range f.Thickness {
		least = min(least, t.T)
	}
	return least
}

// accepts tells whether a bed with these figures would conform, with noise, allowance and uncertainty as they are now.
func (c *cure) accepts(f seating.Figures) bool {
	for i, read := range figures(f) {
		now := c.j.Findings[i]
		if c.hindered(now) {
			continue
		}
		if sealed(read-now.Noise+now.Between) > now.Accept {
			return false
		}
	}
	return true
}

func (c *cure) label(p bed.Place) string {
	return label(c.in.Question.Faces[c.in.Result.Pieces[p].Index])
}

// Depths of a face that is re-ground, mm: tried in steps of depthStep down to deepest, beyond which it is surfacing anew
// (common practice, no source).
const (
	depthStep = 0.01
	deepest   = 0.50
)

// regrind tries each piece: its face is cut level with the bed, from its highest place down, until the bed would be accepted
// when it is seated anew. The least deep cut wins. It is a first estimate: rigid pieces, a cut that leaves a plane, a stone that
// does not spring back.
func (c *cure) regrind() (Step, bool) {
	if c.in.Reseater == nil {
		return Step{}, false
	}
	best, where, becomes := math.Inf(1), bed.Head, seating.Figures{}
	for _, p := range bed.Places() {
		depth, f, err := c.cut(p, best)
		if err != nil {
			c.untried(err)
			break
		}
		if depth < best {
			best, where, becomes = depth, p, f
		}
	}
	if math.IsInf(best, 1) {
		return Step{}, false
	}
	return Step{Code: Regrind, Number: best, Unit: "mm",
		Text: fmt.Sprintf("Re-grind the face of the %s piece (%s): take it down by %s mm from its highest place, level with the bed.", where, c.label(where), mm(best)),
		Why: fmt.Sprintf("A first estimate with rigid pieces: the bed would then read a zone of %s mm and steps of %s and %s mm, which conforms.",
			mm(becomes.Zone), mm(becomes.Steps[0]), mm(becomes.Steps[1]))}, true
}

// cut finds the least depth, below best, by which the piece at place p would have to be cut, with what the bed then reads; +Inf
// if none helps.
func (c *cure) cut(p bed.Place, best float64) (float64, seating.Figures, error) {
	seat := c.in.Result.Pieces[p]
	f, err := centred(c.in.Question.Faces[seat.Index])
	if err != nil {
		return 0, seating.Figures{}, err
	}
	z := laid(f, seat)
	top, low := slices.Max(z), slices.Min(z)
	thickness := c.j.Finding(Thickness)
	reserve := min(deepest, leastThickness(f)-thickness.Accept, best-depthStep/2)
	for k := 1; ; k++ {
		depth := float64(float64(k) * depthStep)
		if depth > reserve || depth > top-low+depthStep {
			return math.Inf(1), seating.Figures{}, nil
		}
		figures, _, err := c.in.Reseater.Resample(c.taken(seat.Index, z, top-depth))
		if err != nil {
			return 0, figures, err
		}
		if c.accepts(figures) {
			return sealed(depth), figures, nil
		}
	}
}

// taken is what a cut at the given height takes off each reading of face k, as something that is added to it.
func (c *cure) taken(k int, z []float64, height float64) (dz [3][]float64) {
	for i, f := range c.in.Question.Faces {
		dz[i] = make([]float64, len(f.Z))
	}
	for i, h := range z {
		dz[k][i] = min(0, height-h)
	}
	return dz
}

// laid is the height of every reading of a centred face as it is seated.
func laid(f *face.Face, s seating.Seated) []float64 {
	sign := 1.0
	if s.Turned {
		sign = -1
	}
	z := make([]float64, len(f.Z))
	for i := range z {
		z[i] = f.Z[i] + s.Height + float64(s.TiltX*(sign*f.X[i])) + float64(s.TiltY*(sign*f.Y[i]))
	}
	return z
}

// up rounds up to a multiple of step, mm.
func up(v, step float64) float64 { return sealed(math.Ceil(sealed(v)/step) * step) }

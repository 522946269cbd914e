package judge

import (
	"fmt"
	"math"
	"slices"
)

// Step is one thing to do.
type Step struct {
	Code   Code
	Text   string  // one sentence: do this
	Why    string  // one sentence: what it is expected to do
	Number float64 // the figure in Text, in Unit; 0 when there is none
	Unit   string  // "mm" or ""
}

// The steps besides those that clear a hindrance away (their codes are the hindrances').
const (
	LayUpDry    Code = "lay-up"       // conforms; read the steps of the dry set
	BetterGauge Code = "better-gauge" // read again, more exactly
	FinerGrid   Code = "finer-grid"   // read again, at more places
	ReadJoint   Code = "joint-row"    // read again, at the edges that meet
	Reseat      Code = "reseat"       // seat anew with Number as the largest step allowed
	Dress       Code = "dress-joint"  // take Number off the proud side of a joint
	Regrind     Code = "re-grind"     // take the face of one piece down by Number
	Rematch     Code = "re-match"     // put the pieces into other sets
	Exchange    Code = "exchange"     // one piece can never conform: take another
	ShimLayUp   Code = "shim-lay-up"  // the lay-up does not show what was predicted: lay it anew
	Done        Code = "done"         // laid up, measured, conforms
)

// next finds the step that helps most: what is proven wrong is cured, then hindrances are cleared away, then doubt is
// measured away where measuring can decide, else cured.
func (j *Judgement) next(in Input) Step {
	if j.Verdict == Conforms {
		return Step{Code: LayUpDry, Text: "Lay the set up dry on the bench and read the steps at five places or more of each joint.",
			Why: "Every characteristic conforms as predicted from the three pieces; a lay-up turns the prediction into a measurement."}
	}
	if j.Verdict == CannotTell && len(j.Hindrances) > 0 {
		return j.clear()
	}
	c := &cure{in: in, j: j}
	if j.Verdict == DoesNotConform {
		return c.best()
	}
	doubtful := worst(j.Findings)
	if c.onlySteps() {
		if s, ok := c.reseat(); ok {
			return s
		}
	}
	if s, ok := j.measureAgain(doubtful); ok {
		return s
	}
	return c.best()
}

// clear is the step that takes the first hindrance away.
func (j *Judgement) clear() Step {
	h := j.Hindrances[0]
	s := Step{Code: h.Code, Text: h.Of + ": " + h.Next, Why: h.Why}
	var rest []string
	for _, o := range j.Hindrances[1:] {
		if o.Code != h.Code && !slices.Contains(rest, string(o.Code)) {
			rest = append(rest, string(o.Code))
		}
	}
	if len(rest) > 0 {
		s.Why += fmt.Sprintf(" Other hindrances remain: %d.", len(rest))
	}
	return s
}

// worthMeasuring is by how much, at most, an uncertainty may have to shrink for measuring again to be the advice: a gauge
// four times better than the one at hand is the usual step from a hand-read dial to a good transducer (common practice, no
// source).
const worthMeasuring = 4

// measureAgain says with which uncertainty a doubtful finding would conform, if its value stayed where it is. It is no advice
// for a value beyond its limit: measuring better would most likely prove that.
func (j *Judgement) measureAgain(f Finding) (Step, bool) {
	room := -f.badness()
	needed := math.Floor(room/j.Factor*1000) / 1000
	if !(needed > 0) || needed < f.U/worthMeasuring {
		return Step{}, false
	}
	largest := f.Parts[0]
	for _, p := range f.Parts[1:] {
		if p.U > largest.U {
			largest = p
		}
	}
	rest := math.Sqrt(max(0, float64(f.U*f.U)-float64(largest.U*largest.U)))
	s := Step{Code: BetterGauge, Number: needed, Unit: "mm"}
	how := "Read the faces again with a better gauge, or each place several times on a bench that is better known"
	switch {
	case largest.Name == PartCaliper:
		how = "Measure the thickness again with a better caliper"
	case rest >= needed: // that part alone does not decide
	case largest.Name == PartBetween:
		s.Code, how = FinerGrid, "Read the faces again on a finer grid"
	case largest.Name == PartJoint:
		s.Code, how = ReadJoint, "Read a joint row, within 15 mm of the arris, along the edges that meet"
	}
	s.Text = fmt.Sprintf("%s, so that the standard uncertainty of %s is at most %s mm (now %s).", how, f.Name, mm(needed), mm(f.U))
	s.Why = fmt.Sprintf("If the value stays at %s mm, it then conforms; the largest part of its uncertainty now is %s.", mm(f.Value), largest.Name)
	return s, true
}

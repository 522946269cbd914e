package certificate

import (
	"fmt"
	"math"

	"slatewright/bed"
	"slatewright/judge"
	"slatewright/measure"
)

// LaidUpPrefix stands in front of the name of a step that was measured on the laid-up set.
const LaidUpPrefix = "laid-up-"

// The steps that answer what a lay-up shows.
const (
	StepDone judge.Code = "done"        // laid up, measured, conforms
	StepShim judge.Code = "shim-lay-up" // the lay-up does not show what was predicted
)

// lay adds what the lay-up says: prediction against measurement, both measured steps judged, and a verdict that is the worst of
// all. A lay-up can confirm what was predicted from the three pieces; it never overrules it.
func (f *Found) lay(l LayUp, a answer) error {
	if err := l.check(l.Name); err != nil {
		return err
	}
	if err := l.matches(f.Pieces); err != nil {
		return err
	}
	laid, err := laidUp(l, f.Seating.Joints)
	if err != nil {
		return err
	}
	f.LaidUp, f.Basis = &laid, BasisLaidUp
	f.Warnings = distinct(f.Warnings, l.Warnings)
	u := l.u(a.question.Spec)
	verdict, decides := a.verdict.Verdict, a.verdict.Finding(a.verdict.DecidedBy).Ruling
	var s sealer
	for i, name := range []judge.Name{judge.StepHead, judge.StepFoot} {
		r := judge.Decide(judge.Characteristic{Name: LaidUpPrefix + name, Value: laid.Largest[i].Float64(), U: u, Limit: a.question.Spec.Limits.Step},
			a.question.Spec.Decision)
		f.Results = append(f.Results, s.measured(r))
		verdict = judge.Worst(verdict, r.Verdict)
		if r.Verdict > decides.Verdict || r.Verdict == decides.Verdict && r.Probability < decides.Probability {
			decides = r
		}
	}
	f.Verdict, f.DecidedBy = verdict.String(), string(decides.Name)
	f.agree(u, a.doubt)
	f.nextAfterLayUp(a.verdict.Verdict, decides)
	return s.err
}

// u is the standard uncertainty of one step of the lay-up: as stated, else that of two readings.
func (l LayUp) u(spec bed.Spec) float64 {
	const root2 = 1.4142135623730951
	if l.U > 0 {
		return l.U.Float64()
	}
	return root2 * spec.Uncertainty.Reading
}

// measured seals a step that was read on the laid-up set.
func (s *sealer) measured(r judge.Ruling) Result {
	out := s.result(judge.Finding{Ruling: r, Read: r.Value, Parts: []judge.Part{{Name: "step gauge", U: r.U}}})
	if r.Verdict == judge.CannotTell {
		out.Reason = fmt.Sprintf("The measured step is %s mm, and conformity is proven up to %s mm.", out.Value, out.Accept)
	}
	return out
}

// agree warns of each joint whose measured and predicted steps are somewhere further apart than twice their standard
// uncertainties together.
func (f *Found) agree(u float64, d judge.Doubt) {
	for j, list := range f.LaidUp.Joints {
		sd := d.Steps[j].SD
		most := 2 * math.Sqrt(float64(u*u)+float64(sd*sd))
		var worst Compared
		apart := most
		for _, c := range list {
			if a := math.Abs(c.Measured.Float64() - c.Predicted.Float64()); a > apart {
				worst, apart = c, a
			}
		}
		if apart > most {
			f.Warnings = append(f.Warnings, fmt.Sprintf("lay-up, joint %s: measured and predicted step differ by up to %s mm (%s against %s at y = %s mm), "+
				"more than the %s mm that their uncertainties allow", jointNames[j], measure.Decimal(apart, 3), measure.Decimal(worst.Measured.Float64(), 3),
				measure.Decimal(worst.Predicted.Float64(), 3), short(worst.Y), measure.Decimal(most, 3)))
		}
	}
}

// nextAfterLayUp says what to do next when the lay-up, and not the three pieces, decides.
func (f *Found) nextAfterLayUp(predicted judge.Verdict, decides judge.Ruling) {
	switch {
	case f.Verdict == judge.Conforms.String():
		f.Next = Step{Code: string(StepDone), Text: "Pack the set with this certificate.",
			Reason: "Every characteristic conforms, predicted from the three pieces and measured on the laid-up set."}
	case predicted == judge.Conforms:
		f.Next = Step{Code: string(StepShim), Text: "Shim the laid-up set anew at the joint that decides, or dress it by hand, and read its steps again.",
			Reason: fmt.Sprintf("The three pieces conform as predicted, and the lay-up shows a step of %s mm where %s mm would be accepted.",
				measure.Decimal(decides.Value, 3), measure.Decimal(decides.Accept, 3))}
	}
}

// laidUp compares a lay-up with the seating at its stations.
func laidUp(l LayUp, joints List[Joint]) (LaidUp, error) {
	var out LaidUp
	var s sealer
	for j, list := range l.Joints {
		for _, at := range list {
			c := Compared{Y: at[0], Predicted: s.mm(stepAt(joints[j].Stations, at[0].Float64())), Measured: at[1]}
			out.Joints[j] = append(out.Joints[j], c)
			out.Largest[j] = max(out.Largest[j], c.Measured, -c.Measured)
			out.Difference = max(out.Difference, c.Measured-c.Predicted, c.Predicted-c.Measured)
		}
	}
	return out, s.err
}

// stepAt is the predicted step at y: on the straight line between the stations around it, beyond the outermost ones on
// that through the outer two. Without a station it is no number.
func stepAt(stations List[Position], y float64) float64 {
	if len(stations) == 0 {
		return math.NaN()
	}
	at := func(i int) (y, step float64) { return stations[i][0].Float64(), stations[i][1].Float64() }
	if len(stations) == 1 {
		_, step := at(0)
		return step
	}
	i := 1
	for i < len(stations)-1 && stations[i][0].Float64() < y {
		i++
	}
	y0, step0 := at(i - 1)
	y1, step1 := at(i)
	return step0 + float64((step1-step0)*((y-y0)/(y1-y0)))
}

package certificate

import (
	"slatewright/judge"
)

// LaidUpPrefix stands in front of the name of a step that was measured on the laid-up set.
const LaidUpPrefix = judge.LaidUpPrefix

// layUp hears what the lay-up has to say about the judged set.
func (a *answer) layUp(l LayUp, in judge.Input) error {
	if err := l.check(l.Name); err != nil {
		return err
	}
	said := judge.LayUp{Name: l.Name, Instrument: l.Instrument, Date: l.Date, U: l.U.Float64()}
	for j, list := range l.Joints {
		for _, at := range list {
			said.Steps[j] = append(said.Steps[j], judge.StepReading{Y: at[0].Float64(), Step: at[1].Float64()})
		}
	}
	unnamed, err := l.matches(a)
	if err != nil {
		return err
	}
	laid, err := judge.LaidUp(in, a.verdict, said)
	if err != nil {
		return err
	}
	a.verdict, a.joints = laid.Judgement, &laid.Joints
	a.verdict.Warnings = distinct(a.verdict.Warnings, l.Warnings, unnamed)
	return nil
}

// laidUp seals the comparison of a lay-up with its prediction.
func (s *sealer) laidUp(joints [2]judge.Comparison) *LaidUp {
	var out LaidUp
	for j, c := range joints {
		for _, at := range c.Stations {
			sealed := Compared{Y: s.mm(at.Y), Predicted: s.mm(at.Predicted), Measured: s.mm(at.Measured)}
			out.Joints[j] = append(out.Joints[j], sealed)
			out.Difference = max(out.Difference, sealed.Measured-sealed.Predicted, sealed.Predicted-sealed.Measured)
		}
		out.Largest[j], out.Misfit[j], out.Allowed[j] = s.mm(c.Largest), s.mm(c.Misfit), s.mm(c.Allowed)
	}
	return &out
}

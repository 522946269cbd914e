package whole

import (
	"slatewright/bed"
	"slatewright/internal/cli/verb"
	"slatewright/wholeface"
	"slatewright/wholeface/advice"
)

// recommend says what to do with the piece: by the zone that is believed, and by the thickness at the thinnest place where
// it was read and a least one is asked for, and by a step that was measured.
func (v Judge) recommend(s *verb.Session, r *report, a wholeface.Answer) (err error) {
	var least *float64
	if v.MinThickness != nil {
		least = &v.MinThickness.MM
	} else if a.Thickness != nil {
		r.warn("the least thickness that is good enough was not given: with --min-thickness a re-grind is weighed by what it leaves")
	}
	known := advice.Believed(a, r.LimitMM, least)
	if v.Step != nil {
		limit := bed.NineFoot().Limits.Step
		if v.MaxStep != nil {
			limit = v.MaxStep.MM
		}
		known = append(known, advice.Measured("step", v.Step.MM, v.UStep.MM, limit))
	}
	rule := bed.Decision{Rule: bed.RuleGuardBand, Risk: 1 - r.Confidence}
	r.Report, err = v.Flags.Of(s, "piece", known, rule, seed)
	return err
}

package whole

import (
	"slatewright/bed"
	"slatewright/chance"
	"slatewright/internal/cli/advice"
	"slatewright/internal/cli/verb"
	"slatewright/judge"
	"slatewright/wholeface"
)

// recommend says what to do with the piece: by the zone that is believed, and by the thickness at the thinnest place where
// it was read and a least one is asked for.
func (v Judge) recommend(s *verb.Session, r *report, a wholeface.Answer) (err error) {
	known := []advice.Known{{Name: string(judge.Zone), Quantile: a.Zone.Quantile, Limit: r.LimitMM}}
	if k, any := unearned(a, r.LimitMM); any {
		known = append(known, k)
	}
	switch {
	case v.MinThickness == nil && a.Thickness != nil:
		r.warn("the least thickness that is good enough was not given: with --min-thickness a re-grind is weighed by what it leaves")
	case v.MinThickness != nil && a.Thickness != nil:
		known = append(known, advice.Known{Name: string(judge.Thickness), Quantile: quantiles(a.Thickness.Least), Limit: v.MinThickness.MM, AtLeast: true})
	}
	rule := bed.Decision{Rule: bed.RuleGuardBand, Risk: 1 - r.Confidence}
	r.Report, err = v.Flags.Of(s, "piece", known, rule, seed)
	return err
}

// unlearned is what is claimed less than the zone alone would have it: nothing was learned that would earn more. No new reading of the
// zone clears it up, so it stands for itself: it fails with the share that is missing.
const unlearned = "unlearned part of the zone"

func unearned(a wholeface.Answer, limit float64) (k advice.Known, any bool) {
	claimed, below := a.Conforms(limit), a.Zone.Below(limit)
	fails := func(p float64) float64 {
		if p*below > claimed {
			return 1
		}
		return 0
	}
	return advice.Known{Name: unlearned, Quantile: fails, Limit: 0.5}, claimed < below
}

// quantiles makes a distribution of three of its points: normal on each side of the median.
func quantiles(i wholeface.Interval) func(p float64) float64 {
	return func(p float64) float64 {
		z := chance.Quantile(p) / bed.ISO14253Factor
		if z < 0 {
			return i.Median + z*(i.Median-i.Low)
		}
		return i.Median + z*(i.High-i.Median)
	}
}

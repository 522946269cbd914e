package advice

import (
	"slatewright/bed"
	"slatewright/chance"
	"slatewright/judge"
	"slatewright/wholeface"
)

// Believed is what is known of a piece by what is believed of its face, held to the largest zone and the least thickness, mm; nil: none is
// asked for.
func Believed(a wholeface.Answer, limit float64, least *float64) []Known {
	known := []Known{{Name: string(judge.Zone), Quantile: a.Zone.Quantile, Limit: limit}}
	if k, any := unearned(a, limit); any {
		known = append(known, k)
	}
	if least != nil && a.Thickness != nil {
		known = append(known, Known{Name: string(judge.Thickness), Quantile: quantiles(a.Thickness.Least), Limit: *least, AtLeast: true})
	}
	return known
}

// unlearned is what is claimed less than the zone alone would have it: nothing was learned that would earn more. No new reading of the
// zone clears it up, so it stands for itself: it fails with the share that is missing.
const unlearned = "unlearned part of the zone"

func unearned(a wholeface.Answer, limit float64) (k Known, any bool) {
	claimed, below := a.Conforms(limit), a.Zone.Below(limit)
	fails := func(p float64) float64 {
		if p*below > claimed {
			return 1
		}
		return 0
	}
	return Known{Name: unlearned, Quantile: fails, Limit: 0.5}, claimed < below
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

// Measured is what is known of a size that cannot be below 0, by one measurement with a standard uncertainty, mm: normal about the value.
func Measured(name string, value, u, limit float64) Known {
	return Known{Name: name, Quantile: func(p float64) float64 { return max(0, value+u*chance.Quantile(p)) }, Limit: limit}
}

package desk

import (
	"math"
	"slices"
	"strings"

	"slatewright/certificate"
	"slatewright/internal/paper"
	"slatewright/judge"
)

// Results are the rows of the table: uncertainties expanded, no probability where a hindrance withholds it, no number where
// nothing was read.
func (s *Set) Results() []paper.Result {
	var out []paper.Result
	for _, r := range s.Body.Found.Results {
		probability := r.Probability.Float64()
		row := paper.Result{Name: s.name(r.Name), Note: s.what(r.Name), Value: r.Value.Float64(), U: 2 * r.U.Float64(), Limit: r.Limit.Float64(),
			AtLeast: r.AtLeast, Verdict: verdictOf(r.Verdict), Probability: &probability, Bias: r.Noise.Float64(), Between: r.Between.Float64()}
		if row.Withheld = s.withheld(r); row.Withheld {
			row.Probability = nil
		}
		if r.Missing {
			row.Value, row.U, row.Probability = math.NaN(), math.NaN(), nil
		}
		out = append(out, row)
	}
	return out
}

// withheld tells whether a hindrance keeps the result from being told.
func (s *Set) withheld(r certificate.Result) bool {
	return verdictOf(r.Verdict) == judge.CannotTell && slices.ContainsFunc(s.Body.Found.Hindrances,
		func(h certificate.Hindrance) bool { return slices.Contains(h.On, r.Name) })
}

// Compared are the results as a table of several sets shows them: one for each characteristic, steps as measured where the
// set was laid up.
func (s *Set) Compared() []paper.Result {
	var out []paper.Result
	given := s.Body.Found.Results
	for i, r := range s.Results() {
		name, measured := strings.CutPrefix(given[i].Name, certificate.LaidUpPrefix)
		if !measured {
			out = append(out, r)
			continue
		}
		for k := range out {
			if given[k].Name == name {
				r.Name = out[k].Name
				out[k] = r
			}
		}
	}
	return out
}

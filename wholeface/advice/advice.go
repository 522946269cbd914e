// Package advice says what to do with a piece, in the form in which the command line and the pages answer: what is known of it is handed to
// judge/ways, and what that advises becomes an answer with names for other programs.
//
// It weighs nothing itself, measures nothing and prints nothing; what is believed of a face comes from package wholeface.
package advice

import (
	"slatewright/bed"
	"slatewright/judge"
	"slatewright/judge/ways"
	"slatewright/judge/ways/costfile"
	"slatewright/measure"
)

// Known is one characteristic: its quantiles (the value that the truth stays below with probability p), and what it is held to.
type Known struct {
	Name     string
	Quantile func(p float64) float64
	Limit    float64 // mm
	AtLeast  bool
}

// Report is the recommendation, ready to stand in the answer of a verb. Its names are a contract with other programs.
type Report struct {
	Recommendation string     `json:"recommendation"` // ship, measure, regrind, regrade or scrap
	ExpectedCost   *float64   `json:"expected_cost"`  // null: not known
	RunnerUp       *string    `json:"runner_up"`
	RunnerUpMore   *float64   `json:"runner_up_more"` // in what ranked_by says: money, or probability
	RunnerUpMoreSE *float64   `json:"runner_up_more_standard_error"`
	TossUp         bool       `json:"toss_up"`
	RankedBy       ways.Basis `json:"ranked_by"`
	Currency       string     `json:"currency,omitempty"`
	MissingPrices  []string   `json:"missing_prices"`
	Say            [3]string  `json:"say"` // what to do, why, and what else
	Ways           []Way      `json:"ways"`
	Chances        Chances    `json:"chances"`
	Turns          []Turn     `json:"turns"`
	Cautions       []string   `json:"recommendation_warnings"`
}

// Way is one way out.
type Way struct {
	Way          string   `json:"way"`
	Name         string   `json:"name,omitempty"`
	May          bool     `json:"may"`
	Not          string   `json:"not,omitempty"`
	ExpectedCost *float64 `json:"expected_cost"`
	CostSE       *float64 `json:"cost_standard_error"`
	Missing      []string `json:"missing"`
	ConsumerRisk float64  `json:"consumer_risk"`
	ProducerRisk float64  `json:"producer_risk"`
	Conforming   float64  `json:"probability_ends_conforming"`
	Cut          *Cut     `json:"cut,omitempty"`
	Look         *Look    `json:"reading,omitempty"`
}

// Cut is what a re-grind leaves.
type Cut struct {
	LeftMM   float64    `json:"left_mm"`
	LeftUMM  float64    `json:"left_u_mm"`
	Thick    float64    `json:"probability_thick_enough"`
	Last     bool       `json:"last_cut"`
	Succeeds *float64   `json:"success"` // null: the mill has no count
	Interval [2]float64 `json:"success_interval"`
}

// Look is what measuring again brings.
type Look struct {
	Worth   *float64 `json:"worth"`
	Changes float64  `json:"probability_changes_the_decision"`
}

// Chances are the risks of all characteristics at once.
type Chances struct {
	All  float64    `json:"probability_all_conform"`
	SE   float64    `json:"standard_error"`
	Any  [2]float64 `json:"whatever_the_correlation"`
	Each []Chance   `json:"each"`
}

// Chance is one characteristic.
type Chance struct {
	Name        string  `json:"name"`
	Probability float64 `json:"probability_conforms"`
	Asked       float64 `json:"rule_asks"`
}

// Turn is a value at which the recommendation becomes another.
type Turn struct {
	Of    string   `json:"of"`
	Now   *float64 `json:"now"`
	At    float64  `json:"at"`
	Below string   `json:"below"`
	Above string   `json:"above"`
}

// draws are enough to know a probability of one half to 0.006.
const draws = 8000

// skin is what a re-grind takes beyond the zone of the face, so that all of it is cut, mm. Common practice, no source.
const skin = 0.05

// The two ways that are weighed when the mill named none.
const (
	sameAgain = "the same grid with the same instrument"
	cleanUp   = "a clean-up cut"
)

// Of recommends what to do with the thing ("piece" or "set"). The characteristics are taken as independent of each other: the answer carries the bounds for
// any correlation. Without costs (nil) the ways are those of common practice, ranked by risk. Errors are *trouble.Trouble.
func Of(thing string, known []Known, costs *costfile.Costs, rule bed.Decision, seed uint64) (*Report, error) {
	c := ways.Case{Thing: thing, Seed: seed}
	var names []string
	var quantiles []func(float64) float64
	for _, k := range known {
		names, quantiles = append(names, k.Name), append(quantiles, k.Quantile)
		c.Held = append(c.Held, ways.Characteristic{Name: k.Name, Limit: k.Limit, AtLeast: k.AtLeast, Decision: rule})
	}
	var err error
	if c.Known, err = ways.Joint(names, quantiles, nil, draws, seed); err != nil {
		return nil, err
	}
	if costs == nil {
		usual(&c, known)
	} else {
		costs.Into(&c, rule)
	}
	a, err := ways.Advise(c)
	if err != nil {
		return nil, err
	}
	return report(&c, &a), nil
}

// usual adds the ways of common practice: the same measurement once more, which knows the zone about as well as it is known now, and a re-grind of
// the likely zone and a skin. Nothing is known of their cost or success.
func usual(c *ways.Case, known []Known) {
	for _, k := range known {
		if k.Name != string(judge.Zone) {
			continue
		}
		if u := (k.Quantile(0.841344746) - k.Quantile(0.158655254)) / 2; u > 0 {
			c.Measure = []ways.Remeasure{{Name: sameAgain, Reads: []ways.Reading{{Of: k.Name, U: u}}}}
		}
		c.Regrind = []ways.Recut{{Name: cleanUp, Depth: measure.Round(k.Quantile(0.5)+skin, 2), Reserve: 2 * judge.CaliperU}}
	}
}

// Decimals of what is told.
const (
	cents = 2
	share = 4
	mm    = 4
)

func rounded(v *float64, decimals int) *float64 {
	if v == nil {
		return nil
	}
	r := measure.Round(*v, decimals)
	return &r
}

// Named is a way with its name, as "regrind: the large disc".
func Named(w ways.Way) string {
	if w.Name == "" {
		return string(w.Kind)
	}
	return string(w.Kind) + ": " + w.Name
}

// report puts an advice into the form of an answer.
func report(c *ways.Case, a *ways.Advice) *Report {
	r := &Report{Recommendation: string(a.Ways[0].Kind), ExpectedCost: rounded(a.Ways[0].Cost, cents), TossUp: a.TossUp, RankedBy: a.Basis, Currency: c.Prices.Currency,
		MissingPrices: append([]string{}, a.Missing...), Say: [3]string{a.Words.Do, a.Words.Why, a.Words.Else}, Turns: []Turn{}, Cautions: append([]string{}, a.Warnings...)}
	if a.RunnerUp {
		kind, decimals := string(a.Ways[1].Kind), share
		if a.Basis == ways.ByCost {
			decimals = cents
		}
		r.RunnerUp, r.RunnerUpMore, r.RunnerUpMoreSE = &kind, rounded(&a.Gap, decimals), rounded(&a.GapSE, decimals)
	}
	for _, o := range a.Ways {
		r.Ways = append(r.Ways, way(o))
	}
	r.Chances = Chances{All: measure.Round(a.Chances.All, share), SE: measure.Round(a.Chances.SE, share),
		Any: [2]float64{measure.Round(a.Chances.Low, share), measure.Round(a.Chances.High, share)}}
	for _, e := range a.Chances.Each {
		r.Chances.Each = append(r.Chances.Each, Chance{e.Name, measure.Round(e.Probability, share), e.Asked})
	}
	for _, t := range a.Turns {
		r.Turns = append(r.Turns, Turn{Of: t.Of, Now: t.Now, At: measure.Round(t.At, share), Below: Named(t.Below), Above: Named(t.Above)})
	}
	return r
}

func way(o ways.Outcome) Way {
	w := Way{Way: string(o.Kind), Name: o.Name, May: o.May, Not: o.Not, ExpectedCost: rounded(o.Cost, cents), Missing: append([]string{}, o.Missing...),
		ConsumerRisk: measure.Round(o.Consumer, share), ProducerRisk: measure.Round(o.Producer, share), Conforming: measure.Round(o.Good, share)}
	if o.Cost != nil {
		w.CostSE = rounded(&o.CostSE, cents)
	}
	if k := o.Cut; k != nil {
		w.Cut = &Cut{LeftMM: measure.Round(k.Left, mm), LeftUMM: measure.Round(k.LeftU, mm), Thick: measure.Round(k.Thick, share), Last: k.Last,
			Interval: [2]float64{measure.Round(k.Succeeds05, share), measure.Round(k.Succeeds95, share)}}
		if k.Counted {
			w.Cut.Succeeds = rounded(&k.Succeeds, share)
		}
	}
	if o.Look != nil {
		w.Look = &Look{Worth: rounded(o.Look.Worth, cents), Changes: measure.Round(o.Look.Changes, share)}
	}
	return w
}

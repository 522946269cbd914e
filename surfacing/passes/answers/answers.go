// Package answers is what a question for a plan of passes is answered with: the command line and the pages give the same answer with the same keys.
//
// It plans nothing of its own, package passes does. It reads no file by its name, and prints nothing for people.
package answers

import (
	"math"

	"slatewright/surfacing/machine"
	"slatewright/surfacing/passes"
)

// Report is the answer; its JSON is a contract. Null is not known.
type Report struct {
	Machine  string      `json:"machine"`
	Invented bool        `json:"invented"`
	Outcome  string      `json:"outcome"` // planned, no plan, cannot tell
	Asked    Asked       `json:"asked"`
	Plan     *Plan       `json:"plan"`
	Rule     *Plan       `json:"rule_of_thumb"`
	Unasked  *Short      `json:"without_rounds"` // the plan where no number of rounds is asked, when that is cheaper
	Stopped  []Hindrance `json:"stopped_by"`
	Left     *Left       `json:"left"`
	LastCut  bool        `json:"last_cut"` // after it less than a light pass is left above the reserve
	Pressed  *float64    `json:"pressed_out_share"`
	Warnings []string    `json:"warnings"`

	of     *passes.Answer
	stages []string
}

// Asked is what was asked, with what stands in for what was not said.
type Asked struct {
	X          float64  `json:"x_mm"`
	Y          float64  `json:"y_mm"`
	Top        Off      `json:"off_top_mm"`
	Bottom     Off      `json:"off_bottom_mm"`
	Surplus    float64  `json:"surplus_mm"` // in them: what lies between the clean-up planes and the wanted thickness
	Thickness  *float64 `json:"final_mm"`
	Flat       float64  `json:"flatness_mm"`
	FlatBottom float64  `json:"flatness_bottom_mm"`
	Share      float64  `json:"wear_share"`
	Rounds     int      `json:"rounds"`
	Stress     float64  `json:"skin_stress_mpa"`
	StressU    float64  `json:"skin_stress_u_mpa"`
	StressIs   string   `json:"skin_stress_is"` // given, or estimate
	Bow        *float64 `json:"bow_mm"`
}

// Off is what comes off a face at least, at most and on average.
type Off struct {
	Min  float64 `json:"min"`
	Max  float64 `json:"max"`
	Mean float64 `json:"mean"`
}

// Plan is one plan.
type Plan struct {
	Rounds    int         `json:"rounds"`
	Minutes   float64     `json:"minutes"`
	Cost      *float64    `json:"cost"`
	BitsCost  *float64    `json:"bits_cost"`
	Currency  string      `json:"currency"`
	Water     float64     `json:"water_l"`
	Energy    float64     `json:"energy_kwh"`
	Peak      float64     `json:"peak_power_kw"`
	Thickness *Interval   `json:"thickness_mm"`
	Top       *Flatness   `json:"flatness_top_mm"`
	Bottom    *Flatness   `json:"flatness_bottom_mm"`
	Setups    []Setup     `json:"setups"`
	Bits      []Bits      `json:"bits"`
	Breaks    []Hindrance `json:"breaks"`
}

// Short is a plan in three numbers.
type Short struct {
	Rounds  int      `json:"rounds"`
	Minutes float64  `json:"minutes"`
	Cost    *float64 `json:"cost"`
}

// Interval is a value with its limits.
type Interval struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

// Flatness is how flat a face will be; null where the bow that was pressed out is not known.
type Flatness struct {
	Value *float64 `json:"value"`
	Low   *float64 `json:"low"`
	High  *float64 `json:"high"`
	Parts []Part   `json:"parts"`
}

// Part is one cause of it.
type Part struct {
	Cause string  `json:"cause"`
	Value float64 `json:"value_mm"`
	High  float64 `json:"high_mm"`
}

// Setup is one laying of the piece.
type Setup struct {
	Face    string  `json:"face"`
	Hold    string  `json:"hold"`
	Turned  bool    `json:"turned"`
	Mean    float64 `json:"off_mean_mm"`
	Minutes float64 `json:"minutes"`
	Passes  []Pass  `json:"passes"`
}

// Pass is one round over a face.
type Pass struct {
	Stage    string  `json:"stage"`
	Depth    float64 `json:"depth_mm"` // 0: a spark-out pass
	Spark    bool    `json:"spark_out"`
	Feed     float64 `json:"feed_m_per_min"`
	Shared   bool    `json:"same_travel"` // as the pass before: heads in line
	Minutes  float64 `json:"minutes"`
	Taken    float64 `json:"off_mean_mm"`
	Power    float64 `json:"power_kw"`
	Most     float64 `json:"power_most_kw"`
	Force    float64 `json:"force_n"`
	High     float64 `json:"left_high_mm"` // since the machine yields
	Wear     float64 `json:"wear_mm"`      // of the bits: the taper from the start of the pass to its end
	WearMost float64 `json:"wear_most_mm"`
}

// Bits is what the bits of a stage lose.
type Bits struct {
	Stage string   `json:"stage"`
	Wear  float64  `json:"wear_mm"`
	Low   float64  `json:"wear_low_mm"`
	High  float64  `json:"wear_high_mm"`
	Share float64  `json:"share_of_height"`
	Cost  *float64 `json:"cost"`
}

// Hindrance is a limit that is not kept, and what would free it.
type Hindrance struct {
	Limit string `json:"limit"`
	What  string `json:"what"`
	Frees string `json:"frees"`
}

// Left is what stays above the least thickness.
type Left struct {
	After   float64 `json:"after_mm"`
	Above   float64 `json:"above_least_mm"`
	U       float64 `json:"u_mm"`
	TooThin bool    `json:"less_than_reserve"`
}

// Of plans and answers. Errors are *trouble.Trouble of package passes.
func Of(q passes.Question) (*Report, error) {
	a, err := passes.Ask(q)
	if err != nil {
		return nil, err
	}
	m := q.Machine
	r := &Report{Machine: m.Name, Invented: m.Invented, Outcome: a.Outcome.String(), Stopped: hindrances(a.Stopped), Warnings: append([]string{}, a.Warnings...), of: a}
	for _, s := range m.Stages {
		r.stages = append(r.stages, s.Name)
	}
	r.Asked = asked(q, a)
	r.Plan, r.Rule = plan(m, a.Plan), plan(m, a.Rule)
	if u := a.Unasked; u != nil {
		r.Unasked = &Short{u.Rounds, u.Minutes, u.Money}
	}
	if l := a.Left; l != nil {
		r.Left, r.LastCut = &Left{l.After, l.Above, l.U, l.TooThin}, l.Last
	}
	if r.Asked.Thickness != nil {
		r.Pressed = &a.Pressed
	}
	return r, nil
}

// Answer is what package passes said.
func (r *Report) Answer() *passes.Answer { return r.of }

// Stages are the machine's, from coarse to fine.
func (r *Report) Stages() []string { return r.stages }

func asked(q passes.Question, a *passes.Answer) Asked {
	off := func(s passes.Stock) Off { return Off{s.Min, s.Max, s.Mean} }
	k := Asked{X: q.X, Y: q.Y, Top: off(a.Take[passes.Top]), Bottom: off(a.Take[passes.Bottom]), Surplus: a.Surplus, Flat: q.Flat, FlatBottom: q.FlatBottom, Share: q.Share, Rounds: max(0, q.Rounds),
		Stress: q.Stress.Value, StressU: q.Stress.U, StressIs: "given", Bow: q.Bow}
	if !q.Stress.Said() {
		u := passes.UsualStress()
		k.Stress, k.StressU, k.StressIs = u.Value, u.U, "estimate"
	}
	if k.FlatBottom == 0 {
		k.FlatBottom = k.Flat
	}
	if k.Share == 0 {
		k.Share = passes.UsualShare
	}
	if q.Rounds == 0 {
		k.Rounds = passes.UsualRounds
	}
	if t := math.Max(q.Final, 0); t > 0 {
		k.Thickness = &t
	} else if q.Thickness > 0 {
		k.Thickness = &q.Thickness
	}
	return k
}

func plan(m *machine.Machine, p *passes.Plan) *Plan {
	if p == nil {
		return nil
	}
	r := &Plan{Rounds: p.Rounds, Minutes: p.Minutes, Cost: p.Money, BitsCost: p.Bits, Currency: m.Prices.Currency, Water: p.WaterL, Energy: p.Energy, Peak: p.Peak,
		Top: flatness(p.Flat[passes.Top]), Bottom: flatness(p.Flat[passes.Bottom]), Setups: []Setup{}, Bits: []Bits{}, Breaks: hindrances(p.Broken)}
	if t := p.Thickness; t != nil {
		r.Thickness = &Interval{t.Value, t.Low, t.High}
	}
	for _, s := range p.Setups {
		u := Setup{Face: s.Face.String(), Hold: s.Hold.String(), Turned: s.Turned, Mean: s.Mean, Minutes: s.Minutes, Passes: []Pass{}}
		for _, q := range s.Passes {
			u.Passes = append(u.Passes, Pass{Stage: m.Stages[q.Stage].Name, Depth: q.Depth, Spark: q.Depth == 0, Feed: q.Feed * 60 / 1000, Shared: q.Shared, Minutes: q.Minutes, Taken: q.Taken,
				Power: q.Power, Most: q.Worse, Force: q.Force, High: q.Yields, Wear: q.Worn, WearMost: q.WornMost})
		}
		r.Setups = append(r.Setups, u)
	}
	for _, w := range p.Worn {
		r.Bits = append(r.Bits, Bits{m.Stages[w.Stage].Name, w.Height, w.Low, w.High, w.Share, w.Money})
	}
	return r
}

func flatness(f passes.Flatness) *Flatness {
	if len(f.Parts) == 0 {
		return nil
	}
	r := &Flatness{}
	if f.Known {
		r.Value, r.Low, r.High = &f.Value, &f.Low, &f.High
	}
	for _, p := range f.Parts {
		r.Parts = append(r.Parts, Part{p.Name, p.Value, p.High})
	}
	return r
}

func hindrances(list []passes.Hindrance) []Hindrance {
	r := []Hindrance{}
	for _, h := range list {
		r = append(r, Hindrance{string(h.Limit), h.What, h.Frees})
	}
	return r
}

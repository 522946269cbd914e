package judge

import (
	"slatewright/bed"
	"slatewright/chance"
	"slatewright/measure"
)

// Characteristic is a value to be held against its limit, mm.
type Characteristic struct {
	Name  Name
	Value float64 // the best estimate, or one that is worse by up to Lean
	// Lean is by how much Value may be on the bad side of the best estimate, for caution. It counts when conformity is to be
	// proven and is given back when the opposite is. 0 or more.
	Lean    float64
	U       float64 // standard uncertainty
	Limit   float64
	AtLeast bool // the limit is the least that conforms, else the most
}

// Ruling is a characteristic with what a decision rule makes of it.
type Ruling struct {
	Characteristic
	Guard  float64 // guard band: the rule's factor times U
	Accept float64 // value up to which (AtLeast: from which on) conformity is proven
	Reject float64 // value beyond which the opposite is proven
	Margin float64 // how far Value is on the good side of Accept; negative: the bad side
	// Probability that the true value conforms: normal distribution about Value, JCGM 106:2012 7.2, with no knowledge but
	// the measurement.
	Probability float64
	Verdict     Verdict
}

// Decide applies a decision rule. It rounds what it is given as it is sealed, and decides from the rounded numbers:
//
//	an upper limit L, value v, guard band w = g·u, lean s
//	conforms           v ≤ L − w
//	does not conform   v > L + w + s
//	cannot tell        between them
//
// and with v, L in the mirror for a lower limit. The factor g is 1.644854 for ISO 14253-1:2017 (95 %, one-sided), the normal
// quantile of 1 − consumer's risk for a guard band after JCGM 106:2012, the same towards both sides, and 0 for simple
// acceptance, which knows no "cannot tell": what does not conform there is what does not measure within the limit.
func Decide(c Characteristic, d bed.Decision) Ruling {
	c.Value, c.Lean, c.U, c.Limit = sealed(c.Value), sealed(c.Lean), sealed(c.U), sealed(c.Limit)
	r := Ruling{Characteristic: c}
	r.Guard = sealed(Factor(d) * c.U)
	lean := c.Lean
	if d.Rule == bed.RuleSimple {
		lean = 0
	}
	bad := c.badness()
	r.Accept = sealed(c.Limit - c.side(r.Guard))
	r.Reject = sealed(c.Limit + c.side(r.Guard+lean))
	r.Margin = sealed(c.side(r.Accept - c.Value))
	r.Probability = measure.Round(probability(-bad, c.U), probabilityDecimals)
	switch {
	case r.Margin >= 0:
		r.Verdict = Conforms
	case c.side(c.Value-r.Reject) > 0:
		r.Verdict = DoesNotConform
	default:
		r.Verdict = CannotTell
	}
	return r
}

// side turns a difference so that more is worse for an upper limit and less is worse for a lower one.
func (c Characteristic) side(d float64) float64 {
	if c.AtLeast {
		return -d
	}
	return d
}

// badness is how far the value lies beyond its limit, negative within.
func (c Characteristic) badness() float64 { return c.side(c.Value - c.Limit) }

// Factor is what the rule multiplies the standard uncertainty with.
func Factor(d bed.Decision) float64 {
	switch d.Rule {
	case bed.RuleISO14253:
		return bed.ISO14253Factor
	case bed.RuleGuardBand:
		return chance.Quantile(1 - d.Risk)
	}
	return 0
}

// probability is the chance that something whose estimate lies this far inside its limit, with standard uncertainty u, is
// inside.
func probability(inside, u float64) float64 {
	switch {
	case u > 0:
		return chance.Cumulative(inside / u)
	case inside >= 0:
		return 1
	}
	return 0
}

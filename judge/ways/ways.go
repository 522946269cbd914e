// Package ways says what to do with a piece, or a set, whose true characteristics are known only as a cloud of possible
// values: ship it, measure again, re-grind it, cut it down to a lower class, or scrap it.
//
// It takes joint draws of the true characteristics ([Posterior]), what they are held to, the ways that the mill has, and the
// mill's own prices. [Advise] gives each way its expected cost and its two risks, names the best, the runner-up and how far apart they
// lie, says how sure that is, and what would have to change for the answer to be another. A price that the mill did not give is
// never made up: while one is missing that could decide, the ways are ranked by risk, and the answer says which price is missing.
//
// The mill's decision rule binds. A way that lets out more doubtful pieces than the rule allows is never recommended, however
// cheap; and a new reading is worth only what the rule lets the mill do with it, which can be less than nothing.
//
// The package recommends; it does not certify, and its word lets nothing out of the house: shipping needs a verdict of certificate grade
// (judge.Set). It makes no draws of a face, reads no files, and does not know why a re-ground face fails; of the mill's re-grinding it
// knows a count of successes. It looks one step ahead: after a new reading the piece is not measured a third time, and a
// piece whose re-ground face fails counts as scrap.
package ways

import (
	"slatewright/bed"
)

// Kind is a kind of way out.
type Kind string

// The ways out, in the order in which they leave open what can still be done with the stone.
const (
	Ship    Kind = "ship"
	Measure Kind = "measure"
	Regrind Kind = "regrind"
	Regrade Kind = "regrade"
	Scrap   Kind = "scrap"
)

// Way names one way out. Name is as the mill gave it: an instrument, a cut, a class; empty for ship and scrap. To measure what a re-grind needs to
// be known (the thickness) is a way of its own, without a [Look].
type Way struct {
	Kind Kind
	Name string
}

// Characteristic is what a true value is held to.
type Characteristic struct {
	Name    string  // one of the posterior's
	Limit   float64 // in the unit of the draws
	AtLeast bool    // the limit is the least that conforms, else the most
	// Scale is what is left of the value in this class: Shrink for the bow of a piece that is cut shorter. 0 means 1.
	Scale float64
	// Decision is the mill's rule. For a posterior it says: conformity is accepted when its probability is at least 1 − risk (JCGM
	// 106:2012, 8.3.2: for a normal distribution this is the guard band of judge.Decide, and for simple acceptance the median
	// within the limit).
	Decision bed.Decision
	// Beyond is what each unit of the draws beyond the limit adds to a complaint, where the mill has it; nil: complaints cost
	// the same however bad the piece is.
	Beyond *float64
}

// Shrink is what is left of the zone of a bowed piece when its length is cut from one to another: a bow grows with the square of the
// length. It does not hold for what is not bow: a ridge or a step stays as high as it was.
func Shrink(from, to float64) float64 { return to / from * (to / from) }

// Prices are the mill's own, in any one currency. nil is not known. All count per piece (or set, if that is what the draws are of).
type Prices struct {
	Currency   string   // for sentences; may be empty
	Conforming *float64 // what one that conforms is worth
	Complaint  *float64 // what it costs in all when one that does not conform reaches the customer, 0 or more
	Scrap      *float64 // what scrap is worth; negative where it costs to be taken away
}

// Reading is what an instrument says about one characteristic.
type Reading struct {
	Of string  // the characteristic
	U  float64 // standard uncertainty of one reading, all of it
	// Common is the part of U that does not average out over repeated readings (bench, reference, temperature), 0 … U.
	Common float64
}

// Remeasure is measuring again. The errors of the new readings are taken as independent of those behind the posterior.
type Remeasure struct {
	Name  string
	Reads []Reading
	Times int      // number of readings of each; 0 means 1
	Price *float64 // of reading everything in Reads once
}

// Recut is grinding the face again.
type Recut struct {
	Name string
	// Thickness names the characteristic that is the thickness at the thinnest place; "" means "thickness".
	Thickness string
	Depth     float64 // what the cut takes, mm
	DepthU    float64 // standard uncertainty of it
	Reserve   float64 // what must be left above the least thickness, mm
	LightPass float64 // the lightest cut that can be made, mm; 0 means LightPass
	Passes    int
	PassPrice *float64
	Minutes   float64
	// MinutePrice is what a minute of the machine and its people costs.
	MinutePrice *float64
	// Succeeded of Tried re-ground faces conformed: the mill's own count, on pieces like this one. Tried 0: not known.
	Succeeded, Tried int

	share *float64 // set to try what another share of successes would change
}

// LightPass is the lightest cut where a mill states none, mm. Common practice: wear of the segments during a last pass spoils
// the face unless the pass is at most this deep.
const LightPass = 0.05

// Lower is a lower class, or a smaller table, with limits of its own.
type Lower struct {
	Name      string
	Held      []Characteristic
	Value     *float64 // of a piece that conforms there, less the cost of cutting it down
	Complaint *float64 // nil: that of Prices
}

// Case is all that is known about one piece or one set.
type Case struct {
	Thing string // "piece" or "set"; empty means piece
	Known Posterior
	Held  []Characteristic
	// Overall is the largest acceptable probability that a shipped one fails in any characteristic, all taken together. 0: the rule
	// asks for each characteristic alone.
	Overall float64
	Prices  Prices
	Measure []Remeasure
	Regrind []Recut
	Regrade []Lower
	Seed    uint64 // for readings of several characteristics at once, which are drawn
}

// Basis is what the ways were ranked by.
type Basis string

// The bases.
const (
	ByCost Basis = "cost"
	ByRisk Basis = "risk"
)

// Advice is the answer.
type Advice struct {
	Basis    Basis
	Missing  []string  // prices and counts without which the basis is risk
	Ways     []Outcome // best first; those that must not be taken last
	RunnerUp bool      // Ways[1] may be taken too
	// Gap is by how much Ways[1] is worse than Ways[0], in money or in probability, and GapSE its Monte-Carlo standard error. TossUp:
	// the gap is within two of them, or Uncounted: by risk the best hangs on a share of successful re-grinds that nobody counted.
	Gap, GapSE        float64
	TossUp, Uncounted bool
	// Cheaper is a way that would cost less than the best and breaks the mill's rule, or nil.
	Cheaper *Outcome
	Chances Chances
	Turns   []Turn
	Words   Sentences
	// Warnings must be shown.
	Warnings []string
}

// Outcome is what one way leads to.
type Outcome struct {
	Way
	May     bool   // the mill's rule and the stone allow it
	Not     string // why not
	Cost    *float64
	CostSE  float64  // Monte-Carlo standard error of Cost
	Missing []string // what Cost lacks
	// Consumer is the probability that this way lets one out that does not conform; Producer that it loses stone which conforms at its grade
	// or in a lower class, or could be made to. A re-ground piece is measured again and held to the rule then, so no consumer's risk is counted.
	Consumer, Producer float64
	RiskSE             float64 // of Consumer + Producer
	Good               float64 // probability that it ends as one that conforms at its grade
	Cut                *Cut    // of a re-grind
	Look               *Look   // of measuring again
}

// Risk is the probability of a wrong end: one bad piece let out counts as much as one good piece lost.
func (o Outcome) Risk() float64 { return o.Consumer + o.Producer }

// Cut is what a re-grind leaves.
type Cut struct {
	Left       float64 // expected above the least thickness at the thinnest place, mm
	LeftU      float64 // its standard uncertainty
	Thick      float64 // probability that the thickness conforms afterwards
	Last       bool    // afterwards less than a light pass is left above the reserve
	Succeeds   float64 // probability that the face conforms afterwards
	Succeeds05 float64 // 5 % and 95 % of what the mill's count says about it
	Succeeds95 float64
	Counted    bool // there is such a count; else Succeeds is one half, and nothing is known
}

// Look is what measuring again brings.
type Look struct {
	// Worth is the expected gain in money of deciding after the readings, before they are paid: positive unless the rule then forbids
	// what it allows now. nil while prices are missing.
	Worth *float64
	// RiskSaved is the same in probability of a wrong end.
	RiskSaved float64
	Changes   float64 // probability that something else is done than what is best now
	Then      []Share // what is done afterwards
}

// Share is how often a way follows.
type Share struct {
	Way
	Share float64
}

// Chances are the risks of several characteristics at once.
type Chances struct {
	Each []Chance
	All  float64 // probability that all conform, from the joint draws
	SE   float64
	// Low and High are what All can be when only the single probabilities are known (Fréchet's bounds).
	Low, High float64
}

// Chance is the probability that one characteristic conforms.
type Chance struct {
	Name        string
	Probability float64
	SE          float64
	Asked       float64 // the least that the rule accepts
	Kept        bool
	Close       bool // within two standard errors of what is asked: more draws could say otherwise
}

// Turn is a value at which another way becomes the best, everything else as it is.
type Turn struct {
	Of           string
	Now          *float64 // nil: not known
	At           float64
	Below, Above Way // the best just below and just above
}

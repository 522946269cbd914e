// Package judge says whether a seated set of three pieces conforms, does not, or cannot be told, and which one step helps
// most.
//
// What is judged are six characteristics: straightness lengthwise and across, the zone of the bed, the larger step over each
// joint, and the least thickness of the stone. [Simulate] puts an uncertainty to the first five by seating the same pieces
// again and again with other readings; [Set] applies the decision rule of the specification ([Decide]) to each and takes the
// worst answer. Before that, it asks whether the readings may be judged at all: dry stone, equally warm faces, a grid that is
// fine enough, an instrument with a name, and a support that lets gravity show what was promised. What fails there is
// answered with "cannot tell", a reason and a next step; never in silence. [LaidUp] adds what was measured on the set laid up dry.
//
// The package does not seat, compute flatness or bend stone; it does not know whether a piece has stopped moving, what
// anything costs, or which other pieces lie in stock. It reads no files and no clock.
//
// It lies on the sealing path: + − × ÷ √ and comparison only, products never fused, sums in a stated order. Lengths in what it
// returns are rounded to 1e-6 mm and probabilities to 1e-4, and the verdict is decided from the rounded numbers, so that
// whoever reads a certificate can decide it again.
package judge

import (
	"slices"

	"slatewright/measure"
)

// Verdict is an answer in the words of the standards. The order is from good to bad.
type Verdict int

// The verdicts. The zero Verdict is not one.
const (
	_ Verdict = iota
	Conforms
	CannotTell
	DoesNotConform
)

var verdictWords = [...]string{"", "conforms", "cannot tell", "does not conform"}

// String returns conforms, does not conform or cannot tell.
func (v Verdict) String() string { return verdictWords[v] }

// VerdictOf finds the verdict with these words, as a certificate holds them.
func VerdictOf(words string) (v Verdict, ok bool) {
	i := slices.Index(verdictWords[1:], words)
	return Verdict(i + 1), i >= 0
}

// Name names a characteristic.
type Name string

// The characteristics of a set, in the order in which they are reported.
const (
	Lengthwise Name = "lengthwise"
	Across     Name = "across"
	Zone       Name = "zone"
	StepHead   Name = "step-head-centre"
	StepFoot   Name = "step-centre-foot"
	Thickness  Name = "thickness"
)

// LaidUpPrefix makes the name of a step that was measured on the laid-up set of the name of that step as predicted.
const LaidUpPrefix = "laid-up-"

// The characteristics that a lay-up adds.
const (
	LaidUpHead Name = LaidUpPrefix + StepHead
	LaidUpFoot Name = LaidUpPrefix + StepFoot
)

// Names lists the characteristics of three pieces in their order.
func Names() []Name { return []Name{Lengthwise, Across, Zone, StepHead, StepFoot, Thickness} }

// shapes are the characteristics that come from the readings of the faces, all but the thickness.
func shapes() []Name { return Names()[:5] }

var phrases = map[Name]string{
	Lengthwise: "straightness lengthwise", Across: "straightness across", Zone: "the zone of the bed",
	StepHead: "the step between head and centre", StepFoot: "the step between centre and foot", Thickness: "the least thickness of the stone",
	LaidUpHead: "the measured step between head and centre", LaidUpFoot: "the measured step between centre and foot",
}

// String returns the characteristic in words for a sentence.
func (n Name) String() string {
	if p, ok := phrases[n]; ok {
		return p
	}
	return string(n)
}

// Decimals of what is sealed.
const (
	lengthDecimals      = 6
	probabilityDecimals = 4
)

// sealed rounds a length as it is sealed.
func sealed(mm float64) float64 { return measure.Round(mm, lengthDecimals) }

package judge

import (
	"fmt"
	"math"

	"slatewright/face"
	"slatewright/measure"
	"slatewright/seating"
)

// Finding is one characteristic of a set with how its value came about and what is ruled about it.
type Finding struct {
	Ruling
	Read    float64 // as the readings have it
	Noise   float64 // taken off: what the readings' errors are expected to have added; negative: put on
	Between float64 // put on: what may lie between the readings
	Parts   []Part  // U is the root of the sum of their squares
	Missing bool    // nothing was read; the numbers mean nothing
	Why     string  // why it cannot be told
}

// Part is one standard uncertainty that U is made of, mm.
type Part struct {
	Name string
	U    float64
}

// The parts.
const (
	PartReadings = "readings and bench"
	PartNoise    = "noise correction"
	PartBetween  = "between the points"
	PartJoint    = "joint not read at the edge"
	PartGravity  = "gravity on two lines"
	PartCaliper  = "caliper"
	PartGauge    = "step gauge"
)

// CaliperU is the standard uncertainty of one caliper reading of thickness, mm: half of U = 0.025, between the 0.02 and 0.03
// that a caliper or two opposed dials hold on stone. From memory; nothing in a file or a specification says it yet.
const CaliperU = 0.0125

// mostNoise is the largest share of a figure that is taken off for noise, √2 − 1. A face that is nothing but noise reads √2 of
// itself when as much noise is added once more; a rise beyond that says that the stated noise is not in the readings.
const mostNoise = 0.41421356237309503

// estimate makes a finding of a figure that was read. The error of the estimate is deliberately on the safe side:
//
//   - Noise makes a zone read high, because the least zone is a convex function of the readings; but the bed that is laid by noisy
//     readings is not as flat as it could be, and a step that was let grow to its limit comes out beyond it. How much a figure is
//     wrong by errors of reading is the simulation's shift. It is taken off once (put on, where it is negative), never more than
//     mostNoise of the figure, and the true error may be anywhere between none and twice that: shift/√3 of uncertainty.
//   - What lies between the readings can only raise the figure, and is known by one number, its standard uncertainty. It is
//     put on once and counted in the uncertainty once, as for an exponential distribution.
//   - When it is to be proven that the set does not conform, what lies between the readings is given back (Lean), and all that
//     the same noise once more makes the figure rise (the simulation's rise): as much may have been in it from the start.
//
// On invented faces (bow, twist, third order, undulation, ripple; nine by six readings, noise 0.010 and 0.005 mm, bench 0.005 and
// 0.004 mm; 300 beds of each kind and noise, TestStatementsHold with -beds 300) the true zone was at most value + 1.645 u in 97 to
// 100 of 100 cases, both straightnesses in 94 to 100, the steps in 98 to 100. The 94 belong to beds near their limit whose
// undulation of 0.015 mm (one standard deviation) hides more between the readings than the default 0.010 mm covers. At least
// value − Lean − 1.645 u they were in 94 to 100, but in 88 to 100 where the truth is below 0.03 mm: little but noise is read there.
func estimate(name Name, read float64, s Spread, between, limit float64, others ...Part) Finding {
	f := Finding{Read: sealed(read), Between: sealed(between)}
	most := float64(mostNoise * f.Read)
	f.Noise = sealed(min(s.Shift, most))
	f.Parts = []Part{{PartReadings, s.SD}, {PartNoise, sealed(math.Abs(f.Noise) / 1.7320508075688772)}, {PartBetween, f.Between}}
	f.Parts = append(f.Parts, others...)
	f.Characteristic = Characteristic{Name: name, Value: sealed(f.Read - f.Noise + f.Between), Lean: sealed(f.Between + max(min(s.Rise, most), f.Noise, 0)),
		U: sealed(root(f.Parts)), Limit: limit}
	return f
}

func root(parts []Part) float64 {
	s := 0.0
	for _, p := range parts {
		s += float64(p.U * p.U)
	}
	return math.Sqrt(s)
}

// findings estimates the six characteristics.
func findings(in Input, proof Proof) []Finding {
	r, spec := in.Result, in.Question.Spec
	limits := [5]float64{spec.Limits.Lengthwise, spec.Limits.Across, spec.Limits.Zone, spec.Limits.Step, spec.Limits.Step}
	read := figures(seating.Figures{Zone: r.Zone, Lengthwise: r.Lengthwise.Value, Across: r.Across.Value,
		Steps: [2]float64{r.Joints[0].Largest, r.Joints[1].Largest}})
	var list []Finding
	for i, name := range shapes() {
		var others []Part
		if i >= 3 {
			others = append(others, Part{PartJoint, sealed(spec.Uncertainty.JointExtrapolation * unreadSides(r.Joints[i-3]))})
		}
		if proof.Lines && name == Across {
			others = append(others, Part{PartGravity, linesU})
		}
		list = append(list, estimate(name, read[i], in.Doubt.spreads()[i], spec.Uncertainty.BetweenPoints, limits[i], others...))
	}
	list = append(list, thinnest(in.Question.Faces, spec.ThicknessMin))
	list[0].Missing, list[1].Missing = r.Lengthwise.Lines == 0, r.Across.Lines == 0
	for i := range list {
		list[i].Ruling = Decide(list[i].Characteristic, spec.Decision)
		list[i].explain()
	}
	return list
}

// unreadSides is √n for n sides of a joint that were not read at the edge: their errors are independent, and each is taken as the
// same all along the joint.
func unreadSides(j seating.Joint) float64 {
	n := 0.0
	for _, measured := range j.Measured {
		if !measured {
			n++
		}
	}
	return math.Sqrt(n)
}

// thinnest is the finding of the least thickness of the three pieces where it was read. The least of readings with errors is
// low, so it is taken as it stands; its lean is the two standard uncertainties by which the least of 24 equal places reads
// low on average (expected extreme of 24 normal draws: 1.95; standard table, from memory).
func thinnest(faces [3]*face.Face, limit float64) Finding {
	least := math.Inf(1)
	for _, f := range faces {
		for _, t := range f.Thickness {
			least = min(least, t.T)
		}
	}
	f := Finding{Parts: []Part{{PartCaliper, CaliperU}}}
	if math.IsInf(least, 1) {
		f.Missing, least = true, 0
	}
	f.Read = sealed(least)
	f.Characteristic = Characteristic{Name: Thickness, Value: f.Read, Lean: 2 * CaliperU, U: CaliperU, Limit: limit, AtLeast: true}
	return f
}

// explain says why a ruling cannot be told.
func (f *Finding) explain() {
	if f.Verdict != CannotTell {
		return
	}
	over := f.badness()
	side, room, proof := "inside", f.Guard, "conformity"
	if over > 0 {
		side, room, proof = "beyond", math.Abs(f.Reject-f.Limit), "the opposite"
	}
	f.Why = fmt.Sprintf("The value lies %s mm %s its limit; to prove %s it would have to lie %s mm %s. %s", mm(math.Abs(over)), side, proof,
		mm(room), side, f.margin())
}

// margin puts the margin into words.
func (f *Finding) margin() string {
	if f.Missing {
		return "Nothing was read, so there is no margin."
	}
	return fmt.Sprintf("The margin to what is accepted is %s mm.", mm(f.Margin))
}

// withhold makes a finding untold because of a hindrance. Too few caliper readings still prove a stone too thin: more of them
// would find it thinner.
func (f *Finding) withhold(h Hindrance) {
	if h.Code == FewThickness && f.Verdict == DoesNotConform && !f.Missing {
		return
	}
	f.Verdict, f.Why = CannotTell, h.Why+" "+f.margin()
}

// mm prints a length for a sentence.
func mm(v float64) string { return measure.Decimal(v, 3) }

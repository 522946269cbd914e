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
	Read    float64 `json:"read_mm"`       // as the readings have it
	Noise   float64 `json:"noise_mm"`      // taken off: what the readings' errors are expected to have added
	Between float64 `json:"between_mm"`    // put on: what may lie between the readings
	Parts   []Part  `json:"u_parts"`       // U is the root of the sum of their squares
	Missing bool    `json:"missing"`       // nothing was read; the numbers mean nothing
	Why     string  `json:"why,omitempty"` // why it cannot be told
}

// Part is one standard uncertainty that U is made of, mm.
type Part struct {
	Name string  `json:"part"`
	U    float64 `json:"u_mm"`
}

// The parts.
const (
	PartReadings = "readings and bench"
	PartNoise    = "noise correction"
	PartBetween  = "between the points"
	PartJoint    = "joint not read at the edge"
	PartGravity  = "gravity on two lines"
	PartCaliper  = "caliper"
)

// CaliperU is the standard uncertainty of one caliper reading of thickness, mm: half of U = 0.025, between the 0.02 and 0.03
// that a caliper or two opposed dials hold on stone. From memory; nothing in a file or a specification says it yet.
const CaliperU = 0.0125

// mostNoise is the largest share of a figure that is taken off for noise, √2 − 1. A face that is nothing but noise reads √2 of
// itself when as much noise is added once more; a shift beyond that says that the stated noise is not in the readings.
const mostNoise = 0.41421356237309503

// estimate makes a finding of a figure that was read. The error of the estimate is deliberately on the safe side:
//
//   - Noise makes a zone read high, because the least zone is a convex function of the readings. As much noise put on once
//     more shifts the figure by less than the first did, unless the highest and lowest readings stand well apart from the
//     rest. So the shift is taken off once, never more than mostNoise of the figure, and the true bias may be anywhere
//     between none and twice that: shift/√3 of uncertainty.
//   - What lies between the readings can only raise the figure, and is known by one number, its standard uncertainty. It is
//     put on once and counted in the uncertainty once, as for an exponential distribution.
//   - Both are given back (Lean) when it is to be proven that the set does not conform.
//
// On invented faces (bow, twist, third order, undulation, ripple; nine by six readings, noise 0.005 and 0.010 mm, bench 0.004 and
// 0.005 mm; 300 beds of a kind) the true zone and both straightnesses were at most value + 1.645 u in 94 to 100 of 100 cases,
// the steps in 98 to 100. The 94 belong to beds near their limit whose undulation of 0.015 mm (one standard deviation) hides
// more between the readings than the default 0.010 mm covers. At least value − Lean − 1.645 u they were in 94 to 100, but for
// steps and straightnesses that are truly near zero: there little but noise is read, and it was 86 to 92.
func estimate(name Name, read float64, s Spread, between, limit float64, others ...Part) Finding {
	f := Finding{Read: sealed(read), Between: sealed(between)}
	f.Noise = sealed(min(s.Shift, mostNoise*f.Read))
	f.Parts = []Part{{PartReadings, s.SD}, {PartNoise, sealed(math.Abs(f.Noise) / 1.7320508075688772)}, {PartBetween, f.Between}}
	f.Parts = append(f.Parts, others...)
	f.Characteristic = Characteristic{Name: name, Value: sealed(f.Read - f.Noise + f.Between), Lean: sealed(f.Between + max(f.Noise, 0)),
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
			others = append(others, Part{PartJoint, sealed(spec.Uncertainty.JointExtrapolation * unread(r.Joints[i-3]))})
		}
		if proof.Lines && name == Across {
			others = append(others, Part{PartGravity, linesU})
		}
		list = append(list, estimate(name, read[i], in.Doubt.spreads()[i], spec.Uncertainty.BetweenPoints, limits[i], others...))
	}
	list = append(list, thinnest(in.Question.Faces, spec.ThicknessMin))
	for i := range list {
		list[i].Ruling = Decide(list[i].Characteristic, spec.Decision)
		list[i].explain()
	}
	return list
}

// unread is √n for n sides of a joint that were not read at the edge: their errors are independent, and each is taken as the
// same all along the joint.
func unread(j seating.Joint) float64 {
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
	f.Why = fmt.Sprintf("The value lies %s mm %s its limit; to prove %s it would have to lie %s mm.", mm(math.Abs(over)), side, proof, mm(room))
}

// withhold makes a finding untold because of a hindrance. Too few caliper readings still prove a stone too thin: more of them
// would find it thinner.
func (f *Finding) withhold(h Hindrance) {
	if h.Code == FewThickness && f.Verdict == DoesNotConform && !f.Missing {
		return
	}
	f.Verdict, f.Why = CannotTell, h.Why
}

// mm prints a length for a sentence.
func mm(v float64) string { return measure.Decimal(v, 3) }

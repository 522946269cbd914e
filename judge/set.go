package judge

import (
	"cmp"
	"fmt"
	"slices"

	"slatewright/seating"
	"slatewright/trouble"
)

// Input is what a set is judged by.
type Input struct {
	Question seating.Question // with the specification and the faces as they were read
	Result   seating.Result   // its answer
	Doubt    Doubt            // of that answer
	// Reseater is what the doubt came from. With it the next steps are tried before they are advised: smaller steps, dressed joints,
	// a face re-ground. nil: nothing is tried.
	Reseater Reseater
	Issued   string // YYYY-MM-DD, the day of the verdict; "" when readings need not be older
}

// Judgement is the answer about a set.
type Judgement struct {
	Verdict    Verdict
	DecidedBy  Name    // the characteristic that decides: the worst verdict, of those the least probable
	Factor     float64 // of the standard uncertainty
	Proof      Proof
	Findings   []Finding   // in the order of Names, then those of a lay-up
	Hindrances []Hindrance // what keeps findings from being told
	Gaps       [3]float64
	Next       Step
	Warnings   []string
}

// Finding returns the finding of that name.
func (j Judgement) Finding(n Name) Finding {
	i := slices.IndexFunc(j.Findings, func(f Finding) bool { return f.Name == n })
	if i < 0 {
		panic("judge: no finding is called " + string(n))
	}
	return j.Findings[i]
}

// Set judges a seated set: the verdict is the worst over its characteristics, a hindrance makes those that it bears on untold,
// and the next step is the one that helps most. Errors are *trouble.Trouble: a file that does not state the support, a face
// without size, a day that is none, a doubt that was never simulated.
func Set(in Input) (Judgement, error) {
	j, err := ruled(in)
	if err != nil {
		return Judgement{}, err
	}
	j.Next = j.next(in)
	return j, nil
}

// ruled is the judgement without the next step.
func ruled(in Input) (Judgement, error) {
	if in.Doubt.Draws < FewestDraws {
		return Judgement{}, trouble.Own("no-doubt", "judge", "the uncertainty of the set was not simulated", "simulate it first")
	}
	if _, ok := days(in.Issued, in.Issued); !ok && in.Issued != "" {
		return Judgement{}, trouble.Usage("bad-date", "judge", fmt.Sprintf("%q is not a day of the calendar", in.Issued), "write year-month-day, such as 2026-11-25")
	}
	spec := in.Question.Spec
	j := Judgement{Factor: sealed(Factor(spec.Decision)), Warnings: []string{}}
	var hindrances []Hindrance
	for k, f := range in.Question.Faces {
		gap, err := widestGap(f, spec.EdgeBand)
		if err != nil {
			return Judgement{}, err
		}
		j.Gaps[k] = sealed(gap)
		hindrances = append(hindrances, readiness(f, spec, j.Gaps[k], in.Issued)...)
	}
	var err error
	if j.Proof, err = prove(spec.State, in.Question.Faces); err != nil {
		return Judgement{}, err
	}
	hindrances = append(hindrances, unread(in)...)
	j.Hindrances = gather(append(hindrances, j.Proof.Hinder...))
	j.Findings = findings(in, j.Proof)
	j.decide()
	j.warn(in)
	return j, nil
}

// decide applies the hindrances and finds what decides: one characteristic that does not conform outweighs any that cannot be
// told.
func (j *Judgement) decide() {
	for i := range j.Findings {
		f := &j.Findings[i]
		if h := j.hinders(f.Name); h != nil {
			f.withhold(*h)
		}
	}
	w := worst(j.Findings)
	j.Verdict, j.DecidedBy = w.Verdict, w.Name
}

// hinders returns the first hindrance on a characteristic, or nil.
func (j *Judgement) hinders(n Name) *Hindrance {
	for i, h := range j.Hindrances {
		if slices.Contains(h.On, n) {
			return &j.Hindrances[i]
		}
	}
	return nil
}

// worst returns the finding with the worst verdict, of those the one least likely to conform, of those the one with the least
// margin, of those the first.
func worst(list []Finding) Finding {
	return slices.MinFunc(list, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(b.Verdict, a.Verdict), cmp.Compare(a.Probability, b.Probability), cmp.Compare(a.Margin, b.Margin))
	})
}

func (j *Judgement) warn(in Input) {
	if !in.Result.Feasible {
		j.Warnings = append(j.Warnings, "The limit that the seating was asked to keep cannot be kept; the pieces lie as near to it as they can.")
	}
	if in.Doubt.Zone.Rise > float64(mostNoise*in.Result.Zone) {
		j.Warnings = append(j.Warnings, "The readings scatter less than their stated uncertainty says: check '# u:', or whether they were smoothed.")
	}
}

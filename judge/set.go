package judge

import (
	"cmp"
	"fmt"
	"slices"

	"slatewright/bed"
	"slatewright/seating"
	"slatewright/trouble"
)

// Input is what a set is judged by.
type Input struct {
	Question seating.Question // with the specification and the faces as they were read
	Result   seating.Result   // its answer
	Doubt    Doubt            // of that answer
	// Reseater is what the doubt came from. It is used to try by how much a face would have to be re-ground; nil: not tried.
	Reseater Reseater
	Issued   string // YYYY-MM-DD, the day of the verdict; "" when readings need not be older
}

// Judgement is the answer about a set.
type Judgement struct {
	Verdict    Verdict      `json:"verdict"`
	DecidedBy  Name         `json:"decided_by"` // the characteristic that decides: the worst verdict, of those the least probable
	Decision   bed.Decision `json:"decision"`
	Factor     float64      `json:"guard_factor"` // of the standard uncertainty
	Proof      Proof        `json:"support"`
	Findings   []Finding    `json:"findings"`   // in the order of Names
	Hindrances []Hindrance  `json:"hindrances"` // what keeps findings from being told
	Gaps       [3]float64   `json:"widest_gap_mm"`
	Next       Step         `json:"next_step"`
	Warnings   []string     `json:"warnings"`
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
	if in.Doubt.Draws < FewestDraws {
		return Judgement{}, trouble.Own("no-doubt", "judge", "the uncertainty of the set was not simulated", "simulate it first")
	}
	if _, ok := days(in.Issued, in.Issued); !ok && in.Issued != "" {
		return Judgement{}, trouble.Usage("bad-date", "judge", fmt.Sprintf("%q is not a day of the calendar", in.Issued), "write year-month-day, such as 2026-11-25")
	}
	spec := in.Question.Spec
	j := Judgement{Decision: spec.Decision, Factor: sealed(Factor(spec.Decision)), Warnings: []string{}}
	for k, f := range in.Question.Faces {
		gap, err := Gap(f, spec.EdgeBand)
		if err != nil {
			return Judgement{}, err
		}
		j.Gaps[k] = sealed(gap)
	}
	var err error
	if j.Proof, err = Prove(spec.State, in.Question.Faces); err != nil {
		return Judgement{}, err
	}
	j.Hindrances = gather(append(readiness(in.Question, j.Gaps, in.Issued), j.Proof.Hinder...))
	j.Findings = findings(in, j.Proof)
	j.decide()
	j.warn(in)
	j.Next, err = j.next(in)
	return j, err
}

// decide applies the hindrances and finds the verdict and what decided it.
func (j *Judgement) decide() {
	var verdicts []Verdict
	for i := range j.Findings {
		f := &j.Findings[i]
		if h := j.hinders(f.Name); h != nil {
			f.withhold(*h)
		}
		verdicts = append(verdicts, f.Verdict)
	}
	j.Verdict = Worst(verdicts...)
	j.DecidedBy = worst(j.Findings).Name
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
	if in.Doubt.Zone.Shift > float64(mostNoise*in.Result.Zone) {
		j.Warnings = append(j.Warnings, "The readings scatter less than their stated uncertainty says: check '# u:', or whether they were smoothed.")
	}
}

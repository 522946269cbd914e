package certificate

import (
	"slices"

	"slatewright/bed"
	"slatewright/judge"
	"slatewright/seating"
)

// answer is what the other packages found, before it is sealed.
type answer struct {
	question seating.Question
	seated   seating.Result
	doubt    judge.Doubt
	verdict  judge.Judgement
	joints   *[2]judge.Comparison // of the lay-up; nil: not laid up
}

// find seals what was found.
func find(g Given, a answer) (Found, error) {
	var s sealer
	j := a.verdict
	f := Found{
		Verdict: j.Verdict.String(), DecidedBy: string(j.DecidedBy), Basis: BasisPredicted,
		Next:     Step{Code: string(j.Next.Code), Text: j.Next.Text, Reason: j.Next.Why, Number: s.mm(j.Next.Number), Unit: j.Next.Unit},
		Warnings: distinct(a.seated.Warnings, j.Warnings),
		Support:  Support{State: j.Proof.State, Proven: words(j.Proof.Proven), Lines: j.Proof.Lines, Reason: j.Proof.Why},
		Doubt:    s.doubt(a.doubt, j.Factor),
		Seating:  s.seated(a.seated),
		Shims:    s.shims(a.seated),
		Levels:   s.levels(a.seated, a.question.Spec),
	}
	for _, finding := range j.Findings {
		f.Results = append(f.Results, s.result(finding))
	}
	for _, h := range j.Hindrances {
		f.Hindrances = append(f.Hindrances, Hindrance{Code: string(h.Code), Of: h.Of, Reason: h.Why, Next: h.Next, On: words(h.On)})
	}
	for _, p := range a.seated.Pieces {
		piece := s.piece(p, a.question.Faces[p.Index], a.question.Spec)
		piece.WidestGap = s.mm(j.Gaps[p.Index])
		f.Pieces = append(f.Pieces, piece)
	}
	for _, c := range bed.NotChecked() {
		f.NotChecked = append(f.NotChecked, Unchecked{c.Subject, c.Demand, c.Why})
	}
	if a.joints != nil {
		f.Basis, f.LaidUp = BasisLaidUp, s.laidUp(*a.joints)
	}
	f.Method = method(g, f)
	return f, s.err
}

// result seals one characteristic.
func (s *sealer) result(f judge.Finding) Result {
	r := Result{
		Name: string(f.Name), Verdict: f.Verdict.String(), Value: s.mm(f.Value), U: s.mm(f.U), Limit: s.mm(f.Limit), AtLeast: f.AtLeast,
		Accept: s.mm(f.Accept), Reject: s.mm(f.Reject), Margin: s.mm(f.Margin), Guard: s.mm(f.Guard), Probability: s.chance(f.Probability),
		Read: s.mm(f.Read), Noise: s.mm(f.Noise), Between: s.mm(f.Between), Lean: s.mm(f.Lean), Missing: f.Missing, Reason: f.Why,
	}
	for _, p := range f.Parts {
		r.Parts = append(r.Parts, Part{Name: p.Name, U: s.mm(p.U)})
	}
	return r
}

// doubt seals what the simulation found, in the order of the characteristics.
func (s *sealer) doubt(d judge.Doubt, factor float64) Doubt {
	out := Doubt{GuardFactor: s.share(factor), BenchU: s.mm(d.BenchU)}
	for i, u := range d.ReadingU {
		out.ReadingU[i] = s.mm(u)
	}
	for i, spread := range []judge.Spread{d.Lengthwise, d.Across, d.Zone, d.Steps[0], d.Steps[1]} {
		out.Spreads = append(out.Spreads, Spread{Name: string(judge.Names()[i]), Shift: s.mm(spread.Shift), SD: s.mm(spread.SD), Rise: s.mm(spread.Rise)})
	}
	return out
}

// distinct joins lists of sentences and says each once.
func distinct(lists ...[]string) List[string] {
	var out List[string]
	for _, list := range lists {
		for _, text := range list {
			if !slices.Contains(out, text) {
				out = append(out, text)
			}
		}
	}
	return out
}

func words(names []judge.Name) List[string] {
	var out List[string]
	for _, n := range names {
		out = append(out, string(n))
	}
	return out
}

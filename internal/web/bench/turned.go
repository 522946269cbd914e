package bench

import (
	"net/url"
	"slices"
	"strings"

	"slatewright/bed"
	"slatewright/internal/measured"
	"slatewright/internal/web/shell"
	"slatewright/judge"
)

// The fields of the form and of an address that tell which pieces lie turned end for end, and of which bed that was said.
const (
	turnedField   = "_turned"
	turnedOfField = "_turned_of"
)

// turnsOf tells which pieces of a set lie turned end for end: as the form or the address says, as the set lay at its last lay-up, or as the
// three were proposed. nil: nobody has said.
func (r room) turnsOf(v *shell.Visit, s theSet, typed url.Values) (turned []string) {
	if typed.Has(turnedField) && (!typed.Has(turnedOfField) || slices.Equal(shell.Chosen(typed.Get(turnedOfField)), s.state.Pieces)) {
		turned = []string{}
		for _, id := range shell.Chosen(typed.Get(turnedField)) {
			if slices.Contains(s.state.Pieces, id) {
				turned = append(turned, id)
			}
		}
		return turned
	}
	if s.state.Turned != nil {
		return s.state.Turned
	}
	for _, rack := range r.queue.Racks(v.Now) {
		for _, p := range rack.Proposed {
			if turned, same := p.Match.TurnedIn(s.state.Pieces); same {
				return turned
			}
		}
	}
	return nil
}

// untold is a form without what was said of the turns: it is not said of the pieces that are picked next.
func untold(typed url.Values) url.Values {
	rest := url.Values{}
	for name, values := range typed {
		if name != turnedField && name != turnedOfField {
			rest[name] = values
		}
	}
	return rest
}

// foretold are the joints of the bed as the three pieces alone foretell them, lying as they lie, or as they lie best while nobody knows
// how; nil while they are being computed, or when a face was not read.
func (r room) foretold(v *shell.Visit, s theSet, turned []string) (*[2]measured.Joint, error) {
	t, err := s.triple(v)
	if err != nil {
		return nil, nil //nolint:nilerr // a set can be laid up before its faces are read
	}
	if turned == nil {
		t.LayUp, t.LayUpName = "", ""
		asked := r.measured.AskBed(t)
		if asked.State != measured.Ready {
			return nil, asked.Err
		}
		return &asked.Value.Joints, nil
	}
	l := measured.Lying{Faces: t.Faces, Names: t.Names, MaxStep: mostStep(bed.NineFoot())}
	for i, id := range s.state.Pieces {
		l.Turned[i] = slices.Contains(turned, id)
	}
	asked := r.measured.AskSteps(l)
	if asked.State != measured.Ready {
		return nil, asked.Err
	}
	return &asked.Value, nil
}

// mostStep is what a proposal keeps the steps within, mm: the limit less what doubt is expected to take from it.
func mostStep(spec bed.Spec) float64 {
	return spec.Limits.Step - judge.Factor(spec.Decision)*judge.FirstDoubt(spec)
}

// listed writes numbers as a field that lists them.
func listed(ids []string) string { return strings.Join(ids, ", ") }

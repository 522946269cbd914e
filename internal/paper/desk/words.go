package desk

import (
	"strings"

	"slatewright/certificate"
	"slatewright/judge"
	"slatewright/measure"
)

// resultWords are the names and notes of the results on paper.
var resultWords = map[string][2]string{
	string(judge.Lengthwise): {"Lengthwise", "straightness of the worst line along the table, steps included"},
	string(judge.Across):     {"Across", "straightness of the worst line across the table"},
	string(judge.Zone):       {"Zone of the bed", "all readings of all three pieces between two planes"},
	string(judge.StepHead):   {"Step at joint 1", "head | centre, largest of the joint"},
	string(judge.StepFoot):   {"Step at joint 2", "centre | foot, largest of the joint"},
	string(judge.Thickness):  {"Thickness of stone", "least caliper reading of the three pieces"},

	certificate.LaidUpPrefix + string(judge.StepHead): {"Laid-up step at joint 1", "head | centre, largest step measured on the dry set"},
	certificate.LaidUpPrefix + string(judge.StepFoot): {"Laid-up step at joint 2", "centre | foot, largest step measured on the dry set"},
}

// Name is a result's name as papers and terminal say it.
func Name(result string) string {
	if w, ok := resultWords[result]; ok {
		return w[0]
	}
	return result
}

// Reason says in a sentence or two what decided, always with the margin. What cannot be told has it from the judgement.
func (s *Set) Reason() string {
	r := s.deciding()
	name := Name(r.Name)
	switch {
	case r.Missing || s.Verdict() == judge.Conforms:
		return s.Margin()
	case s.Verdict() == judge.DoesNotConform:
		return name + " misses its limit by " + both(max(r.Value-r.Limit, r.Limit-r.Value)) + "; it " + margin(r) + "."
	}
	return name + " cannot be told: " + r.Reason
}

// Margin says in one sentence which result decides, and how far it is from where conformity is proven.
func (s *Set) Margin() string {
	r := s.deciding()
	if r.Missing {
		return Name(r.Name) + " decides: it was not read."
	}
	if s.withheld(r) {
		return Name(r.Name) + " would decide: it " + margin(r) + "."
	}
	return Name(r.Name) + " decides: it " + margin(r) + "."
}

func margin(r certificate.Result) string {
	if r.Margin < 0 {
		return "is " + both(-r.Margin) + " beyond what the decision rule accepts"
	}
	return "keeps " + both(r.Margin) + " inside what the decision rule accepts"
}

// deciding is the result that decides.
func (s *Set) deciding() certificate.Result {
	for _, r := range s.Body.Found.Results {
		if r.Name == s.Body.Found.DecidedBy {
			return r
		}
	}
	return certificate.Result{Name: s.Body.Found.DecidedBy, Missing: true}
}

// both is a length in both units.
func both(l certificate.Length) string {
	return measure.FormatRounded(l.Float64(), measure.MM, 3) + " (" + measure.FormatRounded(l.Float64(), measure.Thou, 1) + ")"
}

// sentence makes a phrase a sentence.
func sentence(phrase string) string {
	if phrase == "" {
		return ""
	}
	return strings.ToUpper(phrase[:1]) + phrase[1:] + "."
}

// Package agreement asks how far people agree who judge parts by go and no-go, with each other, with themselves, and with what the parts
// truly are.
//
// It takes complete lists only: every person judges every part equally often. It does not judge a part and knows no measured value; for
// these there is package study.
package agreement

import (
	"fmt"
	"slices"
	"strings"

	"slatewright/trouble"
)

// Judgement is one verdict of a person on a part; trials are told apart by their order.
type Judgement struct {
	Part, Person string
	Pass         bool
}

// Study is a complete list of judgements.
type Study struct {
	Parts, People []string
	Trials        int
	Truth         map[string]bool // of each part, where it is known of all; else nil
	pass          [][][]bool      // part, person, trial
}

// New sorts judgements into a study; truth names what parts truly are, for all of them or for none. Gaps are refused.
func New(list []Judgement, truth map[string]bool) (*Study, error) {
	s := &Study{}
	for _, j := range list {
		if !slices.Contains(s.Parts, j.Part) {
			s.Parts = append(s.Parts, j.Part)
		}
		if !slices.Contains(s.People, j.Person) {
			s.People = append(s.People, j.Person)
		}
	}
	if len(s.Parts) < 2 || len(s.Parts)*len(s.People) > 20000 {
		return nil, trouble.Data("too-few-parts", "", fmt.Sprintf("%d parts by %d people", len(s.Parts), len(s.People)), "judge at least two parts; 30 to 50, a third of them near the limit, tell something")
	}
	s.pass = make([][][]bool, len(s.Parts))
	for i := range s.pass {
		s.pass[i] = make([][]bool, len(s.People))
	}
	for _, j := range list {
		cell := &s.pass[slices.Index(s.Parts, j.Part)][slices.Index(s.People, j.Person)]
		*cell = append(*cell, j.Pass)
		s.Trials = max(s.Trials, len(*cell))
	}
	if err := s.complete(truth); err != nil {
		return nil, err
	}
	if len(truth) > 0 {
		s.Truth = truth
	}
	if s.Trials == 1 && len(s.People) == 1 && s.Truth == nil {
		return nil, trouble.Data("nothing-to-compare", "", "one person judged each part once, and what the parts are is not known", "add a second trial, a second person or the column reference")
	}
	return s, nil
}

func (s *Study) complete(truth map[string]bool) error {
	var gaps []string
	for i, part := range s.Parts {
		for j, person := range s.People {
			if n := len(s.pass[i][j]); n < s.Trials {
				gaps = append(gaps, fmt.Sprintf("part %s by %s has %d of %d", part, person, n, s.Trials))
			}
		}
		if _, ok := truth[part]; !ok && len(truth) > 0 {
			gaps = append(gaps, "part "+part+" has no reference")
		}
	}
	if len(gaps) == 0 {
		return nil
	}
	more := ""
	if len(gaps) > 4 {
		more = fmt.Sprintf(" and %d more", len(gaps)-4)
	}
	return trouble.Data("unbalanced", "", "judgements are missing: "+strings.Join(gaps[:min(4, len(gaps))], ", ")+more, "judge what is missing, or leave out the part, the person or the trial in all places")
}

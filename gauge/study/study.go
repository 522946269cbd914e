// Package study asks how well an instrument repeats in the hands of the mill: every person reads every part several times, and the
// readings tell how much of their spread is the instrument, the person and the part.
//
// It takes balanced crossed studies only, says nothing of the instrument's bias (package gauge does), and of judging by go and no-go
// package agreement does. It gives no verdict: how much is too much is the mill's choice.
package study

import (
	"fmt"
	"slices"
	"strings"

	"slatewright/trouble"
)

// Reading is one value with who read which part. Trials of one person on one part are told apart by their order.
type Reading struct {
	Part, Person string
	Value        float64
}

// Study is a balanced crossed study: the same number of trials by every person on every part.
type Study struct {
	Parts, People []string // in the order of their first reading
	Trials        int
	values        [][][]float64 // part, person, trial
}

// What a study may hold, and must.
const (
	mostCells   = 20000
	fewestParts = 2
)

// New sorts readings into a study. One that is nested, unbalanced or too small is refused, and the refusal says what is missing.
func New(readings []Reading) (*Study, error) {
	s := &Study{}
	for _, r := range readings {
		if !slices.Contains(s.Parts, r.Part) {
			s.Parts = append(s.Parts, r.Part)
		}
		if !slices.Contains(s.People, r.Person) {
			s.People = append(s.People, r.Person)
		}
	}
	if len(s.Parts) < fewestParts {
		return nil, trouble.Data("too-few-parts", "", "a study needs at least two parts", "read ten parts that cover what the mill makes")
	}
	if len(s.Parts)*len(s.People) > mostCells {
		return nil, trouble.Data("too-large", "", fmt.Sprintf("%d parts by %d people", len(s.Parts), len(s.People)), "give one study only")
	}
	s.values = make([][][]float64, len(s.Parts))
	for i := range s.values {
		s.values[i] = make([][]float64, len(s.People))
	}
	for _, r := range readings {
		cell := &s.values[slices.Index(s.Parts, r.Part)][slices.Index(s.People, r.Person)]
		*cell = append(*cell, r.Value)
		s.Trials = max(s.Trials, len(*cell))
	}
	if err := s.balanced(); err != nil {
		return nil, err
	}
	if s.Trials < 2 && len(s.People) < 2 {
		return nil, trouble.Data("too-few-trials", "", "one person read each part once: nothing was repeated", "read every part at least twice, better three times, without seeing the earlier value")
	}
	return s, nil
}

// balanced refuses gaps.
func (s *Study) balanced() error {
	var gaps []string
	nested := len(s.People) > 1
	for i, part := range s.Parts {
		seen := 0
		for j, person := range s.People {
			n := len(s.values[i][j])
			if n > 0 {
				seen++
			}
			if n < s.Trials {
				gaps = append(gaps, fmt.Sprintf("part %s by %s has %d of %d", part, person, n, s.Trials))
			}
		}
		nested = nested && seen == 1
	}
	if len(gaps) == 0 {
		return nil
	}
	if nested {
		return trouble.Data("nested", "", "every part was read by one person only, so person and part cannot be told apart", "let every person read every part")
	}
	shown := gaps[:min(len(gaps), 4)]
	more := ""
	if len(gaps) > len(shown) {
		more = fmt.Sprintf(" and %d more", len(gaps)-len(shown))
	}
	return trouble.Data("unbalanced", "", "readings are missing: "+strings.Join(shown, ", ")+more,
		"read what is missing, or leave out the part, the person or the trial in all places")
}

// of is the readings of one person on one part.
func (s *Study) of(part, person int) []float64 { return s.values[part][person] }

// meanOf averages f over 0 … n−1.
func meanOf(n int, f func(i int) float64) float64 {
	sum := 0.0
	for i := range n {
		sum += f(i)
	}
	return sum / float64(n)
}

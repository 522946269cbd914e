// Package study asks how well an instrument repeats in the hands of the mill: every person reads every part several times, and the
// readings tell how much of their spread is the instrument, the person and the part.
//
// Every person should read every part equally often. A study with gaps is analysed too, with approximate intervals, and so is one in which every
// part was read by one person only, where people and parts are told apart only as far as the parts were dealt out at random. It says nothing
// of the instrument's bias (package gauge does), and of judging by go and no-go package agreement does. It gives no verdict: how much is too
// much is the mill's choice.
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

// Study is who read what, and how often.
type Study struct {
	Parts, People []string // in the order of their first reading
	Trials        int      // how often a person read a part, mostly
	Readings      int
	Gaps          []string      // what departs from as many trials by every person on every part
	Nested        bool          // every part was read by one person only
	values        [][][]float64 // part, person, trial
}

// What a study may hold, and must.
const (
	mostCells   = 20000
	fewestParts = 2
)

// New sorts readings into a study. One from which nothing can be told is refused, and the refusal says what is missing.
func New(readings []Reading) (*Study, error) {
	s := &Study{Readings: len(readings)}
	part, person := map[string]int{}, map[string]int{}
	for _, r := range readings {
		if _, ok := part[r.Part]; !ok {
			part[r.Part] = len(s.Parts)
			s.Parts = append(s.Parts, r.Part)
		}
		if _, ok := person[r.Person]; !ok {
			person[r.Person] = len(s.People)
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
		cell := &s.values[part[r.Part]][person[r.Person]]
		*cell = append(*cell, r.Value)
	}
	s.look()
	return s, s.enough()
}

// look counts trials, and finds gaps.
func (s *Study) look() {
	count, cells := map[int]int{}, 0
	for _, of := range s.values {
		for _, cell := range of {
			if len(cell) > 0 {
				count[len(cell)]++
				cells++
			}
		}
	}
	for n, k := range count {
		if best := count[s.Trials]; k > best || k == best && n > s.Trials {
			s.Trials = n
		}
	}
	s.Nested = len(s.People) > 1 && cells == len(s.Parts)
	for i, part := range s.Parts {
		for j, person := range s.People {
			if n := len(s.of(i, j)); n != s.Trials && !(s.Nested && n == 0) {
				s.Gaps = append(s.Gaps, fmt.Sprintf("part %s by %s has %d of %d", part, person, n, s.Trials))
			}
		}
	}
}

// enough refuses a study from which the scatter of an instrument cannot be told.
func (s *Study) enough() error {
	l := s.layout()
	repeated := s.Readings > len(l.cells)
	if s.still() {
		return trouble.Data("no-scatter", "", "all readings of a part are the same, for every part: the scatter of the instrument is smaller than its step, or was not written down",
			"read with a finer step, or ask what half a step is worth with gauge budget")
	}
	switch {
	case s.Nested && !repeated:
		return trouble.Data("nested", "", "every part was read once, by one person: the parts cannot be told from the scatter of the readings",
			"let every person read every part, or each part at least twice")
	case s.Nested && len(s.Parts) == len(s.People), !s.Nested && len(s.Parts) == l.count:
		return trouble.Data("nested", "", "every person read a part of their own and no other, so person and part cannot be told apart",
			"let every person read every part, or at least several")
	case !repeated && len(l.cells)-len(s.Parts)-len(s.People)+l.count == 0:
		return trouble.Data("too-few-trials", "", "nothing was repeated: no part was read twice by one person, and too few by several",
			"read every part at least twice, better three times, without seeing the earlier value")
	}
	return nil
}

// still tells whether no reading of a part differs from another, and some are repeated.
func (s *Study) still() bool {
	repeated := false
	for _, of := range s.values {
		all := slices.Concat(of...)
		if len(all) > 1 && width(all) > 0 {
			return false
		}
		repeated = repeated || len(all) > 1
	}
	return repeated
}

// gaps says what is missing and what that does, "" if nothing is.
func (s *Study) gaps() string {
	if len(s.Gaps) == 0 {
		return ""
	}
	shown := s.Gaps[:min(len(s.Gaps), 4)]
	more := ""
	if n := len(s.Gaps) - len(shown); n > 0 {
		more = fmt.Sprintf(" and %d more", n)
	}
	return "readings are missing: " + strings.Join(shown, ", ") + more +
		". F, probabilities and intervals are approximations; average and range needs a study without gaps"
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

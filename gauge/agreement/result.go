package agreement

import (
	"fmt"

	"slatewright/chance"
	"slatewright/gauge/tables"
)

// Pair is how two people agree, trial by trial.
type Pair struct {
	First, Second string
	Kappa
}

// Person is how one person judges.
type Person struct {
	Name        string
	Alike       float64 // share of parts on which all own trials say the same; 1 with one trial
	Own         *Kappa  // between the own trials, nil with one trial
	Reference   *Kappa  // against what the parts are, nil where that is not known
	FalseAccept *Rate   // passed what should not pass, of the judgements on such parts
	FalseReject *Rate   // stopped what should pass
}

// Rate is a share that was counted, with its Clopper–Pearson interval.
type Rate struct {
	Count, Of int
	Share     float64
	Low, High float64
}

// Result is what a study tells.
type Result struct {
	All      *Kappa // of everybody, trials taken as further raters; nil for one person with one trial
	Pairs    []Pair
	People   []Person
	Warnings []string
}

// Analyse works out the agreements with intervals of this confidence. The seed draws the bootstrap.
func (s *Study) Analyse(confidence float64, seed uint64) *Result {
	r, stream := &Result{}, chance.NewStream(seed)
	everyone := make([]int, len(s.People))
	for j := range everyone {
		everyone[j] = j
	}
	if len(s.People)*s.Trials > 1 {
		k := s.spanned(s.fleiss(everyone), confidence, stream.Split("all"))
		r.All = &k
	}
	for a, first := range s.People {
		for b := a + 1; b < len(s.People); b++ {
			of := s.cohen(a, func(i, k int) bool { return s.pass[i][b][k] })
			r.Pairs = append(r.Pairs, Pair{first, s.People[b], s.spanned(of, confidence, stream.Split(fmt.Sprintf("pair %d %d", a, b)))})
		}
		r.People = append(r.People, s.person(a, confidence, stream.Split(fmt.Sprintf("person %d", a))))
	}
	r.Warnings = s.doubts(r)
	return r
}

// fleiss counts the verdicts of these people, all trials.
func (s *Study) fleiss(people []int) func(parts []int) (kappa, se, agreed float64) {
	return func(parts []int) (float64, float64, float64) {
		counts := make([][]int, len(parts))
		for n, i := range parts {
			counts[n] = make([]int, 2)
			for _, j := range people {
				for _, pass := range s.pass[i][j] {
					counts[n][class(pass)]++
				}
			}
		}
		return Fleiss(counts)
	}
}

// cohen sets the verdicts of one person against others.
func (s *Study) cohen(person int, other func(part, trial int) bool) func(parts []int) (kappa, se, agreed float64) {
	return func(parts []int) (float64, float64, float64) {
		table := [][]float64{{0, 0}, {0, 0}}
		for _, i := range parts {
			for k, pass := range s.pass[i][person] {
				table[class(pass)][class(other(i, k))]++
			}
		}
		return Cohen(table)
	}
}

func class(pass bool) int {
	if pass {
		return 1
	}
	return 0
}

func (s *Study) person(j int, confidence float64, stream *chance.Stream) Person {
	p, same := Person{Name: s.People[j]}, 0
	for i := range s.Parts {
		alike := true
		for _, pass := range s.pass[i][j] {
			alike = alike && pass == s.pass[i][j][0]
		}
		same += class(alike)
	}
	p.Alike = float64(same) / float64(len(s.Parts))
	if s.Trials > 1 {
		k := s.spanned(s.fleiss([]int{j}), confidence, stream.Split("own"))
		p.Own = &k
	}
	if s.Truth == nil {
		return p
	}
	k := s.spanned(s.cohen(j, func(i, _ int) bool { return s.Truth[s.Parts[i]] }), confidence, stream.Split("reference"))
	p.Reference = &k
	var wrong, of [2]int
	for i, part := range s.Parts {
		good := s.Truth[part]
		for _, pass := range s.pass[i][j] {
			of[class(good)]++
			wrong[class(good)] += class(pass != good)
		}
	}
	p.FalseAccept, p.FalseReject = rate(wrong[0], of[0], confidence), rate(wrong[1], of[1], confidence)
	return p
}

func rate(count, of int, confidence float64) *Rate {
	r := &Rate{Count: count, Of: of}
	if of > 0 {
		r.Share = float64(count) / float64(of)
	}
	r.Low, r.High = tables.ClopperPearson(count, of, confidence)
	return r
}

func (s *Study) doubts(r *Result) (warnings []string) {
	warn := func(format string, args ...any) { warnings = append(warnings, fmt.Sprintf(format, args...)) }
	if len(s.Parts) < 30 {
		warn("only %d parts: the large-sample intervals are not to be trusted, the drawn ones hardly; 30 to 50 parts are usual", len(s.Parts))
	}
	if s.Trials > 1 && s.Truth != nil {
		warn("the intervals of false accepts and rejects take every judgement as independent, and several trials on one part are not: they are rather too short")
	}
	for _, k := range append([]*Kappa{r.All}, own(r)...) {
		if k != nil && !k.Defined {
			warn("kappa is not defined where all judgements are the same: put parts of both sorts into the study")
			break
		}
	}
	if s.Truth == nil {
		warn("what the parts truly are is not in the list: people may agree and all be wrong")
		return warnings
	}
	bad := 0
	for _, part := range s.Parts {
		bad += class(!s.Truth[part])
	}
	if bad == 0 || bad == len(s.Parts) {
		warn("all parts are of one sort: nothing is known of how often the other sort is taken for it")
	}
	return warnings
}

func own(r *Result) (list []*Kappa) {
	for _, p := range r.People {
		list = append(list, p.Own, p.Reference)
	}
	return list
}

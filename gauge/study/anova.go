package study

import (
	"fmt"
	"math"

	"slatewright/gauge/tables"
)

// Source is one line of an analysis of variance.
type Source struct {
	Name string
	SS   float64 // sum of squares
	DoF  float64
	MS   float64 // mean square
	F    float64 // against the mean square that it would equal if it did nothing; NaN for the last line
	P    float64 // probability of so large an F by chance
}

// Names of the sources.
const (
	SourcePart    = "part"
	SourcePerson  = "person"
	SourceBoth    = "person by part"
	SourceRepeats = "repeats"
)

// PoolAbove is the probability from which on the interaction counts as nothing and is pooled with the repeats: a quarter, as handbooks on
// measurement systems have it.
const PoolAbove = 0.25

// table is the analysis of variance of a study.
type table struct {
	sources []Source
	both    *Source // the interaction as found, pooled or not; nil where there is none
	pooled  bool
}

// anova analyses the variance. Sums of squares are of deviations from means, and all is counted from the first reading, so that large
// values with small differences lose nothing.
func (s *Study) anova() table {
	p, o, r := len(s.Parts), len(s.People), s.Trials
	first := s.values[0][0][0]
	cell := func(i, j int) float64 { return meanOf(r, func(k int) float64 { return s.values[i][j][k] - first }) }
	cells := make([][]float64, p)
	for i := range cells {
		cells[i] = make([]float64, o)
		for j := range cells[i] {
			cells[i][j] = cell(i, j)
		}
	}
	part := func(i int) float64 { return meanOf(o, func(j int) float64 { return cells[i][j] }) }
	person := func(j int) float64 { return meanOf(p, func(i int) float64 { return cells[i][j] }) }
	grand := meanOf(p, part)
	parts, people := make([]float64, p), make([]float64, o)
	for i := range parts {
		parts[i] = part(i)
	}
	for j := range people {
		people[j] = person(j)
	}
	var ssPart, ssPerson, ssBoth, ssRepeats float64
	for i := range p {
		ssPart += float64(o*r) * square(parts[i]-grand)
		for j := range o {
			ssBoth += float64(r) * square(cells[i][j]-parts[i]-people[j]+grand)
			for _, v := range s.of(i, j) {
				ssRepeats += square(v - first - cells[i][j])
			}
		}
	}
	for j := range o {
		ssPerson += float64(p*r) * square(people[j]-grand)
	}
	sources := []Source{{Name: SourcePart, SS: ssPart, DoF: float64(p - 1)}}
	if o > 1 {
		sources = append(sources, Source{Name: SourcePerson, SS: ssPerson, DoF: float64(o - 1)}, Source{Name: SourceBoth, SS: ssBoth, DoF: float64((p - 1) * (o - 1))})
	}
	if r > 1 {
		sources = append(sources, Source{Name: SourceRepeats, SS: ssRepeats, DoF: float64(p * o * (r - 1))})
	}
	return ordered(sources)
}

// ordered finds mean squares and ratios, and pools the interaction by the rule.
func ordered(sources []Source) table {
	t := table{sources: sources}
	for i := range t.sources {
		t.sources[i].MS = t.sources[i].SS / t.sources[i].DoF
	}
	if t.at(SourceBoth) != nil && t.at(SourceRepeats) != nil {
		both, repeats := *t.at(SourceBoth), *t.at(SourceRepeats)
		both.F, both.P = ratio(both, repeats)
		t.both = &both
		if t.pooled = both.P > PoolAbove; t.pooled {
			repeats.SS, repeats.DoF = repeats.SS+both.SS, repeats.DoF+both.DoF
			repeats.MS = repeats.SS / repeats.DoF
			t.sources = append(t.sources[:2:2], repeats)
		}
	}
	last := len(t.sources) - 1
	for i := range t.sources {
		against := t.sources[last]
		if b := t.at(SourceBoth); b != nil && i < 2 {
			against = *b
		}
		t.sources[i].F, t.sources[i].P = ratio(t.sources[i], against)
	}
	t.sources[last].F, t.sources[last].P = math.NaN(), math.NaN()
	return t
}

func (t table) at(name string) *Source {
	for i := range t.sources {
		if t.sources[i].Name == name {
			return &t.sources[i]
		}
	}
	return nil
}

// ratio is F and its probability; two mean squares of 0 are alike.
func ratio(a, b Source) (f, p float64) {
	switch {
	case b.MS > 0:
		f = a.MS / b.MS
	case a.MS > 0:
		return math.Inf(1), 0
	default:
		f = 1
	}
	if f == 0 {
		return 0, 1
	}
	return f, tables.FAbove(f, a.DoF, b.DoF)
}

func square(x float64) float64 { return x * x }

// pooling says what became of the interaction.
func (t table) pooling() string {
	switch {
	case t.pooled:
		return fmt.Sprintf("the part does not change how people differ (F = %.3g, p = %.2g, more than %.2f): their interaction is pooled with the repeats",
			t.both.F, t.both.P, PoolAbove)
	case t.both != nil:
		return fmt.Sprintf("people differ by part (F = %.3g, p = %.2g, at most %.2f): their interaction is kept", t.both.F, t.both.P, PoolAbove)
	}
	return ""
}

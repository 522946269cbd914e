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

	cause int             // the variance that shows in it
	holds [causes]float64 // what the mean square is on average of each variance
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

// What the variances behind a mean square are: of parts, of people, of people by part, of repeats.
const (
	ofPart = iota
	ofPerson
	ofBoth
	ofRepeats
	causes
)

// squares is a sum of squares with what the mean square holds of each variance on average.
func squares(name string, cause int, ss, dof, scale float64, holds [causes]float64) Source {
	s := Source{Name: name, SS: scale * ss, DoF: dof, cause: cause}
	s.MS = s.SS / dof
	for i, h := range holds {
		s.holds[i] = scale * h / dof
	}
	return s
}

// anova analyses the variance by fitting constants to the means of the cells (C. R. Henderson's third method, Biometrics 9, 1953), all cells
// alike whatever their number of readings (F. Yates' unweighted means, J. Am. Stat. Assoc. 29, 1934; for intervals: R. K. Burdick and F. A.
// Graybill, Confidence Intervals on Variance Components, 1992): the sum of squares of parts is what they explain beyond the people, and the
// other way round. In a study without gaps this is the usual analysis. Sums are of squares, never differences of them, and are scaled by the
// harmonic mean of the numbers of readings, so that they look as usual.
func (s *Study) anova() table { return ordered(s.sources()) }

// sources is the lines of the analysis, the repeats last, and the interaction where every reading counts alike, nil where there is none to be
// held against repeats.
func (s *Study) sources() (list []Source, exact *Source) {
	l := s.layout()
	repeats := s.repeats(l)
	if s.Nested {
		return append(l.nested(), repeats), nil
	}
	w, n := make([]float64, len(l.cells)), make([]float64, len(l.cells))
	for c := range l.cells {
		w[c], n[c] = 1, l.cells[c].n
	}
	list = l.crossed(l.fit(w))
	if l.people == 1 {
		list = list[:1]
	} else if list[2].DoF == 0 {
		list = list[:2]
	}
	if len(list) == 3 && repeats.DoF > 0 {
		both := l.interaction(l.fit(n), n)
		exact = &both
	}
	return append(list, repeats), exact
}

// repeats is the scatter within the cells.
func (s *Study) repeats(l *layout) Source {
	ss, dof, first := 0.0, 0.0, s.values[0][0][0]
	for _, c := range l.cells {
		for _, v := range s.of(c.part, c.person) {
			ss += square(v - first - c.mean)
		}
		dof += c.n - 1
	}
	return squares(SourceRepeats, ofRepeats, ss, dof, 1, [causes]float64{ofRepeats: dof})
}

// harmonic is the harmonic mean of the numbers of readings.
func (l *layout) harmonic() float64 {
	return 1 / meanOf(len(l.cells), func(c int) float64 { return 1 / l.cells[c].n })
}

// crossed is the sums of squares of parts beyond people, of people beyond parts, and of what is left.
func (l *layout) crossed(a additive) []Source {
	var ss, noise, both [3]float64
	parts, people := l.margins()
	for k, c := range l.cells {
		i, j := parts[c.part], people[c.person]
		ss[0], ss[1], ss[2] = ss[0]+square(a.fitted[k]-j.mean), ss[1]+square(a.fitted[k]-i.mean), ss[2]+square(c.mean-a.fitted[k])
		for e, share := range [3]float64{a.leverage[k] - 1/j.n, a.leverage[k] - 1/i.n, 1 - a.leverage[k]} {
			both[e], noise[e] = both[e]+share, noise[e]+share/c.n
		}
	}
	var ofParts, ofPeople float64 // what the sums hold of their own variances: n − Σ n²/n of the other factor, each cell counted once
	for _, c := range l.cells {
		ofParts, ofPeople = ofParts+1-1/people[c.person].n, ofPeople+1-1/parts[c.part].n
	}
	r := l.harmonic()
	dof := [3]float64{float64(l.parts - l.count), float64(l.people - l.count), float64(len(l.cells) - l.parts - l.people + l.count)}
	return []Source{
		squares(SourcePart, ofPart, ss[0], dof[0], r, [causes]float64{ofPart: ofParts, ofBoth: both[0], ofRepeats: noise[0]}),
		squares(SourcePerson, ofPerson, ss[1], dof[1], r, [causes]float64{ofPerson: ofPeople, ofBoth: both[1], ofRepeats: noise[1]}),
		squares(SourceBoth, ofBoth, ss[2], dof[2], r, [causes]float64{ofBoth: both[2], ofRepeats: noise[2]}),
	}
}

// margin is a factor's level: how many cells it has and their mean.
type margin struct{ n, mean float64 }

func (l *layout) margins() (parts, people []margin) {
	parts, people = make([]margin, l.parts), make([]margin, l.people)
	for _, c := range l.cells {
		for _, m := range []*margin{&parts[c.part], &people[c.person]} {
			m.n++
			m.mean += c.mean
		}
	}
	for _, list := range [][]margin{parts, people} {
		for i := range list {
			list[i].mean /= list[i].n
		}
	}
	return parts, people
}

// interaction is what is left beyond parts and people where every reading counts alike; without an interaction it is the scatter of repeats.
func (l *layout) interaction(a additive, n []float64) Source {
	ss, both := 0.0, 0.0
	for k, c := range l.cells {
		ss += n[k] * square(c.mean-a.fitted[k])
		both += n[k] * (1 - a.leverage[k])
	}
	dof := float64(len(l.cells) - l.parts - l.people + l.count)
	return squares(SourceBoth, ofBoth, ss, dof, 1, [causes]float64{ofBoth: both, ofRepeats: dof})
}

// nested is the sums of squares where every part was read by one person only: of people by the means of their parts, and of parts about them.
func (l *layout) nested() []Source {
	_, people := l.margins()
	grand := meanOf(len(people), func(j int) float64 { return people[j].mean })
	k := float64(len(people))
	var ssPart, noisePart, ssPerson, noisePerson, inverse float64
	for _, m := range people {
		ssPerson += square(m.mean - grand)
		inverse += 1 / m.n / k
	}
	for _, c := range l.cells {
		m := people[c.person]
		ssPart += square(c.mean - m.mean)
		noisePart += (1 - 1/m.n) / c.n
		noisePerson += 1 / (m.n * m.n * c.n) / k
	}
	r, dof, parts := l.harmonic(), k-1, float64(l.parts)-k
	return []Source{
		squares(SourcePerson, ofPerson, ssPerson, dof, r/inverse, [causes]float64{ofPerson: dof, ofPart: dof * inverse, ofRepeats: dof * noisePerson}),
		squares(SourcePart, ofPart, ssPart, parts, r, [causes]float64{ofPart: parts, ofRepeats: noisePart}),
	}
}

// ordered finds the ratios, and pools the interaction by the rule; exact is the interaction where every reading counts alike, which is held
// against the repeats.
func ordered(sources []Source, exact *Source) table {
	t := table{sources: sources}
	last := len(sources) - 1
	if exact != nil {
		both, repeats := *t.at(SourceBoth), sources[last]
		both.F, both.P = ratio(*exact, repeats)
		t.both = &both
		if t.pooled = both.P > PoolAbove; t.pooled {
			dof := repeats.DoF + exact.DoF
			t.sources = append(sources[:2:2], squares(SourceRepeats, ofRepeats, repeats.SS+exact.SS, dof, 1, [causes]float64{ofRepeats: dof}))
		}
	}
	if sources[last].DoF == 0 { // nothing was repeated: what is left is the scatter
		t.sources = sources[:last:last]
		left := &t.sources[last-1]
		left.cause, left.holds[ofBoth] = ofRepeats, 0
	}
	last = len(t.sources) - 1
	for i := range last {
		against := i + 1
		if t.sources[0].cause == ofPart {
			against = max(against, min(2, last))
		}
		t.sources[i].F, t.sources[i].P = ratio(t.sources[i], t.sources[against])
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

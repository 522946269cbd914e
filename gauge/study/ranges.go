package study

import (
	"fmt"
	"math"
	"slices"

	"slatewright/gauge/tables"
)

// Ranges is the same study by average and range, the way of a pocket calculator: standard deviations without intervals.
type Ranges struct {
	MeanRange     float64 // of one person's trials on one part
	MeanSpread    float64 // of the people's averages
	PartRange     float64 // of the parts' averages
	Repeatability float64
	Persons       float64
	Gauge         float64
	Part          float64
	Total         float64
	OfStudy       float64 // gauge over total
	OfTolerance   float64 // six times gauge over the tolerance; NaN without one
	Categories    float64
}

// ranges is nil where nothing was repeated, or not by everybody on everything alike. Factors: 1/d₂ for trials, 1/√(d₂² + d₃²) for the one range of people and of parts (A. J.
// Duncan's d₂* for one group), as handbooks on measurement systems print them.
func (s *Study) ranges(tolerance float64) *Ranges {
	p, o, r := len(s.Parts), len(s.People), s.Trials
	if r < 2 || s.Nested || len(s.Gaps) > 0 {
		return nil
	}
	once := func(n int) float64 {
		mean, sd := tables.Range(n)
		return 1 / math.Hypot(mean, sd)
	}
	trials, _ := tables.Range(r)
	average := func(i, j int) float64 { return meanOf(r, func(k int) float64 { return s.values[i][j][k] }) }
	var a Ranges
	a.MeanRange = meanOf(p, func(i int) float64 { return meanOf(o, func(j int) float64 { return width(s.of(i, j)) }) })
	a.Repeatability = a.MeanRange / trials
	if o > 1 {
		a.MeanSpread = width(each(o, func(j int) float64 { return meanOf(p, func(i int) float64 { return average(i, j) }) }))
		a.Persons = math.Sqrt(max(square(a.MeanSpread*once(o))-square(a.Repeatability)/float64(p*r), 0))
	}
	a.PartRange = width(each(p, func(i int) float64 { return meanOf(o, func(j int) float64 { return average(i, j) }) }))
	a.Part = a.PartRange * once(p)
	a.Gauge = math.Hypot(a.Repeatability, a.Persons)
	a.Total = math.Hypot(a.Gauge, a.Part)
	a.OfStudy = share(square(a.Gauge), square(a.Total))
	a.OfTolerance = math.NaN()
	if tolerance > 0 {
		a.OfTolerance = 6 * a.Gauge / tolerance
	}
	a.Categories = told(square(a.Gauge), square(a.Total))
	return &a
}

func each(n int, f func(i int) float64) []float64 {
	list := make([]float64, n)
	for i := range list {
		list[i] = f(i)
	}
	return list
}

func width(x []float64) float64 { return slices.Max(x) - slices.Min(x) }

// doubts are what the reader must know of the study itself.
func (s *Study) doubts() (warnings []string) {
	p, o, r := len(s.Parts), len(s.People), s.Trials
	if gaps := s.gaps(); gaps != "" {
		warnings = append(warnings, gaps)
	}
	warnings = append(warnings, s.apart()...)
	if p < 5 {
		warnings = append(warnings, fmt.Sprintf("only %d parts: what they say of the mill's own spread is worth little; ten that cover it are usual", p))
	}
	if o == 1 {
		warnings = append(warnings, "one person read: how much people differ is not in these numbers")
	} else if o == 2 {
		warnings = append(warnings, "only two people read: how much people differ is hardly known, as its interval shows")
	}
	if s.Readings == s.cells() {
		warnings = append(warnings, "nothing was read twice: what is called repeatability also holds how people differ by part")
	}
	step, most := s.resolution()
	if r > 1 && most == 0 {
		warnings = append(warnings, "nobody's repeats differ at all: the step of the readings hides the scatter, and the repeatability is not 0 but unknown")
	} else if r > 1 && most < 4*step {
		warnings = append(warnings, fmt.Sprintf("the readings are too coarse: their step is %.3g and the widest repeat %.3g, so the repeatability is a guess", step, most))
	}
	return append(warnings, s.strange()...)
}

// cells is how many hold readings.
func (s *Study) cells() (n int) {
	for _, of := range s.values {
		for _, cell := range of {
			n += min(len(cell), 1)
		}
	}
	return n
}

// apart says what cannot be told apart, and why.
func (s *Study) apart() (warnings []string) {
	l := s.layout()
	switch {
	case s.Nested:
		warnings = append(warnings, "every part was read by one person only: parts cannot be told from how people differ by part, and how much people differ "+
			"is told only as far as the parts were dealt out to them at random; if somebody got the worse parts, that counts as their reading")
	case l.count > 1:
		warnings = append(warnings, fmt.Sprintf("the people fall into %d groups without a part in common: how the groups differ counts neither as people nor as parts", l.count))
	}
	if !s.Nested && l.people > 1 && len(l.cells)-l.parts-l.people+l.count == 0 {
		warnings = append(warnings, "too few parts were read by several people to see whether people differ by part")
	}
	return warnings
}

// resolution returns the smallest difference between two readings and the widest range of one person on one part.
func (s *Study) resolution() (step, most float64) {
	var all []float64
	for i := range s.Parts {
		for j := range s.People {
			if v := s.of(i, j); len(v) > 0 {
				all = append(all, v...)
				most = max(most, width(v))
			}
		}
	}
	slices.Sort(all)
	step = math.Inf(1)
	for i := range len(all) - 1 {
		if d := all[i+1] - all[i]; d > 1e-12*math.Abs(all[i]) {
			step = min(step, d)
		}
	}
	return step, most
}

// mostNamed is how many strange repeats are named; in a large study a few are to be expected.
const mostNamed = 5

// strange names repeats that lie wider apart than the others allow: beyond the upper limit of a range chart, mean + 3 standard deviations.
func (s *Study) strange() (warnings []string) {
	usual, cells := 0.0, 0.0 // standard deviation, and how many ranges it comes of
	known := map[int][2]float64{}
	each := func(do func(part, person int, w, mean, sd float64)) {
		for i := range s.Parts {
			for j := range s.People {
				if v := s.of(i, j); len(v) > 1 {
					if _, ok := known[len(v)]; !ok {
						mean, sd := tables.Range(len(v))
						known[len(v)] = [2]float64{mean, sd}
					}
					do(i, j, width(v), known[len(v)][0], known[len(v)][1])
				}
			}
		}
	}
	each(func(_, _ int, w, mean, _ float64) { usual, cells = usual+w/mean, cells+1 })
	usual /= cells
	each(func(i, j int, w, mean, sd float64) {
		if limit := usual * (mean + 3*sd); w > limit && limit > 0 {
			warnings = append(warnings, fmt.Sprintf("%s read part %s with a range of %.3g where %.3g is the most to expect: look at that reading again", s.People[j], s.Parts[i], w, limit))
		}
	})
	if n := len(warnings); n > mostNamed {
		return append(warnings[:mostNamed], fmt.Sprintf("%d more repeats of %d lie beyond that; one in two hundred would by chance", n-mostNamed, int(cells)))
	}
	return warnings
}

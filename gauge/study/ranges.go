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

// ranges is nil where nothing was repeated. Factors: 1/d₂ for trials, 1/√(d₂² + d₃²) for the one range of people and of parts (A. J.
// Duncan's d₂* for one group), as handbooks on measurement systems print them.
func (s *Study) ranges(tolerance float64) *Ranges {
	p, o, r := len(s.Parts), len(s.People), s.Trials
	if r < 2 {
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
func (s *Study) doubts(t table) (warnings []string) {
	p, o, r := len(s.Parts), len(s.People), s.Trials
	if p < 5 {
		warnings = append(warnings, fmt.Sprintf("only %d parts: what they say of the mill's own spread is worth little; ten that cover it are usual", p))
	}
	if o == 1 {
		warnings = append(warnings, "one person read: how much people differ is not in these numbers")
	} else if o == 2 {
		warnings = append(warnings, "only two people read: how much people differ is hardly known, as its interval shows")
	}
	if r == 1 {
		warnings = append(warnings, "nothing was read twice: what is called repeatability also holds how people differ by part")
	}
	if step, most := s.resolution(); r > 1 && most > 0 && most < 4*step {
		warnings = append(warnings, fmt.Sprintf("the readings are too coarse: their step is %.3g and the widest repeat %.3g, so the repeatability is a guess", step, most))
	}
	return append(warnings, s.strange()...)
}

// resolution returns the smallest difference between two readings and the widest range of one person on one part.
func (s *Study) resolution() (step, most float64) {
	var all []float64
	for i := range s.Parts {
		for j := range s.People {
			all = append(all, s.of(i, j)...)
			most = max(most, width(s.of(i, j)))
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
	if s.Trials < 2 {
		return nil
	}
	mean, sd := tables.Range(s.Trials)
	usual := meanOf(len(s.Parts), func(i int) float64 {
		return meanOf(len(s.People), func(j int) float64 { return width(s.of(i, j)) })
	})
	limit := usual * (1 + 3*sd/mean)
	for i, part := range s.Parts {
		for j, person := range s.People {
			if w := width(s.of(i, j)); w > limit && limit > 0 {
				warnings = append(warnings, fmt.Sprintf("%s read part %s with a range of %.3g where %.3g is the most to expect: look at that reading again", person, part, w, limit))
			}
		}
	}
	if n := len(warnings); n > mostNamed {
		return append(warnings[:mostNamed], fmt.Sprintf("%d more repeats of %d lie beyond that; one in two hundred would by chance", n-mostNamed, len(s.Parts)*len(s.People)))
	}
	return warnings
}

package study

import (
	"fmt"
	"math"
	"slices"

	"slatewright/chance"
	"slatewright/gauge/tables"
)

// Span is a figure with its interval.
type Span struct{ Value, Low, High float64 }

// Component is one cause of spread.
type Component struct {
	Name        string
	Variance    Span
	SD          Span
	OfVariance  float64 // share of the total variance
	OfStudy     Span    // share of the total standard deviation
	OfTolerance Span    // six standard deviations as a share of the tolerance; NaN without one
	Negative    bool    // the estimate came out negative and was set to 0
}

// Names of the components.
const (
	Repeatability   = "repeatability"   // the same person, the same part
	Persons         = "persons"         // people differ by the same amount on every part
	PersonsByPart   = "persons by part" // and by other amounts from part to part
	Reproducibility = "reproducibility" // both of these
	Gauge           = "gauge"           // repeatability and reproducibility together
	Part            = "part"            // the parts themselves
	Total           = "total"
)

// Options say how a study is analysed.
type Options struct {
	Confidence float64 // of every interval, such as 0.95
	Tolerance  float64 // full width that the parts may vary; 0: none given
	Seed       uint64  // of the drawn numbers behind the intervals of ratios
}

// Result is what a study tells.
type Result struct {
	Mean       float64
	Sources    []Source // analysis of variance, as used
	Both       *Source  // the interaction as found, nil where there is none
	Pooled     bool
	Pooling    string // the rule and what came of it
	Components []Component
	Categories Span // how many classes of parts can be told apart: 1.41 times part over gauge
	Ranges     *Ranges
	Warnings   []string
}

// Component finds a component by its name; the zero value where the study has none.
func (r *Result) Component(name string) Component {
	i := slices.IndexFunc(r.Components, func(c Component) bool { return c.Name == name })
	if i < 0 {
		return Component{}
	}
	return r.Components[i]
}

// draws is how many numbers stand behind the interval of a ratio: its ends at 2.5 % are then known to about a tenth of a standard deviation.
const draws = 4000

// Analyse works out the components of variance with their intervals. Variances have modified large-sample intervals; ratios of them have
// generalised intervals (S. Weerahandi, J. Am. Stat. Assoc. 88, 1993; M. Hamada and S. Weerahandi, J. Qual. Technol. 32, 2000): each mean
// square is divided by a drawn chi squared over its degrees of freedom, and the ratios that come of it are sorted. A negative estimate is
// set to 0 and said.
func (s *Study) Analyse(o Options) *Result {
	t := s.anova()
	r := &Result{Mean: s.mean(), Sources: t.sources, Both: t.both, Pooled: t.pooled, Pooling: t.pooling()}
	forms := forms(t)
	var values []float64
	for _, f := range forms {
		c := Component{Name: f.name}
		c.Variance.Value = estimate(f.terms)
		c.Variance.Low, c.Variance.High = interval(f.terms, o.Confidence)
		if c.Variance.Value < 0 {
			c.Negative, c.Variance.Value = true, 0
			r.Warnings = append(r.Warnings, fmt.Sprintf("the variance of %s came out negative and is taken as 0: it is too small to be seen in this study", f.name))
		}
		c.Variance.Low, c.Variance.High = max(c.Variance.Low, 0), max(c.Variance.High, 0)
		c.SD = Span{math.Sqrt(c.Variance.Value), math.Sqrt(c.Variance.Low), math.Sqrt(c.Variance.High)}
		values = append(values, c.Variance.Value)
		r.Components = append(r.Components, c)
	}
	r.sums(forms, values)
	r.ratios(forms, t, o)
	r.Ranges = s.ranges(o.Tolerance)
	r.Warnings = append(r.Warnings, s.doubts()...)
	return r
}

// form is a component as a sum of mean squares.
type form struct {
	name  string
	terms []term
}

// forms writes each component as a sum of the mean squares of the table (random effects): what each mean square holds on average, solved from
// the last source up.
func forms(t table) []form {
	var by [causes][]float64 // factors of the mean squares in each variance; nil: not in this study
	for i := len(t.sources) - 1; i >= 0; i-- {
		s := t.sources[i]
		by[s.cause] = make([]float64, len(t.sources))
		by[s.cause][i] = 1 / s.holds[s.cause]
		for cause, other := range by {
			if cause != s.cause && other != nil {
				for k, f := range other {
					by[s.cause][k] -= s.holds[cause] * f / s.holds[s.cause]
				}
			}
		}
	}
	sum := func(name string, causes ...int) form {
		f := form{name: name}
		for i, s := range t.sources {
			factor := 0.0
			for _, cause := range causes {
				if by[cause] != nil {
					factor += by[cause][i]
				}
			}
			if math.Abs(factor) > nothing {
				f.terms = append(f.terms, term{factor, s.MS, s.DoF, i})
			}
		}
		return f
	}
	list := []form{sum(Repeatability, ofRepeats)}
	if by[ofBoth] != nil {
		list = append(list, sum(Persons, ofPerson), sum(PersonsByPart, ofBoth))
	}
	if by[ofPerson] != nil {
		list = append(list, sum(Reproducibility, ofPerson, ofBoth), sum(Gauge, ofRepeats, ofPerson, ofBoth))
	}
	return append(list, sum(Part, ofPart), sum(Total, ofRepeats, ofPerson, ofBoth, ofPart))
}

// nothing is a factor that is 0 but for rounding.
const nothing = 1e-13

// sums adds up the components after negative ones were set to 0, so that the parts of the printed table fit together.
func (r *Result) sums(forms []form, values []float64) {
	fitted := fit(forms, values)
	for i := range r.Components {
		c := &r.Components[i]
		c.Variance.Value = fitted[i]
		c.SD.Value = math.Sqrt(fitted[i])
		c.Variance.Low, c.SD.Low = min(c.Variance.Low, fitted[i]), min(c.SD.Low, c.SD.Value)
		c.Variance.High, c.SD.High = max(c.Variance.High, fitted[i]), max(c.SD.High, c.SD.Value)
	}
}

// fit replaces the sums among the components by the sums of their parts, none of them below 0.
func fit(forms []form, values []float64) []float64 {
	out := make([]float64, len(values))
	at := map[string]float64{}
	for i, f := range forms {
		v := max(values[i], 0)
		switch f.name {
		case Reproducibility:
			if slices.ContainsFunc(forms, func(f form) bool { return f.name == Persons }) {
				v = at[Persons] + at[PersonsByPart]
			}
		case Gauge:
			v = at[Repeatability] + at[Reproducibility]
		case Total:
			v = at[Repeatability] + at[Reproducibility] + at[Part]
		}
		out[i], at[f.name] = v, v
	}
	return out
}

// ratios finds shares and categories, with generalised intervals.
func (r *Result) ratios(forms []form, t table, o Options) {
	n := len(forms)
	study, categories := make([][]float64, n), make([]float64, 0, draws)
	for _, v := range drawn(forms, t, o.Seed) {
		total := v[n-1]
		for i := range forms {
			study[i] = append(study[i], share(v[i], total))
		}
		categories = append(categories, told(gaugeOf(forms, v), total))
	}
	side := (1 - o.Confidence) / 2
	total := r.Components[n-1].Variance.Value
	values := make([]float64, n)
	for i := range r.Components {
		c := &r.Components[i]
		values[i] = c.Variance.Value
		c.OfVariance = square(share(c.Variance.Value, total))
		c.OfStudy = between(share(c.Variance.Value, total), study[i], side)
		c.OfTolerance = Span{math.NaN(), math.NaN(), math.NaN()}
		if o.Tolerance > 0 {
			c.OfTolerance = Span{6 * c.SD.Value / o.Tolerance, 6 * c.SD.Low / o.Tolerance, 6 * c.SD.High / o.Tolerance}
		}
	}
	r.Categories = between(told(gaugeOf(forms, values), total), categories, side)
}

// drawn are components as they might truly be, one set a draw.
func drawn(forms []form, t table, seed uint64) [][]float64 {
	stream := chance.NewStream(seed)
	out, squares := make([][]float64, draws), make([]float64, len(t.sources))
	for k := range out {
		for i, source := range t.sources {
			squares[i] = source.MS * source.DoF / tables.DrawChiSquared(stream, source.DoF)
		}
		values := make([]float64, len(forms))
		for i, f := range forms {
			for _, term := range f.terms {
				values[i] += term.factor * squares[term.source]
			}
		}
		out[k] = fit(forms, values)
	}
	return out
}

// gaugeOf is the variance of the gauge: repeatability alone where one person read.
func gaugeOf(forms []form, values []float64) float64 {
	i := slices.IndexFunc(forms, func(f form) bool { return f.name == Gauge })
	return values[max(i, 0)]
}

// share is the ratio of two standard deviations.
func share(variance, total float64) float64 {
	if total <= 0 {
		return 0
	}
	return math.Sqrt(variance / total)
}

// told is the number of classes of parts that can be told apart, √2 times part over gauge; most is what stands for no gauge spread at all.
func told(gauge, total float64) float64 {
	const most = 1e6
	if gauge <= 0 {
		return most
	}
	return min(most, 1.41*math.Sqrt(max(total-gauge, 0)/gauge))
}

// between is a figure with the span of its draws.
func between(value float64, drawn []float64, side float64) Span {
	slices.Sort(drawn)
	cut := int(side * float64(len(drawn)))
	low, high := drawn[cut], drawn[len(drawn)-1-cut]
	return Span{value, min(low, value), max(high, value)}
}

// mean is that of the means of the cells.
func (s *Study) mean() float64 {
	sum, n := 0.0, 0
	for i := range s.Parts {
		for j := range s.People {
			if v := s.of(i, j); len(v) > 0 {
				sum += meanOf(len(v), func(k int) float64 { return v[k] })
				n++
			}
		}
	}
	return sum / float64(n)
}

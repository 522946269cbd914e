package study_test

import (
	"errors"
	"flag"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"

	"slatewright/chance"
	"slatewright/gauge/study"
	"slatewright/trouble"
)

var cases = flag.Int("cases", 100, "invented studies of each form; the table of the handbook has 2,000")

// thinned takes n readings out at random.
func thinned(s *chance.Stream, list []study.Reading, n int) []study.Reading {
	list = slices.Clone(list)
	for range n {
		i := s.IntN(len(list))
		list = slices.Delete(list, i, i+1)
	}
	return list
}

// dealt is a study in which every part was read by one person only.
func dealt(s *chance.Stream, p, o, r int, part, person, repeat float64) []study.Reading {
	var list []study.Reading
	for j := range o {
		bias := person * s.Normal()
		for i := range p {
			height := bias + part*s.Normal()
			for range r {
				list = append(list, study.Reading{Part: string(rune('a'+j)) + string(rune('a'+i)), Person: string(rune('A' + j)), Value: height + repeat*s.Normal()})
			}
		}
	}
	return list
}

// How often the intervals of studies with gaps hold the truth; the handbook prints the table.
func TestIntervalsOfStudiesWithGaps(t *testing.T) {
	n := *cases
	const sdPart, sdPerson, sdBoth, sdRepeat = 1.0, 0.2, 0.15, 0.25
	full := func(s *chance.Stream, people int) []study.Reading {
		return invented(s, 10, people, 3, sdPart, sdPerson, sdBoth, sdRepeat)
	}
	for _, c := range []struct {
		name string
		make func(s *chance.Stream) []study.Reading
		both float64 // of the interaction, which counts as part in a nested study
	}{
		{"whole", func(s *chance.Stream) []study.Reading { return full(s, 3) }, sdBoth},
		{"one reading of 90 missing", func(s *chance.Stream) []study.Reading { return thinned(s, full(s, 3), 1) }, sdBoth},
		{"9 of 90 missing", func(s *chance.Stream) []study.Reading { return thinned(s, full(s, 3), 9) }, sdBoth},
		{"30 of 90 missing", func(s *chance.Stream) []study.Reading { return thinned(s, full(s, 3), 30) }, sdBoth},
		{"one person read half the parts", func(s *chance.Stream) []study.Reading {
			return slices.DeleteFunc(full(s, 3), func(r study.Reading) bool { return r.Person == "C" && r.Part > "e" })
		}, sdBoth},
		{"nested", func(s *chance.Stream) []study.Reading { return dealt(s, 5, 3, 3, sdPart, sdPerson, sdRepeat) }, 0},
		{"nested, 9 of 45 missing", func(s *chance.Stream) []study.Reading {
			return thinned(s, dealt(s, 5, 3, 3, sdPart, sdPerson, sdRepeat), 9)
		}, 0},
	} {
		gauge := sdPerson*sdPerson + c.both*c.both + sdRepeat*sdRepeat
		variance := map[string]float64{study.Repeatability: sdRepeat * sdRepeat, study.Gauge: gauge, study.Part: sdPart * sdPart,
			study.Reproducibility: gauge - sdRepeat*sdRepeat, study.Total: gauge + sdPart*sdPart}
		held := map[string]int{}
		for k := range n {
			s := chance.NewStream(uint64(k))
			r := analysed(t, c.make(s), study.Options{Confidence: 0.95, Seed: uint64(k)})
			for name, want := range variance {
				if v := r.Component(name).Variance; v.Low <= want && want <= v.High {
					held[name]++
				}
			}
			if v := r.Component(study.Gauge).OfStudy; square(v.Low)*variance[study.Total] <= gauge && gauge <= square(v.High)*variance[study.Total] {
				held["of the study"]++
			}
			if v, want := r.Categories, 1.41*sdPart/math.Sqrt(gauge); v.Low <= want && want <= v.High {
				held["classes"]++
			}
		}
		for _, name := range []string{study.Repeatability, study.Reproducibility, study.Gauge, study.Part, study.Total, "of the study", "classes"} {
			share := float64(held[name]) / float64(n)
			t.Logf("%-32s %-16s %5.1f %%", c.name, name, 100*share)
			if allowed := 4 * math.Sqrt(0.93*0.07/float64(n)); share < 0.93-allowed {
				t.Errorf("%s: the interval of %s holds the truth in %.1f %%", c.name, name, 100*share)
			}
		}
	}
}

// shapes are studies with gaps: by number of readings missing, with cells that nobody read, with groups of people, nested, of one person.
func shapes() map[string][]study.Reading {
	s := chance.NewStream(11)
	full := func() []study.Reading { return invented(s, 6, 3, 3, 1, 0.3, 0.2, 0.2) }
	groups := append(invented(s, 4, 2, 2, 1, 0.3, 0.2, 0.2), rename(invented(s, 5, 3, 2, 1, 0.3, 0.2, 0.2))...)
	return map[string][]study.Reading{
		"whole": full(), "one missing": thinned(s, full(), 1), "many missing": thinned(s, full(), 20), "once each": thinned(s, invented(s, 6, 4, 1, 1, 0.3, 0, 0.2), 6),
		"groups": groups, "nested": thinned(s, dealt(s, 4, 3, 3, 1, 0.3, 0.2), 8), "one person": thinned(s, invented(s, 6, 1, 4, 1, 0, 0, 0.2), 7),
		"many people": thinned(s, invented(s, 3, 7, 3, 1, 0.3, 0.2, 0.2), 20),
	}
}

func rename(list []study.Reading) []study.Reading {
	for i := range list {
		list[i].Part, list[i].Person = "second "+list[i].Part, "second "+list[i].Person
	}
	return list
}

// effects is the study's readings where one effect alone is there, one at a time: each part, person, cell, reading raised by 1.
func effects(list []study.Reading, of func(r study.Reading, i int) string) [][]study.Reading {
	var names []string
	for i, r := range list {
		if n := of(r, i); !slices.Contains(names, n) {
			names = append(names, n)
		}
	}
	var out [][]study.Reading
	for _, n := range names {
		one := slices.Clone(list)
		for i := range one {
			one[i].Value = 0
			if of(list[i], i) == n {
				one[i].Value = 1
			}
		}
		out = append(out, one)
	}
	return out
}

// The estimates are sums of squares, so their mean over all chance is the sum over single effects times their variances (E y'Qy = tr QV): each
// variance must be told as 1 by its own effects and as 0 by the others. That is exact, and knows nothing of how the estimates are made.
func TestEstimatesAreUnbiased(t *testing.T) {
	causes := map[string]func(r study.Reading, i int) string{
		"part": func(r study.Reading, _ int) string { return r.Part }, "person": func(r study.Reading, _ int) string { return r.Person },
		"both": func(r study.Reading, _ int) string { return r.Part + " by " + r.Person }, "repeats": func(_ study.Reading, i int) string { return string(rune(i)) },
	}
	for name, list := range shapes() {
		for cause, of := range causes {
			sum, exact := map[string]float64{}, 0.0
			var dof float64
			for _, one := range effects(list, of) {
				s, err := study.New(one)
				var told *trouble.Trouble
				if errors.As(err, &told) && told.Code != "no-scatter" { // of one part alone there is none, which is what is asked here
					t.Fatal(name, err)
				}
				v, both := s.Estimates()
				for k := range v {
					sum[k] += v[k]
				}
				if both != nil {
					exact, dof = exact+both.SS, both.DoF
				}
			}
			want := map[string]float64{study.Repeatability: 0, study.Part: 0, study.Reproducibility: 0, study.Persons: 0, study.PersonsByPart: 0}
			switch cause {
			case "repeats":
				want[study.Repeatability] = 1
				if dof > 0 && math.Abs(exact-dof) > 1e-9 {
					t.Errorf("%s: the interaction holds %.9g of the repeats, degrees %g", name, exact, dof)
				}
			case "part":
				want[study.Part] = 1
			case "person":
				want[study.Persons], want[study.Reproducibility] = 1, 1
			case "both":
				want[study.PersonsByPart], want[study.Reproducibility] = 1, 1
			}
			if _, told := sum[study.PersonsByPart]; !told && cause == "both" {
				continue // counted elsewhere, and said to be
			}
			if cause == "person" && sum[study.Reproducibility] == 0 && name == "one person" {
				continue
			}
			for k, v := range sum {
				if w, ok := want[k]; ok && math.Abs(v-w) > 1e-9 {
					t.Errorf("%s: the effects of %s make %.9g of %s, want %g", name, cause, v, k, w)
				}
			}
		}
	}
}

// likelihood is −2 log of the restricted likelihood, but for a constant, of variances of part, person, both and repeats (H. D. Patterson and R.
// Thompson, Biometrika 58, 1971), by dense algebra.
func likelihood(list []study.Reading, v [4]float64) float64 {
	n := len(list)
	cov := mat.NewSymDense(n, nil)
	for i, a := range list {
		for j := i; j < n; j++ {
			b, sum := list[j], 0.0
			if a.Part == b.Part {
				sum += v[0]
			}
			if a.Person == b.Person {
				sum += v[1]
			}
			if a.Part == b.Part && a.Person == b.Person {
				sum += v[2]
			}
			if i == j {
				sum += v[3]
			}
			cov.SetSym(i, j, sum)
		}
	}
	var c mat.Cholesky
	if !c.Factorize(cov) {
		return math.Inf(1)
	}
	ones, y := mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
	for i, r := range list {
		ones.SetVec(i, 1)
		y.SetVec(i, r.Value)
	}
	var a, b mat.VecDense
	if c.SolveVecTo(&a, ones) != nil || c.SolveVecTo(&b, y) != nil {
		return math.Inf(1)
	}
	information, mean := mat.Dot(ones, &a), mat.Dot(ones, &b)/mat.Dot(ones, &a)
	return c.LogDet() + math.Log(information) + mat.Dot(y, &b) - mean*mean*information
}

// restricted is the variances of the largest restricted likelihood.
func restricted(t *testing.T, list []study.Reading, which ...int) (v [4]float64) {
	t.Helper()
	of := func(x []float64) (v [4]float64) {
		for k, i := range which {
			v[i] = math.Exp(x[k])
		}
		return v
	}
	start := make([]float64, len(which))
	for i := range start {
		start[i] = -2
	}
	r, err := optimize.Minimize(optimize.Problem{Func: func(x []float64) float64 { return likelihood(list, of(x)) }}, start,
		&optimize.Settings{Converger: &optimize.FunctionConverge{Absolute: 1e-10, Iterations: 60}, MajorIterations: 3000}, &optimize.NelderMead{})
	if err != nil && r == nil {
		t.Fatal(err)
	}
	return of(r.X)
}

// Against the largest restricted likelihood: the same where nothing is missing (that is a theorem, if no estimate is below 0), nearly the same
// where one reading is, and over many studies with a third missing as near to the truth.
func TestAgainstRestrictedLikelihood(t *testing.T) {
	s := chance.NewStream(5)
	estimates := func(list []study.Reading) [4]float64 {
		st, err := study.New(list)
		if err != nil {
			t.Fatal(err)
		}
		v, _ := st.Estimates()
		return [4]float64{v[study.Part], v[study.Persons], v[study.PersonsByPart], v[study.Repeatability]}
	}
	for _, c := range []struct {
		missing int
		within  float64
	}{{0, 1e-3}, {1, 0.06}} {
		list := thinned(s, invented(s, 8, 4, 2, 1, 0.5, 0.3, 0.2), c.missing)
		got, want := estimates(list), restricted(t, list, 0, 1, 2, 3)
		for k := range got {
			if math.Abs(got[k]-want[k]) > c.within*want[k] {
				t.Errorf("%d missing: %v, by likelihood %v", c.missing, got, want)
			}
		}
	}
	truth := [4]float64{1, 0.25, 0.09, 0.04}
	var ours, theirs [4]float64 // mean squares of relative errors
	const n = 25
	for range n {
		list := thinned(s, invented(s, 8, 4, 2, 1, 0.5, 0.3, 0.2), 20)
		got, want := estimates(list), restricted(t, list, 0, 1, 2, 3)
		for k := range got {
			ours[k] += square(got[k]/truth[k]-1) / n
			theirs[k] += square(want[k]/truth[k]-1) / n
		}
	}
	t.Logf("root of the mean square of relative errors, part, person, both, repeats: squared %v, by likelihood %v", ours, theirs)
	for k := range ours {
		if ours[k] > 1.5*theirs[k] {
			t.Errorf("cause %d: mean square error %g, by likelihood %g", k, ours[k], theirs[k])
		}
	}
}

// Calcium in turnip greens, four plants, three leaves of each, two determinations: G. W. Snedecor and W. G. Cochran, Statistical Methods, 6th
// edition, 1967, section 10.16; data and results from memory, recomputed: mean squares 2.5201, 0.3288 and 0.0067, variances 0.3652, 0.1610 and 0.0067.
func TestNestedTextbookExample(t *testing.T) {
	leaves := [4][3][2]float64{{{3.28, 3.09}, {3.52, 3.48}, {2.88, 2.80}}, {{2.46, 2.44}, {1.87, 1.92}, {2.19, 2.19}},
		{{2.77, 2.66}, {3.74, 3.44}, {2.55, 2.55}}, {{3.78, 3.87}, {4.07, 4.12}, {3.31, 3.31}}}
	var list []study.Reading
	for i, plant := range leaves {
		for j, leaf := range plant {
			for _, v := range leaf {
				list = append(list, study.Reading{Part: string(rune('a'+i)) + string(rune('1'+j)), Person: string(rune('a' + i)), Value: v})
			}
		}
	}
	r := analysed(t, list, study.Options{Confidence: 0.95})
	for i, want := range []struct{ ms, dof float64 }{{2.5201, 3}, {0.3288, 8}, {0.0067, 12}} {
		if s := r.Sources[i]; math.Abs(s.MS-want.ms) > 6e-5 || s.DoF != want.dof {
			t.Errorf("%+v, want %+v", s, want)
		}
	}
	for name, want := range map[string]float64{study.Reproducibility: 0.3652, study.Part: 0.1610, study.Repeatability: 0.0067} {
		if v := r.Component(name).Variance.Value; math.Abs(v-want) > 1e-4 {
			t.Errorf("%s: %.6f, published %.4f", name, v, want)
		}
	}
	if math.Abs(r.Sources[0].F-2.5201/0.3288) > 0.01 || !strings.Contains(strings.Join(r.Warnings, "\n"), "one person only") || r.Ranges != nil {
		t.Errorf("%+v", r)
	}
}

// Conception after insemination by six bulls with 2 to 9 samples, in %: Snedecor and Cochran, as above, section 10.18; data and results from
// memory, recomputed: within 29 degrees 7200, mean square 248. Their variance of bulls, 73, weighs each bull by its samples; with all bulls alike
// it is the variance of their means less 248.2 times the mean of 1/n, by hand 78.2.
func TestUnequalNumbersTextbookExample(t *testing.T) {
	var list []study.Reading
	for i, bull := range [][]float64{{46, 31, 37, 62, 30}, {70, 59}, {52, 44, 57, 40, 67, 64, 70}, {47, 21, 70, 46, 14}, {42, 64, 50, 69, 77, 81, 87}, {35, 68, 59, 38, 57, 76, 57, 29, 60}} {
		for _, v := range bull {
			list = append(list, study.Reading{Part: string(rune('1' + i)), Person: "one", Value: v})
		}
	}
	r := analysed(t, list, study.Options{Confidence: 0.95})
	within := r.Sources[1]
	if math.Abs(within.SS-7200) > 1 || within.DoF != 29 || math.Abs(within.MS-248) > 0.5 {
		t.Errorf("%+v", within)
	}
	part := r.Component(study.Part).Variance.Value
	if math.Abs(part-78.2) > 0.1 {
		t.Errorf("bulls %g", part)
	}
	v := restricted(t, list, 0, 3)
	t.Logf("by likelihood %.4g and %.4g", v[0], v[3])
	if math.Abs(v[3]-within.MS) > 0.02*within.MS || math.Abs(part-v[0]) > 0.15*part {
		t.Errorf("bulls %g, within %g; by likelihood %v", part, within.MS, v)
	}
}

// What a study with gaps says of itself.
func TestGapsAreSaid(t *testing.T) {
	list := handbook()
	r := analysed(t, list[1:], study.Options{Confidence: 0.95})
	whole := analysed(t, list, study.Options{Confidence: 0.95})
	text := strings.Join(r.Warnings, "\n")
	if !strings.Contains(text, "readings are missing: part "+list[0].Part+" by "+list[0].Person+" has 2 of 3.") || r.Ranges != nil {
		t.Errorf("%q", text)
	}
	for _, c := range whole.Components {
		if got := r.Component(c.Name).SD.Value; math.Abs(got-c.SD.Value) > 0.05*c.SD.Value {
			t.Errorf("%s: %g with a reading missing, %g with it", c.Name, got, c.SD.Value)
		}
	}
	groups := analysed(t, shapes()["groups"], study.Options{Confidence: 0.95})
	if !strings.Contains(strings.Join(groups.Warnings, "\n"), "fall into 2 groups") {
		t.Errorf("%q", groups.Warnings)
	}
	coarse := analysed(t, []study.Reading{{"1", "A", 1}, {"1", "A", 1}, {"1", "B", 2}, {"1", "B", 2}, {"2", "A", 2}, {"2", "A", 2}, {"2", "B", 3}, {"2", "B", 3}},
		study.Options{Confidence: 0.95})
	if !strings.Contains(strings.Join(coarse.Warnings, "\n"), "not 0 but unknown") {
		t.Errorf("%q", coarse.Warnings)
	}
	for _, own := range [][]study.Reading{{{"1", "A", 1}, {"1", "A", 2}, {"2", "B", 1}}} {
		_, err := study.New(own)
		var told *trouble.Trouble
		if !errors.As(err, &told) || !strings.Contains(told.What, "cannot be told apart") {
			t.Error(err)
		}
	}
}

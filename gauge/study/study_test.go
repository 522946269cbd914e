package study_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatewright/chance"
	"slatewright/gauge/study"
	"slatewright/internal/truth"
	"slatewright/sheet"
	"slatewright/trouble"
)

func analysed(t *testing.T, readings []study.Reading, o study.Options) *study.Result {
	t.Helper()
	s, err := study.New(readings)
	if err != nil {
		t.Fatal(err)
	}
	return s.Analyse(o)
}

func handbook() []study.Reading {
	var list []study.Reading
	for _, r := range truth.GaugeStudyReadings() {
		list = append(list, study.Reading{Part: r.Part, Person: r.Appraiser, Value: r.Value})
	}
	return list
}

// The published study, both ways. By ranges the book takes factors of four digits (0.3146 for 0.31456), so its last digit is held to two units.
func TestThePublishedStudyBothWays(t *testing.T) {
	r := analysed(t, handbook(), study.Options{Confidence: 0.95, Tolerance: 5, Seed: 1})
	if !r.Pooled || r.Ranges == nil {
		t.Fatalf("%+v", r)
	}
	of := func(name string) float64 { return r.Component(name).SD.Value }
	total := 0.0
	for _, s := range r.Sources {
		total += s.SS
	}
	a := r.Ranges
	for _, c := range []struct {
		quantity  string
		got       float64
		unit      float64 // last printed digit
		recounted float64 // agreement with the recomputed figure, relative
	}{
		{"Rbarbar", a.MeanRange, 1e-4, 1e-7}, {"Xbar diff", a.MeanSpread, 1e-4, 1e-7}, {"Rp", a.PartRange, 1e-3, 1e-7},
		{"EV", a.Repeatability, 2e-4, 2e-4}, {"AV", a.Persons, 2e-4, 2e-4}, {"GRR", a.Gauge, 2e-4, 2e-4}, {"PV", a.Part, 2e-4, 2e-4},
		{"TV", a.Total, 2e-4, 2e-4}, {"%GRR", 100 * a.OfStudy, 0.01, 2e-4}, {"ndc", math.Trunc(a.Categories), 0, 0.02},
		{"ANOVA SS part", r.Sources[0].SS, 1e-4, 1e-7}, {"ANOVA SS appraiser", r.Sources[1].SS, 1e-4, 1e-7},
		{"ANOVA SS appraiser x part", r.Both.SS, 1e-4, 1e-7}, {"ANOVA SS total", total, 1e-4, 1e-7}, {"ANOVA F interaction", r.Both.F, 1e-3, 1e-7},
		{"ANOVA SS equipment", r.Sources[2].SS - r.Both.SS, 1e-4, 1e-7},
		{"ANOVA pooled: repeatability sd", of(study.Repeatability), 1e-6, 1e-7}, {"ANOVA pooled: appraiser sd", of(study.Reproducibility), 1e-6, 1e-7},
		{"ANOVA pooled: GRR sd", of(study.Gauge), 2e-6, 1e-7}, {"ANOVA pooled: part sd", of(study.Part), 1e-6, 1e-7},
		{"ANOVA pooled: total sd", of(study.Total), 1e-3, 1e-7}, {"ANOVA pooled %GRR", 100 * r.Component(study.Gauge).OfStudy.Value, 0.01, 1e-7},
	} {
		mark, published, computed := truth.GaugeStudyFigure(c.quantity)
		if !(math.Abs(c.got-published) <= c.unit) || !(math.Abs(c.got-computed) <= c.recounted*computed) {
			t.Errorf("%s: %.8g, published %g (%s), computed %.8g", c.quantity, c.got, published, mark, computed)
		}
	}
	if got, want := r.Component(study.Gauge).OfTolerance.Value, 6*of(study.Gauge)/5; math.Abs(got-want) > 1e-12 {
		t.Errorf("share of the tolerance %g, want %g", got, want)
	}
	c := r.Categories
	if !(c.Low < c.Value && c.Value < c.High) || math.Abs(c.Value-1.41*of(study.Part)/of(study.Gauge)) > 1e-9 {
		t.Errorf("categories %+v", c)
	}
}

// The unpooled F values of parts and people, against the interaction: F = MS / MS.
func TestMeanSquaresAgainstTheInteraction(t *testing.T) {
	r := analysed(t, handbook(), study.Options{Confidence: 0.95})
	for i, quantity := range []string{"ANOVA F part", "ANOVA F appraiser"} {
		_, _, computed := truth.GaugeStudyFigure(quantity)
		if got := r.Sources[i].MS / r.Both.MS; math.Abs(got-computed) > 1e-6*computed {
			t.Errorf("%s: %.9g, want %.9g", quantity, got, computed)
		}
	}
}

// digits is how many leading digits agree.
func digits(got, want float64) float64 {
	if got == want {
		return 16
	}
	return -math.Log10(math.Abs(got-want) / math.Abs(want))
}

// The certified digits that can be reached: values such as 1000000.4 stand for their decimals to 1e-10 only, which leaves nine in a
// difference of 0.1; and so on for silver, 107.868 with differences of 1e-5.
func TestCertifiedAnalysesOfVariance(t *testing.T) {
	reach := map[string]float64{"SiRstv": 12, "AtmWtAg": 9, "SmLs01": 12, "SmLs04": 9}
	sets := truth.NISTOneWays()
	if len(sets) != len(reach) {
		t.Fatalf("%d sets", len(sets))
	}
	for _, set := range sets {
		var list []study.Reading
		for i, v := range set.Value {
			list = append(list, study.Reading{Part: set.Treatment[i], Person: "NIST", Value: v})
		}
		r := analysed(t, list, study.Options{Confidence: 0.95})
		between, within := r.Sources[0], r.Sources[1]
		for quantity, got := range map[string]float64{"df_between": between.DoF, "ss_between": between.SS, "ms_between": between.MS, "F": between.F,
			"df_within": within.DoF, "ss_within": within.SS, "ms_within": within.MS, "r_squared": between.SS / (between.SS + within.SS),
			"residual_sd": r.Component(study.Repeatability).SD.Value} {
			want, ok := set.Certified[quantity]
			if !ok || digits(got, want) < reach[set.Name] {
				t.Errorf("%s %s: %.16g, certified %.15g: %.1f digits", set.Name, quantity, got, want, digits(got, want))
			}
		}
	}
}

func TestGears(t *testing.T) {
	set := truth.Gear()
	var list []study.Reading
	for i, v := range set.Value {
		list = append(list, study.Reading{Part: set.Treatment[i], Person: "one", Value: v})
	}
	r := analysed(t, list, study.Options{Confidence: 0.95})
	b, w := r.Sources[0], r.Sources[1]
	if math.Abs(b.SS-set.Certified["ss_between"]) > 5e-7 || math.Abs(w.SS-set.Certified["ss_within"]) > 5e-7 || math.Abs(b.F-set.Certified["F"]) > 1e-3 ||
		b.DoF != 9 || w.DoF != 90 {
		t.Errorf("%+v, %+v", b, w)
	}
}

// invented makes a study whose components are known.
func invented(s *chance.Stream, p, o, r int, part, person, both, repeat float64) []study.Reading {
	var list []study.Reading
	people := make([]float64, o)
	for j := range people {
		people[j] = person * s.Normal()
	}
	for i := range p {
		height := part * s.Normal()
		for j := range o {
			cell := height + people[j] + both*s.Normal()
			for range r {
				list = append(list, study.Reading{Part: string(rune('a' + i)), Person: string(rune('A' + j)), Value: cell + repeat*s.Normal()})
			}
		}
	}
	return list
}

// The intervals hold the truth as often as they say, as far as 300 invented studies can tell: 95 % ± 4 standard errors of 1.26 %. The
// interval of the persons rests on three of them, is very wide, and errs to the safe side.
func TestIntervalsHoldTheTruth(t *testing.T) {
	const n, sdPart, sdPerson, sdBoth, sdRepeat = 300, 1.0, 0.2, 0.15, 0.25
	gauge := sdPerson*sdPerson + sdBoth*sdBoth + sdRepeat*sdRepeat
	variance := map[string]float64{study.Repeatability: sdRepeat * sdRepeat, study.Gauge: gauge, study.Part: sdPart * sdPart,
		study.Reproducibility: gauge - sdRepeat*sdRepeat, study.Total: gauge + sdPart*sdPart}
	held, ofStudy, categories := map[string]int{}, 0, 0
	for k := range n {
		s := chance.NewStream(uint64(k))
		r := analysed(t, invented(s, 10, 3, 3, sdPart, sdPerson, sdBoth, sdRepeat), study.Options{Confidence: 0.95, Seed: uint64(k)})
		for name, want := range variance {
			if v := r.Component(name).Variance; v.Low <= want && want <= v.High {
				held[name]++
			}
		}
		if v := r.Component(study.Gauge).OfStudy; square(v.Low)*variance[study.Total] <= gauge && gauge <= square(v.High)*variance[study.Total] {
			ofStudy++
		}
		if c, want := r.Categories, 1.41*sdPart/math.Sqrt(gauge); c.Low <= want && want <= c.High {
			categories++
		}
	}
	for name, count := range held {
		t.Logf("%s: %.1f %%", name, 100*float64(count)/n)
		if share := float64(count) / n; share < 0.90 || share > 0.995 {
			t.Errorf("the interval of %s holds the truth in %d of %d", name, count, n)
		}
	}
	t.Logf("of study %.1f %%, categories %.1f %%", 100*float64(ofStudy)/n, 100*float64(categories)/n)
	for name, count := range map[string]int{"the share of the study": ofStudy, "the categories": categories} {
		if share := float64(count) / n; share < 0.90 || share > 0.995 {
			t.Errorf("the interval of %s holds the truth in %d of %d", name, count, n)
		}
	}
}

func square(x float64) float64 { return x * x }

// One mean square alone has the exact interval, and sums of squares add up to the total, whatever the numbers.
func TestSumsOfSquaresAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, o, r := rapid.IntRange(2, 6).Draw(t, "parts"), rapid.IntRange(1, 4).Draw(t, "people"), rapid.IntRange(1, 4).Draw(t, "trials")
		if o == 1 && r == 1 {
			r = 2
		}
		list := invented(chance.NewStream(rapid.Uint64().Draw(t, "seed")), p, o, r, 1, 0.5, 0.2, 0.3)
		s, err := study.New(list)
		if err != nil {
			t.Fatal(err)
		}
		mean, total, sum, dof := 0.0, 0.0, 0.0, 0.0
		for _, v := range list {
			mean += v.Value / float64(len(list))
		}
		for _, v := range list {
			total += square(v.Value - mean)
		}
		res := s.Analyse(study.Options{Confidence: 0.95})
		for _, source := range res.Sources {
			sum += source.SS
			dof += source.DoF
		}
		if math.Abs(sum-total) > 1e-9*total || dof != float64(p*o*r-1) || math.Abs(res.Mean-mean) > 1e-9 {
			t.Fatalf("%d by %d by %d: sums %g, total %g, degrees %g", p, o, r, sum, total, dof)
		}
		for _, c := range res.Components {
			if !(c.SD.Low <= c.SD.Value && c.SD.Value <= c.SD.High) || !(c.OfStudy.Value >= 0 && c.OfStudy.Value <= 1+1e-12) {
				t.Fatalf("%+v", c)
			}
		}
	})
}

// People who do not differ at all: the estimate comes out negative, is 0, and it is said.
func TestNegativeEstimatesAreZeroAndSaid(t *testing.T) {
	var list []study.Reading
	for i, part := range []string{"1", "2", "3", "4", "5"} {
		for _, person := range []string{"A", "B"} {
			list = append(list, study.Reading{Part: part, Person: person, Value: float64(i)}, study.Reading{Part: part, Person: person, Value: float64(i) + 0.1})
		}
	}
	r := analysed(t, list, study.Options{Confidence: 0.95})
	c := r.Component(study.Reproducibility)
	if !c.Negative || c.SD.Value != 0 || !strings.Contains(strings.Join(r.Warnings, "\n"), "came out negative") {
		t.Errorf("%+v\n%q", c, r.Warnings)
	}
	if !strings.Contains(strings.Join(r.Warnings, "\n"), "too coarse") || !strings.Contains(strings.Join(r.Warnings, "\n"), "two people") {
		t.Errorf("%q", r.Warnings)
	}
}

// People who differ by part: the interaction stays in the table.
func TestInteractionIsKept(t *testing.T) {
	r := analysed(t, invented(chance.NewStream(4), 8, 3, 3, 1, 0.1, 0.5, 0.1), study.Options{Confidence: 0.95})
	if r.Pooled || len(r.Sources) != 4 || r.Component(study.PersonsByPart).SD.Value < 0.3 || !strings.Contains(r.Pooling, "kept") {
		t.Errorf("%+v", r)
	}
	sum := r.Component(study.Persons).Variance.Value + r.Component(study.PersonsByPart).Variance.Value
	if math.Abs(sum-r.Component(study.Reproducibility).Variance.Value) > 1e-12 {
		t.Errorf("persons and their interaction make %g", sum)
	}
}

func TestAStrangeReadingIsNamed(t *testing.T) {
	list := handbook()
	list[40].Value += 3
	r := analysed(t, list, study.Options{Confidence: 0.95})
	if want := list[40].Person + " read part " + list[40].Part; !strings.Contains(strings.Join(r.Warnings, "\n"), want) {
		t.Errorf("%q, want %q", r.Warnings, want)
	}
	// In the book's own readings one range lies beyond the limit of its chart, 2.574 times 0.3417: that of B on part 4, 1.02.
	own := analysed(t, handbook(), study.Options{Confidence: 0.95}).Warnings
	if len(own) != 1 || !strings.HasPrefix(own[0], "B read part 4 with a range of 1.02 where 0.88 is the most") {
		t.Errorf("the book's own readings: %q", own)
	}
}

func TestStudiesThatAreRefused(t *testing.T) {
	for name, c := range map[string]struct {
		list []study.Reading
		code string
	}{
		"one part":          {handbook()[:1], "too-few-parts"},
		"nothing":           {nil, "too-few-parts"},
		"nested":            {[]study.Reading{{"1", "A", 1}, {"1", "A", 2}, {"2", "B", 1}, {"2", "B", 3}}, "nested"},
		"nested, read once": {[]study.Reading{{"1", "A", 1}, {"2", "A", 2}, {"3", "B", 1}, {"4", "B", 3}}, "nested"},
		"own readers":       {[]study.Reading{{"1", "A", 1}, {"1", "B", 2}, {"2", "C", 1}, {"2", "D", 3}, {"2", "D", 3}}, "nested"},
		"a chain":           {[]study.Reading{{"1", "A", 1}, {"1", "B", 2}, {"2", "B", 1}, {"2", "C", 3}}, "too-few-trials"},
		"no scatter":        {[]study.Reading{{"1", "A", 1}, {"1", "A", 1}, {"2", "A", 2}, {"2", "A", 2}}, "no-scatter"},
		"never repeated":    {[]study.Reading{{"1", "A", 1}, {"2", "A", 2}}, "too-few-trials"},
	} {
		_, err := study.New(c.list)
		var told *trouble.Trouble
		if !errors.As(err, &told) || told.Code != c.code || told.Next == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func readText(text string) (*study.List, error) {
	s, err := sheet.Read("s.csv", strings.NewReader(text))
	if err != nil {
		return nil, err
	}
	return study.Read(s)
}

func TestReadingTheList(t *testing.T) {
	l, err := readText("# tolerance: 0.5 mm\n# colour: red\npart,person,trial,value_um\n1,A,1,100\n1,A,2,-3\n")
	if err != nil || l.Unit != "mm" || l.Tolerance != 0.5 || l.Readings[0] != (study.Reading{Part: "1", Person: "A", Value: 0.1}) || len(l.Warnings) != 1 {
		t.Fatalf("%+v, %v", l, err)
	}
	l, err = readText("# unit: kg\n# tolerance: 3\npart,person,value\n1,A,70.5\n")
	if err != nil || l.Unit != "kg" || l.Tolerance != 3 || l.Readings[0].Value != 70.5 {
		t.Fatalf("%+v, %v", l, err)
	}
	for _, text := range []string{"part,value\n1,2\n", "part,person,value\n,A,2\n", "part,person,value\n1,A,x\n", "# unit: mm\n# unit: mm\npart,person,value\n1,A,1\n",
		"# tolerance: 3\npart,person,value\n1,A,1\n", "# unit: kg\n# tolerance: 3 kg\npart,person,value\n1,A,1\n", ""} {
		if _, err := readText(text); err == nil {
			t.Errorf("%q is taken", text)
		}
	}
}

func FuzzReadAndAnalyse(f *testing.F) {
	f.Add("part,person,trial,value_um\n1,A,1,100\n1,A,2,-3\n2,A,1,5\n2,A,2,6\n")
	f.Add("# unit: kg\npart;person;value\n1;A;1,5\n2;A;2\n1;B;1,6\n2;B;3\n")
	f.Fuzz(func(t *testing.T, text string) {
		l, err := readText(text)
		if err != nil || len(l.Readings) > 40 {
			return
		}
		s, err := study.New(l.Readings)
		if err != nil {
			return
		}
		for _, c := range s.Analyse(study.Options{Confidence: 0.95}).Components {
			if !(c.SD.Low <= c.SD.Value && c.SD.Value <= c.SD.High) || !(c.OfStudy.Value >= 0) {
				t.Fatalf("%q: %+v", text, c)
			}
		}
	})
}

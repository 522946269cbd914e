package agreement_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"slatewright/chance"
	"slatewright/gauge/agreement"
	"slatewright/sheet"
	"slatewright/trouble"
)

// The table of an encyclopaedia's worked example (ten subjects, fourteen raters, five classes), seen with its value in five public test
// files: 0.20993070442195522, agreement 0.378, by chance 0.213.
func TestFleissWorkedExample(t *testing.T) {
	counts := [][]int{{0, 0, 0, 0, 14}, {0, 2, 6, 4, 2}, {0, 0, 3, 5, 6}, {0, 3, 9, 2, 0}, {2, 2, 8, 1, 1}, {7, 7, 0, 0, 0}, {3, 2, 6, 3, 0}, {2, 5, 3, 2, 2}, {6, 5, 2, 1, 0}, {0, 2, 2, 3, 7}}
	kappa, se, agreed := agreement.Fleiss(counts)
	if math.Abs(kappa-0.20993070442195522) > 1e-14 || math.Abs(agreed-0.378) > 5e-4 || !(se > 0) {
		t.Errorf("kappa %.17g, standard error %g, agreement %g", kappa, se, agreed)
	}
}

// Two appraisers of the handbook on measurement systems (AIAG, 4th ed., attribute study; from memory, worked out again): 44 and 97
// agreements, 6 and 3 disagreements give 0.86.
func TestCohenOfThePublishedStudy(t *testing.T) {
	kappa, se, agreed := agreement.Cohen([][]float64{{44, 6}, {3, 97}})
	if math.Abs(kappa-0.86) > 0.005 || math.Abs(agreed-0.94) > 1e-12 {
		t.Errorf("kappa %g, agreement %g", kappa, agreed)
	}
	// The delta method again, by differences: the variance of a function of the four shares.
	shares := []float64{44. / 150, 6. / 150, 3. / 150, 97. / 150}
	of := func(p []float64) float64 {
		k, _, _ := agreement.Cohen([][]float64{{p[0], p[1]}, {p[2], p[3]}})
		return k
	}
	gradient, mean, second := make([]float64, 4), 0.0, 0.0
	for i := range shares {
		up, down := append([]float64{}, shares...), append([]float64{}, shares...)
		up[i] += 1e-6
		down[i] -= 1e-6
		gradient[i] = (of(up) - of(down)) / 2e-6
		mean += shares[i] * gradient[i]
		second += shares[i] * gradient[i] * gradient[i]
	}
	if want := math.Sqrt((second - mean*mean) / 150); math.Abs(se-want) > 1e-6 {
		t.Errorf("standard error %.8g, by differences %.8g", se, want)
	}
}

// The large-sample standard error of Fleiss' kappa against the spread that drawn studies have, with parts of both sorts and with few bad ones.
func TestFleissStandardErrorBySimulation(t *testing.T) {
	for _, good := range []float64{0.6, 0.93} {
		fleissSpread(t, good)
	}
}

func fleissSpread(t *testing.T, good float64) {
	s := chance.NewStream(5)
	const studies, parts, raters = 2000, 200, 3
	sum, sumSquares, claimed := 0.0, 0.0, 0.0
	for range studies {
		counts := make([][]int, parts)
		for i := range counts {
			p, pass := 0.1, 0
			if s.Float64() < good {
				p = 0.95
			}
			for range raters {
				if s.Float64() < p {
					pass++
				}
			}
			counts[i] = []int{raters - pass, pass}
		}
		k, se, _ := agreement.Fleiss(counts)
		sum, sumSquares, claimed = sum+k, sumSquares+k*k, claimed+se/studies
	}
	sd := math.Sqrt(sumSquares/studies - sum/studies*sum/studies)
	if math.Abs(claimed-sd) > 0.05*sd {
		t.Errorf("good parts %g: claimed %g, found %g", good, claimed, sd)
	}
}

// three invented people on forty parts: A is right but for one part in ten, B is A's copy, C always says go.
func list() ([]agreement.Judgement, map[string]bool) {
	var all []agreement.Judgement
	truth := map[string]bool{}
	for i := range 40 {
		part := fmt.Sprint(i)
		truth[part] = i%2 == 0
		right := truth[part] != (i%10 == 1)
		for range 2 {
			all = append(all, agreement.Judgement{Part: part, Person: "A", Pass: right}, agreement.Judgement{Part: part, Person: "B", Pass: right}, agreement.Judgement{Part: part, Person: "C", Pass: true})
		}
	}
	return all, truth
}

func TestInventedPeople(t *testing.T) {
	s, err := agreement.New(list())
	if err != nil {
		t.Fatal(err)
	}
	r := s.Analyse(0.95, 1)
	if len(r.Pairs) != 3 || r.Pairs[0].Value != 1 || math.Abs(r.Pairs[1].Value) > 1e-12 || r.Pairs[0].First != "A" || r.Pairs[0].Second != "B" {
		t.Errorf("%+v", r.Pairs)
	}
	a, c := r.People[0], r.People[2]
	// 4 of the 20 bad parts are passed by A, twice each; C passes all.
	if a.FalseAccept.Count != 8 || a.FalseAccept.Of != 40 || a.FalseReject.Count != 0 || c.FalseAccept.Share != 1 || c.FalseReject.Share != 0 || a.Alike != 1 {
		t.Errorf("%+v %+v, %+v", a.FalseAccept, a.FalseReject, c.FalseAccept)
	}
	// 36 of 40 right, 16 no-go and 24 go by A, 20 and 20 in truth: kappa = (0.9 − 0.5)/(1 − 0.5).
	if k := a.Reference; math.Abs(k.Value-0.8) > 1e-12 || !(k.DrawnLow < 0.8 && 0.8 < k.DrawnHigh) || !(k.DrawnHigh-k.DrawnLow > k.High-k.Low) {
		t.Errorf("two trials are not independent, so the drawn interval is the longer one: %+v", k)
	}
	if own := r.People[2].Own; own.Defined || !math.IsNaN(own.Value) || !strings.Contains(strings.Join(r.Warnings, "\n"), "not defined") {
		t.Errorf("C alone: %+v, %q", own, r.Warnings)
	}
	again := s.Analyse(0.95, 1)
	if *again.All != *r.All || s.Analyse(0.95, 2).All.DrawnLow == r.All.DrawnLow && s.Analyse(0.95, 3).All.DrawnLow == r.All.DrawnLow {
		t.Error("the seed does not decide the draw")
	}
}

func TestRefusedLists(t *testing.T) {
	all, _ := list()
	for name, c := range map[string]struct {
		list  []agreement.Judgement
		truth map[string]bool
		code  string
	}{
		"empty":        {nil, nil, "too-few-parts"},
		"gap":          {all[1:], nil, "unbalanced"},
		"half a truth": {all, map[string]bool{"0": true}, "unbalanced"},
		"nothing":      {[]agreement.Judgement{{"1", "A", true}, {"2", "A", true}}, nil, "nothing-to-compare"},
	} {
		_, err := agreement.New(c.list, c.truth)
		var told *trouble.Trouble
		if !errors.As(err, &told) || told.Code != c.code {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestReadingTheList(t *testing.T) {
	read := func(text string) ([]agreement.Judgement, map[string]bool, []string, error) {
		s, err := sheet.Read("v.csv", strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		return agreement.Read(s)
	}
	l, truth, w, err := read("# odd: 1\npart,person,trial,verdict,reference\n1,A,1,Go,good\n1,A,2,no  go,\n2,A,1,0,bad\n")
	if err != nil || len(l) != 3 || !l[0].Pass || l[1].Pass || len(truth) != 2 || !truth["1"] || truth["2"] || len(w) != 1 {
		t.Errorf("%+v %v %q %v", l, truth, w, err)
	}
	for text, code := range map[string]string{
		"part,person,verdict\n1,A,maybe\n":                         "bad-verdict",
		"part,person,verdict\n,A,go\n":                             "no-name",
		"part,person,verdict,reference\n1,A,go,good\n1,B,go,bad\n": "two-references",
		"part,person,verdict,reference\n1,A,go,so so\n":            "bad-verdict",
		"part,person\n1,A\n":                                       "columns",
	} {
		_, _, _, err := read(text)
		var told *trouble.Trouble
		if !errors.As(err, &told) || told.Code != code {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func FuzzReadAndAnalyse(f *testing.F) {
	f.Add("part,person,trial,verdict,reference\n1,A,1,go,go\n1,B,1,no-go,\n2,A,1,go,bad\n2,B,1,1,\n")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := sheet.Read("f", strings.NewReader(text))
		if err != nil || len(s.Rows) > 20 {
			return
		}
		list, truth, _, err := agreement.Read(s)
		if err != nil {
			return
		}
		st, err := agreement.New(list, truth)
		if err != nil {
			return
		}
		for _, p := range st.Analyse(0.95, 1).Pairs {
			if p.Defined && !(p.DrawnLow <= p.Value && p.Value <= p.DrawnHigh) {
				t.Fatalf("%q: %+v", text, p)
			}
		}
	})
}

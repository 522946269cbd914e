package answers_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"slatewright/face"
	cleaned "slatewright/surfacing/cleanup/answers"
	"slatewright/surfacing/machine/machinefile"
	"slatewright/surfacing/passes"
	"slatewright/surfacing/passes/answers"
	"slatewright/trouble"
)

const examples = "../../../docs/examples/surfacing/"

func slab(t *testing.T) *cleaned.Slab {
	t.Helper()
	read := func(name string) *face.Face {
		f, err := os.Open(examples + name)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		got, err := face.Read(name, f)
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	q := cleaned.Usual()
	q.Top, q.Bottom = read("cleanup-top.csv"), read("cleanup-bottom.csv")
	q.Limits.DamageTop, q.Limits.DamageBottom, q.Limits.Least, q.Limits.Reserve = 0.3, 0.3, 25, 0.1
	s, err := cleaned.Of(q)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The JSON of a clean-up and the maps behind it say the same of what is to come off; the maps know every depth besides.
func TestACleanUpComesInByItsJSONAndByItsMaps(t *testing.T) {
	s := slab(t)
	text, err := json.Marshal(s)
	if err != nil {
		t.Fatal(err)
	}
	a, err := answers.ReadCleanup("c.json", bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	b, err := answers.OfSlab(s)
	if err != nil {
		t.Fatal(err)
	}
	for f := range a.Take {
		for i, v := range [3][2]float64{{a.Take[f].Min, b.Take[f].Min}, {a.Take[f].Mean, b.Take[f].Mean}, {a.Take[f].Max, b.Take[f].Max}} {
			if math.Abs(v[0]-v[1]) > 0.02 || i != 1 && math.Abs(v[0]-v[1]) > 1e-6 {
				t.Errorf("%v: %v", passes.Face(f), v)
			}
		}
	}
	if a.Thickness != b.Thickness || a.U != b.U || a.Least != 25 || b.Reserve != 0.1 || a.U < 0.005 || a.U > 0.03 || math.Abs(a.Thickness-26.1) > 0.05 {
		t.Errorf("%+v\n%+v", a, b)
	}
	q := passes.Question{Least: 24, Reserve: 0.3}
	if a.Into(&q); q.Least != 24 || q.Reserve != 0.3 {
		t.Errorf("what is asked gives way to the clean-up: %+v", q)
	}
}

func TestCleanUpsThatAreNone(t *testing.T) {
	for text, what := range map[string]string{"": "no JSON", "[]": "no JSON", "{}": "missing", `{"off_top_mm":{"min":0,"mean":0,"max":0}}`: "missing",
		`{"off_top_mm":{"min":3,"mean":2,"max":1},"off_bottom_mm":{"min":0,"mean":0,"max":0}}`: "no stock", strings.Repeat(" ", 5<<20): "longer"} {
		_, err := answers.ReadCleanup("c.json", strings.NewReader(text))
		at := new(trouble.Trouble)
		if !errors.As(err, &at) || at.Code != "bad-cleanup" || !strings.Contains(at.What, what) || at.Next == "" {
			t.Errorf("%.40q: %v", text, err)
		}
	}
	// where stone is missing the depths are counted from there, and what is missing is said
	c, err := answers.ReadCleanup("c.json", strings.NewReader(`{"off_top_mm":{"min":-0.1,"mean":0.1,"max":0.3},"off_bottom_mm":{"min":0,"mean":0.1,"max":0.2},"missing_mm":0.1}`))
	if err != nil || c.Missing != 0.1 || math.Abs(c.Take[passes.Top].Max-0.4) > 1e-12 {
		t.Errorf("%+v, %v", c, err)
	}
}

func TestWhatIsTyped(t *testing.T) {
	for text, want := range map[string][3]float64{"0.3, 0.62, 1.1 mm": {0.3, 0.62, 1.1}, "0,3; 0,62; 1,1 mm": {0.3, 0.62, 1.1}, "0.5mm": {0.5, 0.5, 0.5}, "10 thou, 20 thou, 40 thou": {0.254, 0.508, 1.016}, "0 mm": {}} {
		s, err := answers.ReadOff("top", text)
		if err != nil || math.Abs(s.Min-want[0]) > 1e-9 || math.Abs(s.Mean-want[1]) > 1e-9 || math.Abs(s.Max-want[2]) > 1e-9 {
			t.Errorf("%q: %+v, %v", text, s, err)
		}
	}
	for _, text := range []string{"", "1", "1,2mm", "a,b,c", "3,2,1mm", "1,2,3,4mm", "-1mm", "1,1,2mm"} {
		if _, err := answers.ReadOff("top", text); err == nil {
			t.Errorf("%q is taken", text)
		}
	}
	if k, err := answers.ReadStress("1 ± 0,5 MPa"); err != nil || k.Value != 1 || k.U != 0.5 {
		t.Errorf("%+v, %v", k, err)
	}
	if k, err := answers.ReadStress("-2"); err != nil || k.Value != -2 || k.U != 0 {
		t.Errorf("%+v, %v", k, err)
	}
	for _, text := range []string{"", "much", "1 ± -1", "1 ±"} {
		if _, err := answers.ReadStress(text); err == nil {
			t.Errorf("%q is taken", text)
		}
	}
}

// The report says what package passes said, in people's units.
func TestReport(t *testing.T) {
	m, err := machinefile.ReadFile(examples + "machine.yaml")
	if err != nil {
		t.Fatal(err)
	}
	off, _ := passes.Between(0.2, 0.3, 0.4)
	r, err := answers.Of(passes.Question{Machine: &m, X: 914, Y: 1473, Take: [2]passes.Stock{off, off}, Thickness: 25.6, Flat: 0.25})
	if err != nil || r.Plan == nil || !r.Invented || r.Outcome != "planned" || r.Asked.StressIs != "estimate" || r.Asked.Rounds != passes.UsualRounds || r.Asked.Share != passes.UsualShare || len(r.Stages()) != 3 {
		t.Fatalf("%+v, %v", r, err)
	}
	for i, s := range r.Plan.Setups {
		for k, p := range s.Passes {
			if q := r.Answer().Plan.Setups[i].Passes[k]; math.Abs(p.Feed-q.Feed*0.06) > 1e-12 || p.Stage != m.Stages[q.Stage].Name || p.Spark != (q.Depth == 0) {
				t.Errorf("%+v of %+v", p, q)
			}
		}
	}
	if _, err := json.Marshal(r); err != nil { // no number that JSON does not have
		t.Error(err)
	}
	if r.Rule.Top.Value != nil || r.Plan.Top.Value == nil {
		t.Error("the rule presses a bow out that nobody said, and the plan does not")
	}
	if n, err := answers.FindStage(&m, "middle"); n != 2 || err != nil {
		t.Errorf("%v, %v", n, err)
	}
	if _, err := answers.FindStage(&m, "none"); err == nil {
		t.Error("a stage that is not there")
	}
}

func FuzzReadCleanup(f *testing.F) {
	f.Add([]byte(`{"off_top_mm":{"min":0.1,"mean":0.2,"max":0.3},"off_bottom_mm":{"min":0,"mean":0.1,"max":0.2},"thickness_mm":26,"cut_to_mm":25.9,"thickness_interval_mm":[25,27]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		c, err := answers.ReadCleanup("fuzz", bytes.NewReader(text))
		if at := new(trouble.Trouble); err != nil && (!errors.As(err, &at) || at.What == "") {
			t.Fatalf("%#v", err)
		}
		if err == nil && (c.Take[0].Min < 0 || c.Take[1].Max < c.Take[1].Min) {
			t.Fatalf("%+v", c)
		}
	})
}

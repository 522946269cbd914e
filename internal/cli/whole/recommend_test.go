package whole

import (
	"bytes"
	"math"
	"slices"
	"strings"
	"testing"

	"slatewright/internal/cli/verb"
)

func recommended(t *testing.T, v Judge) *report {
	t.Helper()
	v.Confidence = 0.95
	r, err := v.Run(&verb.Session{Stdin: bytes.NewReader(nil), Stdout: &bytes.Buffer{}, Stderr: &bytes.Buffer{}})
	if err != nil {
		t.Fatal(err)
	}
	return r.(*report)
}

// The same piece under limits from wide to narrow, and as thick as is asked for or not: the recommendation follows, never against the
// verdict, and the probability behind it is the one that is reported.
func TestRecommendation(t *testing.T) {
	const head = "../../../docs/examples/head.csv"
	mm := func(v float64) *verb.Length { return &verb.Length{MM: v} }
	for _, c := range []struct {
		limit, thick float64
		costs        string
		want         string
		by           string
	}{
		{0.2, 25, "", "ship", "risk"},
		{0.1, 25, "", "measure", "risk"},
		{0.03, 25, "", "regrind", "risk"},
		{0.03, 25.6, "", "scrap", "risk"},
		{0.03, 0, "", "measure", "risk"},
		{0.2, 25, "../../../docs/examples/costs.yaml", "ship", "cost"},
		{0.03, 25, "../../../docs/examples/costs.yaml", "regrind", "cost"},
	} {
		v := Judge{File: head, Limit: mm(c.limit)}
		v.Costs = c.costs
		if c.thick > 0 {
			v.MinThickness = mm(c.thick)
		}
		r := recommended(t, v)
		if r.Recommendation != c.want || string(r.RankedBy) != c.by || (r.ExpectedCost != nil) != (c.by == "cost") {
			t.Errorf("%+v: %s by %s: %q", c, r.Recommendation, r.RankedBy, r.Say)
		}
		if r.Recommendation == "ship" && r.Verdict != "conforms" {
			t.Errorf("%+v: to be shipped, and it %s", c, r.Verdict)
		}
		p := 1.0
		for _, e := range r.Chances.Each {
			if e.Name != "thickness" {
				p *= e.Probability
			}
		}
		if math.Abs(p-r.Conforms) > 0.02 || c.limit == 0.2 && p > 0.995 {
			t.Errorf("%+v: weighed with %v, reported %v", c, p, r.Conforms)
		}
		if missing := slices.ContainsFunc(r.Warnings, func(w string) bool { return strings.Contains(w, "--min-thickness") }); missing != (c.thick == 0) {
			t.Errorf("%+v: %q", c, r.Warnings)
		}
	}
}

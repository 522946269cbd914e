package advice_test

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/chance"
	"slatewright/internal/cli/advice"
	"slatewright/internal/cli/verb"
)

var iso = bed.Decision{Rule: bed.RuleISO14253, Risk: bed.ISO14253Risk}

func known(zone float64, more ...advice.Known) []advice.Known {
	normal := func(mean, u float64) func(float64) float64 {
		return func(p float64) float64 { return mean + u*chance.Quantile(p) }
	}
	return append([]advice.Known{{Name: "zone", Quantile: normal(zone, 0.02), Limit: 0.254}}, more...)
}

func thick(mm float64) advice.Known {
	return advice.Known{Name: "thickness", Quantile: func(p float64) float64 { return mm + 0.0125*chance.Quantile(p) }, Limit: 25.4, AtLeast: true}
}

// The example of the handbook, answered by cost.
func TestExampleByCost(t *testing.T) {
	r, err := advice.Flags{Costs: "../../../docs/examples/costs.yaml"}.Of(&verb.Session{}, "piece", known(0.24, thick(25.7)), iso, 1)
	if err != nil {
		t.Fatal(err)
	}
	if r.Recommendation != "measure" || r.RankedBy != "cost" || r.ExpectedCost == nil || r.RunnerUp == nil || *r.RunnerUp != "regrind" || len(r.Ways) != 5 || r.Currency != "EUR" {
		t.Errorf("%+v", r)
	}
	text, err := json.Marshal(struct {
		File string `json:"file"`
		*advice.Report
	}{"a.csv", r})
	if err != nil {
		t.Fatal(err)
	}
	var keys map[string]any
	if err := json.Unmarshal(text, &keys); err != nil {
		t.Fatal(err)
	}
	for _, k := range []string{"file", "recommendation", "expected_cost", "runner_up", "ways", "ranked_by", "missing_prices", "chances", "turns", "toss_up"} {
		if _, there := keys[k]; !there {
			t.Errorf("no %s in %s", k, text)
		}
	}
	var out bytes.Buffer
	r.Print(&out)
	for _, want := range []string{"What to do", "Measure the piece again (the bench dial, the grid again).", "EUR", "no: it breaks the mill's rule", "What would change it"} {
		if !strings.Contains(strings.Join(strings.Fields(out.String()), " "), want) {
			t.Errorf("no %q in\n%s", want, out.String())
		}
	}
}

// Without a file nothing costs anything that is known: by risk, and it says so.
func TestWithoutCosts(t *testing.T) {
	for _, c := range []struct {
		zone float64
		more []advice.Known
		want string
	}{
		{0.2, nil, "ship"},
		{0.24, []advice.Known{thick(25.9)}, "measure"},
		{0.4, []advice.Known{thick(25.9)}, "regrind"},
		{0.4, []advice.Known{thick(25.5)}, "scrap"},
		{0.4, nil, "measure"}, // the thickness
	} {
		r, err := advice.Flags{}.Of(&verb.Session{}, "piece", known(c.zone, c.more...), iso, 1)
		if err != nil {
			t.Fatal(err)
		}
		if r.Recommendation != c.want || r.RankedBy != "risk" || r.ExpectedCost != nil || !slices.Contains(r.MissingPrices, "complaint") && c.zone < 0.3 {
			t.Errorf("zone %v: %s, missing %v: %q", c.zone, r.Recommendation, r.MissingPrices, r.Say)
		}
		if !strings.Contains(r.Say[1], "Ranked by risk, not by money") {
			t.Errorf("zone %v: %q", c.zone, r.Say[1])
		}
	}
}

func TestFaultsAreTold(t *testing.T) {
	if _, err := (advice.Flags{Costs: t.TempDir() + "/none.yaml"}).Of(&verb.Session{}, "piece", known(0.2), iso, 1); err == nil {
		t.Error("a file that is not there")
	}
	if _, err := (advice.Flags{}).Of(&verb.Session{}, "piece", known(0.2), bed.Decision{}, 1); err == nil {
		t.Error("no rule")
	}
}

package answers_test

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"slatewright/judge"
	"slatewright/traverse/answers"
	"slatewright/traverse/feelers"
	"slatewright/traverse/levels"
)

func sheet(t *testing.T, name string) *bytes.Reader {
	t.Helper()
	text, err := os.ReadFile("../../docs/examples/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return bytes.NewReader(text)
}

// keys are the names of an answer, the contract with other programs.
func keys(t *testing.T, answer any, want string) {
	t.Helper()
	text, err := json.Marshal(answer)
	if err != nil {
		t.Fatal(err)
	}
	var got map[string]any
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	for _, k := range strings.Fields(want) {
		if _, there := got[k]; !there {
			t.Errorf("no %s in %s", k, text)
		}
		delete(got, k)
	}
	for k := range got {
		t.Errorf("%s is not in the contract", k)
	}
}

func TestALevelWalkIsAnswered(t *testing.T) {
	w, err := levels.Read("walk", sheet(t, "level-slip.csv"))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		limit float64
		says  judge.Verdict
	}{{0.2, judge.CannotTell}, {0.05, judge.CannotTell}} { // with a suspect nothing is decided
		a, err := answers.OfLevels(w, &c.limit, false, true)
		if err != nil {
			t.Fatal(err)
		}
		if a.Says != c.says || a.Suspect == nil || a.Suspect.Row != 10 || len(a.Covariance) != a.Stations {
			t.Errorf("limit %v: %v, suspect %+v", c.limit, a.Says, a.Suspect)
		}
		keys(t, a, `file stations redundancy heights zone_mm zone_u_mm zone_interval_mm closure_um closure fit suspect suspects steps
			slope_um_per_m covariance_mm2 limit_mm verdict warnings`)
	}
	w, err = levels.Read("walk", sheet(t, "level-walk.csv"))
	if err != nil {
		t.Fatal(err)
	}
	a, err := answers.OfLevels(w, nil, false, false)
	if err != nil || a.Verdict != nil || a.Suspect != nil || a.Covariance != nil {
		t.Fatalf("%+v, %v", a, err)
	}
	low, high := a.ZoneInterval[0]/2, a.ZoneInterval[1]+0.001
	for limit, says := range map[float64]judge.Verdict{low: judge.DoesNotConform, high: judge.Conforms, a.ZoneMM: judge.CannotTell} {
		if a, err := answers.OfLevels(w, &limit, false, false); err != nil || a.Says != says {
			t.Errorf("limit %v: %v, %v", limit, a.Says, err)
		}
	}
	if a, err := answers.OfLevels(w, &a.ZoneMM, true, false); err != nil || a.Says != judge.Conforms {
		t.Errorf("simple: %v, %v", a.Says, err)
	}
}

func TestFeelersAreAnswered(t *testing.T) {
	s, err := feelers.Read("edge", sheet(t, "straightedge.csv"))
	if err != nil {
		t.Fatal(err)
	}
	for limit, says := range map[float64]judge.Verdict{0.05: judge.DoesNotConform, 0.1: judge.CannotTell, 0.2: judge.Conforms} {
		a, err := answers.OfFeelers(s, &limit)
		if err != nil || a.Says != says || a.Strip == nil || a.Next == nil || *a.Next.Row == 0 {
			t.Errorf("limit %v: %+v, %v", limit, a, err)
		}
		keys(t, a, "file stations zone_low_mm zone_high_mm high_is_exact straightness contradictions next loose_lines open_rows limit_mm verdict warnings")
	}
	s, err = feelers.Read("edge", strings.NewReader("# edge: laid\nline,x,y,passes_mm,stops_mm\nA,0,0,0.10,0.05\nA,100,0,,0.05\nA,200,0,,0.05\n"))
	if err != nil {
		t.Fatal(err)
	}
	a, err := answers.OfFeelers(s, nil)
	if err != nil || len(a.Contradictions) == 0 || a.LowMM != nil || a.Strip != nil || !strings.Contains(a.Next.What, "line 3") {
		t.Errorf("%+v, %v", a, err)
	}
}

package answers_test

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"slatewright/cutting/slab"
	"slatewright/cutting/slab/answers"
	"slatewright/cutting/slab/orders"
	"slatewright/cutting/slab/search"
	"slatewright/trouble"
)

// two is a slab of 205 x 100 that gives two pieces of 100 x 90 with a kerf of 4.5 mm, one of them over a stain on its lower face.
func two() *slab.Slab {
	return &slab.Slab{Name: "B7", Outline: []slab.Point{{X: 3}, {X: 208}, {X: 208, Y: 100}, {X: 3, Y: 100}}, Kerf: 4.5, Angles: []float64{0},
		Flaws: []slab.Flaw{{Points: []slab.Point{{X: 50, Y: 50}}, Playing: true, Face: slab.Bottom}},
		Types: []slab.Type{{Name: "sill", Place: "left", Length: 90, Width: 100, Value: 3 * slab.Unit / 2, Most: 2, Quarters: [4]bool{false, true}}, {Name: "spare", Length: 300, Width: 1, Value: 5, Most: -1, Quarters: [4]bool{true}}}}
}

// An answer says what the plan holds, in the words and units of its page.
func TestAnswer(t *testing.T) {
	s := two()
	got, err := answers.Of("b7.json", s, search.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	if got.File != "b7.json" || got.Slab != "B7" || got.Value != 3 || got.Bound != 3 || got.Gap != 0 || !got.Proven || got.State != answers.Proven || got.Kerf != 5 || got.Angle != 0 {
		t.Errorf("%+v", got)
	}
	if used := 2 * 100 * 90 / (205 * 100.0); math.Abs(got.Used-used) > 1e-12 {
		t.Errorf("%g used, want %g", got.Used, used)
	}
	if len(got.Pieces) != 2 || len(got.Cuts) < 3 || got.Asked != s || got.Found == nil {
		t.Fatalf("%d pieces, %d cuts", len(got.Pieces), len(got.Cuts))
	}
	for i, p := range got.Pieces {
		if p.Type != "sill" || p.Place != "left" || !p.Turned || p.Quarters != 90 || p.Along != 100 || p.Across != 90 || p.Over || p.Angle != 0 || p.X != math.Round(p.X) {
			t.Errorf("piece %d: %+v", i, p)
		}
	}
	for i, c := range got.Cuts {
		middle, from := c.X1, 3.0
		if c.Way == "along" {
			middle, from = c.Y1, 0
		}
		if c.Order != i+1 || c.Way != "along" && c.Way != "across" || math.Abs(c.Setting-(middle-from)) > 1e-9 {
			t.Errorf("cut %d: %+v", i, c)
		}
	}
	if a, b := got.Types[0], got.Types[1]; a.Count != 2 || a.Most == nil || *a.Most != 2 || a.Value != 1.5 || b.Count != 0 || b.Most != nil {
		t.Errorf("%+v", got.Types)
	}
	text, err := json.Marshal(got)
	if err != nil || !strings.Contains(string(text), `"start_angle_deg":0,"kerf_mm":5,"pieces":[{"type":"sill"`) || strings.Contains(string(text), "Asked") {
		t.Errorf("%s, %v", text, err)
	}
}

// What is known of a plan is said in one of four ways.
func TestStates(t *testing.T) {
	s := two()
	for _, c := range []struct {
		value, bound int64
		gap          float64
		want         answers.State
	}{{0, 0, 0, answers.Nothing}, {0, 100, 0.5, answers.Bounded}, {0, 0, 0.5, answers.Nothing}} {
		p := &slab.Plan{Value: c.value, Bound: c.bound, Proven: c.value == c.bound, Kerf: 5}
		got, err := answers.Say("", s, p, c.gap)
		if err != nil || got.State != c.want || got.Pieces == nil || got.Cuts == nil {
			t.Errorf("%+v: %+v, %v", c, got, err)
		}
	}
	plan, err := search.Solve(s, search.Limits{})
	if err != nil || !plan.Proven || plan.Value == 0 {
		t.Fatal(plan, err)
	}
	plan.Bound, plan.Proven = plan.Value+plan.Value/50, false
	for gap, want := range map[float64]answers.State{0: answers.Bounded, 0.01: answers.Bounded, 0.02: answers.Within, 0.5: answers.Within} {
		if got, err := answers.Say("", s, plan, gap); err != nil || got.State != want {
			t.Errorf("a gap of %g asked for: %+v, %v", gap, got, err)
		}
	}
}

// A plan that does not hold is shown to nobody.
func TestBadPlanIsOwnFault(t *testing.T) {
	s := two()
	for name, spoil := range map[string]func(*slab.Plan){
		"value": func(p *slab.Plan) { p.Value++; p.Bound++ },
		"bound": func(p *slab.Plan) { p.Bound = p.Value - 1 },
		"place": func(p *slab.Plan) { p.Pieces[0].At.Y++ },
		"cuts":  func(p *slab.Plan) { p.Cuts = p.Cuts[:1] },
	} {
		plan, err := search.Solve(s, search.Limits{})
		if err != nil {
			t.Fatal(err)
		}
		spoil(plan)
		var told *trouble.Trouble
		if _, err := answers.Say("b7.json", s, plan, 0); !errors.As(err, &told) || told.Kind != trouble.KindOwn || told.Code != "bad-plan" || told.Where != "b7.json" {
			t.Errorf("%s: %v", name, err)
		}
	}
	s.Kerf = -1
	var told *trouble.Trouble
	if _, err := answers.Of("", s, search.Limits{}); !errors.As(err, &told) || told.Kind != trouble.KindData {
		t.Error(err)
	}
}

// What was taken otherwise than it was written, or is not known, is told.
func TestWarnings(t *testing.T) {
	for want, change := range map[string]func(*slab.Slab){
		"":                            func(s *slab.Slab) { s.Kerf = 4 },
		"4.5 mm is planned as 5 mm":   func(*slab.Slab) {},
		"thickness was not looked at": func(s *slab.Slab) { s.Kerf, s.Types[0].Thickness = 4, 20 },
		"no piece asks for one": func(s *slab.Slab) {
			s.Kerf, s.Thickness = 4, &slab.Thickness{X: []float64{0}, Y: []float64{0}, T: [][]float64{{30}}}
		},
		"something in the file, and how": func(s *slab.Slab) { s.Kerf, s.Unread = 4, []string{"something in the file, and how"} },
	} {
		s := two()
		change(s)
		got, err := answers.Of("", s, search.Limits{})
		switch {
		case err != nil:
			t.Error(err)
		case want == "" && (len(got.Warnings) != 0 || got.Warnings == nil):
			t.Errorf("%q", got.Warnings)
		case want != "" && (len(got.Warnings) != 1 || !strings.Contains(got.Warnings[0], want)):
			t.Errorf("%q, want %q", got.Warnings, want)
		}
	}
}

// Two slabs and two orders: each pair has its worth, a slab that nobody takes has no plan.
func TestOrders(t *testing.T) {
	small := two()
	small.Name, small.Outline = "small", []slab.Point{{}, {X: 100}, {X: 100, Y: 100}, {Y: 100}}
	list := []orders.Order{{Name: "sills", Types: two().Types, Slabs: 1}, {Name: "large", Types: []slab.Type{{Name: "large", Length: 190, Width: 95, Value: slab.Unit, Most: -1, Quarters: [4]bool{true}}}, Slabs: 1}}
	limits := func(int, int) search.Limits { return search.Limits{} }
	got, err := answers.OfOrders("o.json", []*slab.Slab{two(), small}, list, 0, limits)
	if err != nil {
		t.Fatal(err)
	}
	if got.Value != 3 || got.Bound != 3 || !got.Proven || got.State != answers.Proven || got.Gap != 0 || len(got.Table) != 4 {
		t.Errorf("%+v", got)
	}
	want := []answers.Pair{{Slab: "B7", Order: "sills", Value: 3, Bound: 3}, {Slab: "B7", Order: "large", Value: 1, Bound: 1}, {Slab: "small", Order: "sills", Value: 1.5, Bound: 1.5}, {Slab: "small", Order: "large"}}
	for i, p := range got.Table {
		if p != want[i] {
			t.Errorf("%+v, want %+v", p, want[i])
		}
	}
	if g := got.Given; len(g) != 2 || *g[0].Order != "sills" || g[0].Plan.Value != 3 || g[1].Order != nil || g[1].Plan != nil {
		t.Errorf("%+v", got.Given)
	}
	list[0].Slabs = 2
	if got, err = answers.OfOrders("o.json", []*slab.Slab{two(), small}, list, 0, limits); err != nil || got.Value != 4.5 || *got.Given[1].Order != "sills" {
		t.Errorf("%+v, %v", got, err)
	}
	var told *trouble.Trouble
	if _, err := answers.OfOrders("", nil, nil, 0, limits); !errors.As(err, &told) {
		t.Error(err)
	}
}

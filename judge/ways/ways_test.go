package ways_test

import (
	"errors"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
	"slatewright/bed"
	"slatewright/chance"
	"slatewright/judge/ways"
	"slatewright/trouble"
)

// mill is a piece near its limit at an invented mill that knows all its prices.
func mill(t testing.TB) ways.Case {
	t.Helper()
	thick := ways.Characteristic{Name: "thickness", Limit: 25.4, AtLeast: true, Decision: iso}
	return ways.Case{
		Known:   joint(t, []string{"zone", "thickness"}, []float64{0.24, 25.7}, []float64{0.02, 0.03}, [][]float64{{1, 0.2}, {0.2, 1}}, 2000, 1),
		Held:    []ways.Characteristic{{Name: "zone", Limit: 0.254, Decision: iso}, thick},
		Prices:  ways.Prices{Currency: "EUR", Conforming: euro(420), Complaint: euro(2600), Scrap: euro(0)},
		Measure: []ways.Remeasure{{Name: "the dial", Reads: []ways.Reading{{Of: "zone", U: 0.006}}, Times: 3, Price: euro(4)}},
		Regrind: []ways.Recut{{Name: "a light cut", Depth: 0.15, DepthU: 0.005, Reserve: 0.05, Passes: 2, PassPrice: euro(18), Succeeded: 41, Tried: 46}},
		Regrade: []ways.Lower{{Name: "home", Value: euro(300), Held: []ways.Characteristic{{Name: "zone", Limit: 0.5, Decision: iso}, thick}}},
	}
}

func TestAdviceByCost(t *testing.T) {
	a := advise(t, mill(t))
	if a.Basis != ways.ByCost || len(a.Missing) != 0 || a.Ways[0].Kind != ways.Measure || a.Ways[1].Kind != ways.Regrind || !a.RunnerUp || a.TossUp {
		t.Fatalf("%s, missing %v, %v before %v", a.Basis, a.Missing, a.Ways[0].Way, a.Ways[1].Way)
	}
	if gap := *a.Ways[1].Cost - *a.Ways[0].Cost; math.Abs(gap-a.Gap) > 1e-9 || a.Gap <= 0 || a.GapSE <= 0 {
		t.Errorf("gap %v ± %v, costs differ by %v", a.Gap, a.GapSE, gap)
	}
	// Re-grinding: two passes, and the piece where the face fails. The thickness is sure to conform.
	share := 41.5 / 47
	if o := a.Ways[1]; math.Abs(*o.Cost-(36+420*(1-share))) > 0.01 || math.Abs(o.Cut.Left-0.15) > 0.003 || math.Abs(o.Cut.LeftU-math.Hypot(0.03, 0.005)) > 0.001 {
		t.Errorf("re-grinding %+v costs %v", o.Cut, *o.Cost)
	}
	if o := of(t, a, ways.Regrade); math.Abs(*o.Cost-120) > 1e-6 || o.Producer < 0.95 {
		t.Errorf("regrading costs %v, producer's risk %v", *o.Cost, o.Producer)
	}
	if o := a.Ways[len(a.Ways)-1]; o.Kind != ways.Ship || o.May || !strings.Contains(o.Not, "breaks the mill's rule") {
		t.Errorf("last is %v: %v", o.Way, o.Not)
	}
	if a.Words.Do != "Measure the piece again (the dial)." || !strings.Contains(a.Words.Why, "EUR") || !strings.HasPrefix(a.Words.Else, "Re-grinding (a light cut) comes next, costing ") {
		t.Errorf("%q", a.Words)
	}
	if b := advise(t, mill(t)); !reflect.DeepEqual(a, b) {
		t.Error("the same case has another answer")
	}
}

// A price that is missing is never made up: what needs it has no cost, the ways are ranked by risk, and the missing price is named. But where
// not even the most favourable price could help, the answer stands.
func TestMissingPrices(t *testing.T) {
	c := mill(t)
	c.Prices.Complaint = nil
	a := advise(t, c)
	if a.Basis != ways.ByRisk || !slices.Contains(a.Missing, "complaint") || of(t, a, ways.Ship).Cost != nil || of(t, a, ways.Measure).Cost != nil {
		t.Errorf("%s, missing %v", a.Basis, a.Missing)
	}
	if !strings.Contains(a.Words.Why, "Ranked by risk, not by money: not known is complaint") || strings.Contains(a.Words.Do+a.Words.Why+a.Words.Else, "EUR") {
		t.Errorf("%q", a.Words)
	}
	if a := advise(t, ways.Case{Known: c.Known, Held: c.Held}); a.Basis != ways.ByRisk || len(a.Missing) != 2 || a.Ways[0].Cost != nil {
		t.Errorf("without any price: %s, missing %v", a.Basis, a.Missing)
	}
	c = mill(t)
	c.Regrade[0].Value = nil
	c.Prices.Complaint = euro(1e6)
	c.Known = joint(t, []string{"zone", "thickness"}, []float64{0.2, 25.7}, []float64{0.005, 0.03}, nil, 2000, 1)
	if a := advise(t, c); a.Basis != ways.ByCost || a.Ways[0].Kind != ways.Ship || *a.Ways[0].Cost != 0 || len(of(t, a, ways.Regrade).Missing) != 1 {
		t.Errorf("a sure piece: %s, %v first", a.Basis, a.Ways[0].Way)
	}
}

// The price of a reading that is not known is answered with the price up to which it pays.
func TestUnknownPriceIsAnsweredWithItsTurn(t *testing.T) {
	c := mill(t)
	known := of(t, advise(t, c), ways.Measure)
	regrind := *of(t, advise(t, c), ways.Regrind).Cost
	c.Measure[0].Price = nil
	a := advise(t, c)
	if a.Basis != ways.ByRisk || !slices.Equal(a.Missing, []string{"reading (the dial)"}) {
		t.Fatalf("%s, missing %v", a.Basis, a.Missing)
	}
	want := (regrind - (*known.Cost - 12)) / 3
	for _, turn := range a.Turns {
		if turn.Of == "reading (the dial)" {
			if turn.Now != nil || turn.Below.Kind != ways.Measure || turn.Above.Kind != ways.Regrind || math.Abs(turn.At-want) > 1e-4 {
				t.Errorf("%+v, want %v", turn, want)
			}
			return
		}
	}
	t.Errorf("no turn of the reading's price in %+v", a.Turns)
}

// Two ways only: scrap becomes better than shipping where complaint × probability of a bad piece exceeds the loss.
func TestTurnIsWhereTheCostsAreEqual(t *testing.T) {
	p := normal(t, 0.24, 0.01, 2000, 2)
	c := ways.Case{Known: p, Held: []ways.Characteristic{{Name: "zone", Limit: 0.25, Decision: simple}},
		Prices: ways.Prices{Conforming: euro(400), Complaint: euro(1000), Scrap: euro(30)}}
	a := advise(t, c)
	want := map[string]float64{"complaint": 370 / (1 - a.Chances.All), "conforming": 30 + 1000*(1-a.Chances.All), "scrap": 400 - 1000*(1-a.Chances.All)}
	want[ways.Probability] = 1 - 370.0/1000
	if len(a.Turns) != len(want) {
		t.Fatalf("%+v", a.Turns)
	}
	for _, turn := range a.Turns {
		if math.Abs(turn.At-want[turn.Of]) > 1e-3 || turn.Of == ways.Probability && (turn.Below.Kind != ways.Scrap || turn.Above.Kind != ways.Ship) {
			t.Errorf("%s turns at %v, want %v", turn.Of, turn.At, want[turn.Of])
		}
	}
	for _, price := range []float64{0.99, 1.01} {
		c.Prices.Complaint = euro(want["complaint"] * price)
		if got := advise(t, c).Ways[0].Kind; (got == ways.Ship) != (price < 1) {
			t.Errorf("at %v of the turn: %s", price, got)
		}
	}
}

// The rule binds: shipping is by far the cheapest, and is not recommended. The answer says so.
func TestRuleBinds(t *testing.T) {
	c := mill(t)
	c.Prices.Complaint = euro(10)
	a := advise(t, c)
	if a.Ways[0].Kind == ways.Ship || a.Cheaper == nil || a.Cheaper.Kind != ways.Ship || !strings.Contains(a.Words.Else, "Shipping would cost") {
		t.Errorf("%v first; %q", a.Ways[0].Way, a.Words.Else)
	}
	// For several characteristics at once the mill may ask more: each is kept, all together are not.
	c = ways.Case{Known: joint(t, []string{"a", "b", "c"}, []float64{0, 0, 0}, []float64{1, 1, 1}, nil, 4000, 3)}
	for _, n := range c.Known.Names {
		c.Held = append(c.Held, ways.Characteristic{Name: n, Limit: 1.88, Decision: iso}) // 0.97 each, 0.913 all
	}
	if a := advise(t, c); a.Ways[0].Kind != ways.Ship {
		t.Errorf("each is kept, and yet %v", a.Ways[0].Way)
	}
	c.Overall = 0.05
	if a := advise(t, c); a.Ways[0].Kind == ways.Ship || math.Abs(a.Chances.All-0.913) > 4*a.Chances.SE || !strings.Contains(of(t, a, ways.Ship).Not, "at once") {
		t.Errorf("together they are not kept: %v, %v", a.Ways[0].Way, a.Chances.All)
	}
}

// A reading can be worth less than nothing: it may forbid what the rule allows now, and cost more than that was.
func TestReadingThatTheRuleTurnsAgainstTheMill(t *testing.T) {
	c := ways.Case{Known: normal(t, 0.24, 0.005, 4000, 1), Held: []ways.Characteristic{{Name: "zone", Limit: 0.25, Decision: iso}},
		Prices:  ways.Prices{Conforming: euro(400), Complaint: euro(100), Scrap: euro(0)},
		Measure: []ways.Remeasure{{Name: "feelers", Reads: []ways.Reading{{Of: "zone", U: 0.005}}, Price: euro(0)}}}
	a := advise(t, c)
	if worth := *of(t, a, ways.Measure).Look.Worth; a.Ways[0].Kind != ways.Ship || worth >= 0 {
		t.Errorf("%v first, the reading is worth %v", a.Ways[0].Way, worth)
	}
}

// The bounds for single probabilities hold, and are reached by draws that go together and by draws that exclude each other.
func TestFrechet(t *testing.T) {
	held := []ways.Characteristic{{Name: "a", Limit: 0.7, Decision: simple}, {Name: "b", Limit: 0.6, Decision: simple}}
	var together, apart, alone ways.Posterior
	for i := range 1000 {
		v := (float64(i) + 0.5) / 1000
		together.Draws = append(together.Draws, []float64{v, v})
		apart.Draws = append(apart.Draws, []float64{v, 1 - v})
		alone.Draws = append(alone.Draws, []float64{v, float64(i*617%1000) / 1000})
	}
	for _, c := range []struct {
		p    ways.Posterior
		want float64
	}{{together, 0.6}, {apart, 0.3}, {alone, 0.42}} {
		c.p.Names = []string{"a", "b"}
		got := advise(t, ways.Case{Known: c.p, Held: held}).Chances
		if math.Abs(got.All-c.want) > 0.01 || math.Abs(got.Low-0.3) > 0.002 || math.Abs(got.High-0.6) > 0.002 {
			t.Errorf("all %v in %v … %v, want %v in 0.3 … 0.6", got.All, got.Low, got.High, c.want)
		}
	}
}

func TestRegrindAndTheStoneThatIsLeft(t *testing.T) {
	bare := func(thick float64) ways.Case {
		c := mill(t)
		c.Known = joint(t, []string{"zone", "thickness"}, []float64{0.3, thick}, []float64{0.01, 0.0125}, nil, 2000, 1)
		return c
	}
	for _, c := range []struct {
		name  string
		thick float64
		may   bool
		last  bool
		not   string
	}{
		{"enough", 25.8, true, false, ""},
		{"for the last time", 25.63, true, true, ""},
		{"into the reserve", 25.58, false, true, "reserve"},
	} {
		o := of(t, advise(t, bare(c.thick)), ways.Regrind)
		if o.May != c.may || o.Cut.Last != c.last || !strings.Contains(o.Not, c.not) {
			t.Errorf("%s: %v, last %v, %q", c.name, o.May, o.Cut.Last, o.Not)
		}
	}
	c := bare(25.565)
	c.Regrind[0].Reserve = 0
	if o := of(t, advise(t, c), ways.Regrind); o.May || !strings.Contains(o.Not, "rule") || math.Abs(o.Cut.Thick-chance.Cumulative(0.015/math.Hypot(0.0125, 0.005))) > 0.03 {
		t.Errorf("too thin for the rule: %v %q %v", o.May, o.Not, o.Cut.Thick)
	}
	c.Held = c.Held[:1]
	c.Regrade = nil
	if o := of(t, advise(t, c), ways.Regrind); o.May || !strings.Contains(o.Not, "not known") {
		t.Errorf("thickness not held: %v %q", o.May, o.Not)
	}
	c.Known = joint(t, []string{"zone"}, []float64{0.3}, []float64{0.01}, nil, 2000, 1)
	c.Measure = nil
	a := advise(t, c)
	if w := a.Ways[0]; w.Way != (ways.Way{Kind: ways.Measure, Name: "thickness"}) || a.Ways[1].Kind != ways.Scrap || !strings.HasPrefix(a.Words.Do, "Read the thickness of the piece first") {
		t.Errorf("thickness not known: %v before %v: %s", a.Ways[0].Way, a.Ways[1].Way, a.Words.Do)
	}
	// Without a count the success is not known: no cost, compared as one in two, and the share is named from which it pays.
	c = bare(25.8)
	c.Measure = nil
	c.Regrind[0].Succeeded, c.Regrind[0].Tried = 0, 0
	a = advise(t, c)
	if a.Basis != ways.ByRisk || of(t, a, ways.Regrind).Cost != nil || !a.TossUp || a.Ways[0].Kind != ways.Regrind && a.Ways[1].Kind != ways.Regrind {
		t.Errorf("%s, toss-up %v", a.Basis, a.TossUp)
	}
	if !strings.HasPrefix(a.Words.Else, "Not settled until re-grinds are counted: ") {
		t.Errorf("%q", a.Words.Else)
	}
	c.Regrade = nil // then nothing but re-grinding saves the stone, whatever its success
	if b := advise(t, c); b.TossUp || b.Ways[0].Kind != ways.Regrind {
		t.Errorf("against scrap alone: %v, toss-up %v", b.Ways[0].Way, b.TossUp)
	}
	i := slices.IndexFunc(a.Turns, func(t ways.Turn) bool { return t.Of == "success (a light cut)" })
	if i < 0 || math.Abs(a.Turns[i].At-(1-84.0/420)) > 1e-4 { // 36 + 420(1 − p) = 120
		t.Errorf("%+v", a.Turns)
	}
}

// A piece cut down to a shorter table keeps the square of the lengths of its bow.
func TestRegradeShrinksTheBow(t *testing.T) {
	c := ways.Case{Known: normal(t, 0.3, 0.005, 2000, 1), Held: []ways.Characteristic{{Name: "zone", Limit: 0.25, Decision: iso}},
		Regrade: []ways.Lower{{Name: "8 ft", Held: []ways.Characteristic{{Name: "zone", Limit: 0.25, Scale: ways.Shrink(1473, 1321), Decision: iso}}}}}
	if a := advise(t, c); a.Ways[0].Kind != ways.Regrade || math.Abs(ways.Shrink(1473, 1321)-0.8043) > 1e-4 {
		t.Errorf("%v first", a.Ways[0].Way)
	}
	c.Regrade[0].Held[0].Scale = 0
	if a := advise(t, c); a.Ways[0].Kind != ways.Scrap {
		t.Errorf("not shrunk, and yet %v", a.Ways[0].Way)
	}
}

// By risk no stone is taken from what may be shipped, and readings that change little are not advised; where the rule forbids shipping and readings
// are likely to change that, they come first.
func TestOrderByRisk(t *testing.T) {
	for _, c := range []struct {
		mean  float64
		first ways.Kind
	}{{0.21, ways.Ship}, {0.24, ways.Measure}, {0.33, ways.Regrind}} {
		in := mill(t)
		in.Prices = ways.Prices{}
		in.Known = joint(t, in.Known.Names, []float64{c.mean, 25.7}, []float64{0.02, 0.03}, nil, 2000, 1)
		a := advise(t, in)
		if a.Basis != ways.ByRisk || a.Ways[0].Kind != c.first {
			t.Errorf("zone %v: by %s, %v first", c.mean, a.Basis, a.Ways[0].Way)
		}
		for _, o := range a.Ways {
			if o.Cost != nil {
				t.Errorf("zone %v: %v has a cost without prices", c.mean, o.Way)
			}
		}
	}
}

func TestTossUp(t *testing.T) {
	c := ways.Case{Known: normal(t, 0.24, 0.01, 1000, 2), Held: []ways.Characteristic{{Name: "zone", Limit: 0.25, Decision: simple}},
		Prices: ways.Prices{Conforming: euro(400), Scrap: euro(0), Complaint: euro(400 / chance.Cumulative(-1))}}
	if a := advise(t, c); !a.TossUp || !strings.HasPrefix(a.Words.Else, "A toss-up: ") {
		t.Errorf("gap %v ± %v: %q", a.Gap, a.GapSE, a.Words.Else)
	}
	c.Prices.Complaint = euro(1000)
	if a := advise(t, c); a.TossUp {
		t.Errorf("gap %v ± %v is called a toss-up", a.Gap, a.GapSE)
	}
}

func TestWarnings(t *testing.T) {
	for _, c := range []struct {
		word   string
		change func(*ways.Case)
	}{
		{"too close", func(c *ways.Case) { c.Held[0].Limit = 0.24 + 1.645*0.02 }},
		{"None of the draws does not conform", func(c *ways.Case) { c.Held[0].Limit = 1 }},
		{"last cut", func(c *ways.Case) { c.Regrind[0].Reserve = 0.12 }},
		{"the mill has no count", func(c *ways.Case) { c.Regrind[0].Tried, c.Regrind[0].Succeeded = 0, 0 }},
		{"the answer turns at", func(c *ways.Case) {
			c.Measure = nil
			c.Regrind[0].Tried, c.Regrind[0].Succeeded = 6, 5
		}},
		{"draws count after a reading", func(c *ways.Case) {
			c.Measure[0].Reads = append(c.Measure[0].Reads, ways.Reading{Of: "thickness", U: 0.0001})
			c.Measure[0].Reads[0].U = 0.0001
		}},
	} {
		in := mill(t)
		if w := advise(t, in).Warnings; strings.Contains(strings.Join(w, "\n"), c.word) {
			t.Fatalf("the plain case warns %q", w)
		}
		c.change(&in)
		if w := advise(t, in).Warnings; !strings.Contains(strings.Join(w, "\n"), c.word) {
			t.Errorf("no warning of %q in %q", c.word, w)
		}
	}
}

func TestRefusals(t *testing.T) {
	guard := func(r float64) bed.Decision { return bed.Decision{Rule: bed.RuleGuardBand, Risk: r} }
	for _, c := range []struct {
		code   string
		change func(*ways.Case)
	}{
		{"few-draws", func(c *ways.Case) { c.Known.Draws = c.Known.Draws[:99] }},
		{"few-draws", func(c *ways.Case) { c.Known.Weights = make([]float64, 2000); c.Known.Weights[3] = 1 }},
		{"few-draws", func(c *ways.Case) { c.Known.Weights = make([]float64, 2000) }},
		{"bad-weights", func(c *ways.Case) { c.Known.Weights = []float64{1} }},
		{"bad-weights", func(c *ways.Case) { c.Known.Weights = make([]float64, 2000); c.Known.Weights[0] = -1 }},
		{"bad-posterior", func(c *ways.Case) { c.Known.Draws[7] = []float64{1} }},
		{"bad-posterior", func(c *ways.Case) { c.Known.Draws[7][0] = math.NaN() }},
		{"bad-posterior", func(c *ways.Case) { c.Known.Names = nil }},
		{"no-limit", func(c *ways.Case) { c.Held = nil }},
		{"no-limit", func(c *ways.Case) { c.Regrade[0].Held = nil }},
		{"unknown-characteristic", func(c *ways.Case) { c.Held[0].Name = "colour" }},
		{"unknown-characteristic", func(c *ways.Case) { c.Measure[0].Reads[0].Of = "colour" }},
		{"bad-limit", func(c *ways.Case) { c.Held[0].Limit = math.Inf(1) }},
		{"bad-rule", func(c *ways.Case) { c.Held[0].Decision = bed.Decision{} }},
		{"bad-rule", func(c *ways.Case) { c.Held[0].Decision = guard(0.51) }},
		{"bad-rule", func(c *ways.Case) { c.Overall = 1 }},
		{"bad-price", func(c *ways.Case) { c.Prices.Complaint = euro(-1) }},
		{"bad-price", func(c *ways.Case) { c.Prices.Scrap = euro(math.NaN()) }},
		{"bad-price", func(c *ways.Case) { c.Held[0].Beyond = euro(-1) }},
		{"bad-price", func(c *ways.Case) { c.Measure[0].Price = euro(-1) }},
		{"bad-reading", func(c *ways.Case) { c.Measure[0].Reads = nil }},
		{"bad-reading", func(c *ways.Case) { c.Measure[0].Reads[0].U = 0 }},
		{"bad-reading", func(c *ways.Case) { c.Measure[0].Reads[0].Common = 1 }},
		{"bad-cut", func(c *ways.Case) { c.Regrind[0].Depth = 0 }},
		{"bad-cut", func(c *ways.Case) { c.Regrind[0].Reserve = -1 }},
		{"bad-count", func(c *ways.Case) { c.Regrind[0].Succeeded = 47 }},
		{"same-way", func(c *ways.Case) { c.Regrade = append(c.Regrade, c.Regrade[0]) }},
		{"same-way", func(c *ways.Case) { c.Regrind = append(c.Regrind, c.Regrind[0]) }},
		{"same-way", func(c *ways.Case) { c.Measure = append(c.Measure, c.Measure[0]) }},
	} {
		in := mill(t)
		c.change(&in)
		_, err := ways.Advise(in)
		if tr := new(trouble.Trouble); !errors.As(err, &tr) || tr.Code != c.code || tr.Next == "" {
			t.Errorf("want %s, got %v", c.code, err)
		}
	}
	names := []string{"a", "b"}
	two := []float64{1, 1}
	for _, wrong := range [][][]float64{{{1, 2}, {2, 1}}, {{1, 0.1}, {0.2, 1}}, {{1}}, {{1, math.NaN()}, {math.NaN(), 1}}} {
		if _, err := ways.Normal(names, two, two, wrong, 200, 1); err == nil {
			t.Errorf("%v passes for correlations", wrong)
		}
	}
	if p, err := ways.Normal(names, two, two, [][]float64{{1, 1}, {1, 1}}, 200, 1); err != nil || p.Draws[5][0] != p.Draws[5][1] {
		t.Errorf("draws that are one: %v", err)
	}
	if _, err := mill(t).Known.WithPrior("colour", 0, 1); err == nil {
		t.Error("a prior of nothing known")
	}
}

// anyCase draws a case with all prices known.
func anyCase(t *rapid.T) ways.Case {
	number := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
	rho := number("correlation", -0.9, 0.9)
	p, err := ways.Normal([]string{"zone", "thickness"}, []float64{number("zone", 0.15, 0.35), number("thickness", 25.4, 25.9)},
		[]float64{number("u", 0.002, 0.05), 0.0125}, [][]float64{{1, rho}, {rho, 1}}, 400, rapid.Uint64().Draw(t, "seed"))
	if err != nil {
		t.Fatal(err)
	}
	rule := rapid.SampledFrom([]bed.Decision{simple, iso, {Rule: bed.RuleGuardBand, Risk: 0.2}}).Draw(t, "rule")
	thick := ways.Characteristic{Name: "thickness", Limit: 25.4, AtLeast: true, Decision: rule}
	tried := rapid.IntRange(1, 40).Draw(t, "tried")
	value := number("value", 100, 500)
	return ways.Case{Known: p, Held: []ways.Characteristic{{Name: "zone", Limit: 0.25, Decision: rule}, thick},
		Prices:  ways.Prices{Conforming: &value, Complaint: euro(number("complaint", 0, 5000)), Scrap: euro(number("scrap", -20, 50))},
		Measure: []ways.Remeasure{{Name: "dial", Reads: []ways.Reading{{Of: "zone", U: number("reading", 0.002, 0.05)}}, Times: rapid.IntRange(1, 4).Draw(t, "times"), Price: euro(number("price", 0, 30))}},
		Regrind: []ways.Recut{{Name: "cut", Depth: number("depth", 0.05, 0.3), Minutes: 10, MinutePrice: euro(number("minute", 0, 4)), Tried: tried, Succeeded: rapid.IntRange(0, tried).Draw(t, "succeeded")}},
		Regrade: []ways.Lower{{Name: "home", Value: euro(number("lower", 0, 400)), Held: []ways.Characteristic{{Name: "zone", Limit: 0.3, Decision: rule}, thick}}},
	}
}

// Invariants, with the mill's rule: what is recommended may be done, costs least of what may, and costs no more with a way added. Risks are
// probabilities. Without a rule a reading is never worth less than nothing, and a better one no less than a worse.
func TestInvariants(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyCase(t)
		a, err := ways.Advise(c)
		if err != nil {
			t.Fatal(err)
		}
		best := a.Ways[0]
		if a.Basis != ways.ByCost || !best.May || a.Chances.All < a.Chances.Low-1e-9 || a.Chances.All > a.Chances.High+1e-9 {
			t.Fatalf("%+v", a)
		}
		for _, o := range a.Ways {
			if o.May && *o.Cost < *best.Cost || o.Consumer < -1e-9 || o.Producer < -1e-9 || o.Risk() > 1+1e-9 {
				t.Fatalf("%+v before %+v", best, o)
			}
		}
		const rounding = 1e-7
		cost, worth := ways.AdviseUnruled(c)
		for _, fewer := range []func(*ways.Case){func(c *ways.Case) { c.Measure = nil }, func(c *ways.Case) { c.Regrind = nil }, func(c *ways.Case) { c.Regrade = nil }} {
			less := c
			fewer(&less)
			b, err := ways.Advise(less)
			if err != nil {
				t.Fatal(err)
			}
			if *best.Cost > *b.Ways[0].Cost+rounding {
				t.Fatalf("a way more costs %v instead of %v", *best.Cost, *b.Ways[0].Cost)
			}
			if without, _ := ways.AdviseUnruled(less); cost > without+rounding {
				t.Fatalf("without a rule a way more costs %v instead of %v", cost, without)
			}
		}
		better := c
		better.Measure = slices.Clone(c.Measure)
		better.Measure[0].Reads = []ways.Reading{{Of: "zone", U: c.Measure[0].Reads[0].U * rapid.Float64Range(0.2, 1).Draw(t, "better")}}
		_, more := ways.AdviseUnruled(better)
		if worth[0] < -rounding || more[0] < worth[0]-1e-3-1e-3*worth[0] {
			t.Fatalf("a reading is worth %v, a better one %v", worth[0], more[0])
		}
	})
}

// By risk, after a reading too: what may be shipped then is shipped, and no stone taken from it. Simple acceptance lets go where the
// mean to come lies within the limit, which has a closed form.
func TestAfterAReadingWhatMayBeShippedIsShipped(t *testing.T) {
	c := mill(t)
	c.Prices = ways.Prices{}
	c.Held[0].Decision = simple
	c.Known = joint(t, c.Known.Names, []float64{0.26, 25.7}, []float64{0.02, 0.03}, nil, 4000, 1)
	c.Measure[0].Times = 1
	look := of(t, advise(t, c), ways.Measure).Look
	s := 0.02 * 0.02 / math.Hypot(0.02, 0.006)
	want := chance.Cumulative((0.254 - 0.26) / s)
	i := slices.IndexFunc(look.Then, func(s ways.Share) bool { return s.Kind == ways.Ship })
	if i < 0 || math.Abs(look.Then[i].Share-want) > 0.03 || math.Abs(look.Changes-look.Then[i].Share) > 1e-9 {
		t.Errorf("%+v, changes %v, want shipped %v", look.Then, look.Changes, want)
	}
}

// A lower class costs the difference in value, and its own complaint (else the usual one) where the piece is bad there too.
func TestCostOfALowerClass(t *testing.T) {
	c := mill(t)
	c.Regrade[0].Held[0].Limit = 0.26
	o := of(t, advise(t, c), ways.Regrade)
	if want := 120 + 2600*o.Consumer; math.Abs(*o.Cost-want) > 1e-6 || o.Consumer < 0.1 || o.May {
		t.Errorf("cost %v, want %v at a consumer's risk of %v", *o.Cost, want, o.Consumer)
	}
	c.Regrade[0].Complaint = euro(500)
	if o := of(t, advise(t, c), ways.Regrade); math.Abs(*o.Cost-120-500*o.Consumer) > 1e-6 {
		t.Errorf("cost %v with a complaint of its own", *o.Cost)
	}
}

// Half of the draws conform: simple acceptance asks for no more, however the weights are rounded.
func TestRuleIsKeptAtItsVeryEdge(t *testing.T) {
	for n := 100; n < 2000; n += 94 {
		p := ways.Posterior{Names: []string{"zone"}}
		for i := range n {
			p.Draws = append(p.Draws, []float64{float64(i % 2)})
		}
		a := advise(t, ways.Case{Known: p, Held: []ways.Characteristic{{Name: "zone", Limit: 0.5, Decision: simple}}})
		if e := a.Chances.Each[0]; !e.Kept || !e.Close || a.Ways[0].Kind != ways.Ship {
			t.Errorf("%d draws: %+v", n, e)
		}
	}
}

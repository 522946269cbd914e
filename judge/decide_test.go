package judge_test

import (
	"fmt"
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"
	"slatewright/bed"
	"slatewright/chance"
	"slatewright/internal/truth"
	"slatewright/judge"
	"slatewright/measure"
)

var (
	simple = bed.Decision{Rule: bed.RuleSimple, Risk: bed.SimpleRisk}
	iso    = bed.Decision{Rule: bed.RuleISO14253, Risk: bed.ISO14253Risk}
)

func guardBand(risk float64) bed.Decision { return bed.Decision{Rule: bed.RuleGuardBand, Risk: risk} }

// upper is a characteristic with an upper limit.
func upper(value, u, limit float64) judge.Characteristic {
	return judge.Characteristic{Name: judge.Zone, Value: value, U: u, Limit: limit}
}

// agrees compares a published figure with ours, rounded to as many decimals.
func agrees(published, ours float64, decimals float64) bool {
	scale := math.Pow(10, decimals)
	return math.Round(ours*scale) == math.Round(published*scale)
}

// JCGM 106:2012, examples of 7.3 and 7.4 (from memory, see the truth): one lower limit, one upper limit, and two limits, whose
// probability is what both single ones leave of one.
func TestConformanceProbabilitiesOfJCGM106(t *testing.T) {
	list := truth.Conformances()
	if len(list) != 3 {
		t.Fatalf("%d examples", len(list))
	}
	for _, c := range list {
		p := 1.0
		for _, side := range []struct {
			limit float64
			least bool
		}{{c.Lower, true}, {c.Upper, false}} {
			if !math.IsInf(side.limit, 0) {
				r := judge.Decide(judge.Characteristic{Value: c.Estimate, U: c.U, Limit: side.limit, AtLeast: side.least}, simple)
				p -= 1 - r.Probability
			}
		}
		if !agrees(c.Published, p, 2) || math.Abs(p-c.Computed) > 1.01e-4 {
			t.Errorf("%s, %s: probability %.4f, published %v, computed %v", c.Source, c.Case, p, c.Published, c.Computed)
		}
		if agrees(c.Published, p+0.01, 2) {
			t.Errorf("%s: a probability that is off by 0.01 would pass", c.Case)
		}
	}
}

// ILAC G8:2019, table of guard bands: at the acceptance limit the risk is that of the row.
func TestGuardBandsOfILACG8(t *testing.T) {
	list := truth.Guards()
	if len(list) != 5 {
		t.Fatalf("%d rows", len(list))
	}
	const u, limit = 0.010, 0.508
	for _, g := range list {
		w := g.OverU * 2 * u
		at := judge.Decide(upper(limit-w, u, limit), simple)
		risk := 1 - at.Probability
		if math.Abs(risk-g.Computed) > 0.51e-4 || risk > g.Published+0.5e-4 {
			t.Errorf("%s: risk %.4f at the acceptance limit, published %v, computed %v", g.Rule, risk, g.Published, g.Computed)
		}
		if g.OverU == 0 {
			continue
		}
		r := judge.Decide(upper(limit-w, u, limit), guardBand(g.Computed))
		if math.Abs(r.Guard-w) > 2e-4*w {
			t.Errorf("%s: a consumer's risk of %v gives a guard band of %v, want %v", g.Rule, g.Computed, r.Guard, w)
		}
	}
}

// ISO 14253-1:2017 prints 1.65; the factor used is the normal quantile of 0.95.
func TestFactorOfISO14253(t *testing.T) {
	g := judge.Factor(iso)
	if g != truth.ISO14253Quantile || math.Abs(g-truth.ISO14253Published) > 0.0052 {
		t.Errorf("factor %v", g) // the standard rounds upwards
	}
	if q := chance.Quantile(0.95); math.Abs(q-g) > 5e-7 {
		t.Errorf("the quantile of 0.95 is %v", q)
	}
	if judge.Factor(simple) != 0 || judge.Factor(guardBand(0.05)) != chance.Quantile(0.95) {
		t.Error("factors of the other rules")
	}
}

// Constructed: a limit of 0.508 mm, u = 0.010 mm, guard 1.645 u; probabilities from a table of the normal distribution.
func TestConstructedRulings(t *testing.T) {
	cases := []struct {
		value, probability float64
		want               judge.Verdict
	}{
		{0.5000, 0.78814, judge.CannotTell},
		{0.4800, 0.99744, judge.Conforms},
		{0.4915, 0.95053, judge.Conforms},
		{0.5300, 0.01390, judge.DoesNotConform},
	}
	for _, c := range cases {
		r := judge.Decide(upper(c.value, 0.010, 0.508), iso)
		if r.Verdict != c.want || math.Abs(r.Probability-c.probability) > 0.51e-4 {
			t.Errorf("%v: %v with %v, want %v with %v", c.value, r.Verdict, r.Probability, c.want, c.probability)
		}
		if r.Guard != 0.016449 || r.Accept != 0.491551 || r.Reject != 0.524449 {
			t.Errorf("guard %v, accept %v, reject %v", r.Guard, r.Accept, r.Reject)
		}
		if m := 0.491551 - c.value; math.Abs(r.Margin-m) > 1e-9 {
			t.Errorf("margin %v, want %v", r.Margin, m)
		}
	}
}

// On the edges of the zones: the acceptance limit is inside, the rejection limit is not yet outside; 1e-6 mm further it changes.
func TestEdgesOfTheZones(t *testing.T) {
	c := upper(0.491551, 0.010, 0.508)
	c.Lean = 0.003
	for value, want := range map[float64]judge.Verdict{
		0.491551: judge.Conforms, 0.491552: judge.CannotTell, 0.527449: judge.CannotTell, 0.527450: judge.DoesNotConform,
	} {
		c.Value = value
		if r := judge.Decide(c, iso); r.Verdict != want {
			t.Errorf("%.6f: %v, want %v", value, r.Verdict, want)
		}
	}
	thick := judge.Characteristic{Name: judge.Thickness, U: 0.010, Limit: 25.4, Lean: 0.02, AtLeast: true}
	for value, want := range map[float64]judge.Verdict{
		25.416449: judge.Conforms, 25.416448: judge.CannotTell, 25.363551: judge.CannotTell, 25.363550: judge.DoesNotConform,
	} {
		thick.Value = value
		if r := judge.Decide(thick, iso); r.Verdict != want {
			t.Errorf("thickness %.6f: %v, want %v", value, r.Verdict, want)
		}
	}
}

func TestSimpleAcceptanceHasNoBetween(t *testing.T) {
	c := upper(0.508, 0.2, 0.508)
	c.Lean = 0.1
	if r := judge.Decide(c, simple); r.Verdict != judge.Conforms || r.Probability != 0.5 || r.Guard != 0 {
		t.Errorf("at the limit: %+v", r)
	}
	c.Value = 0.508001
	if r := judge.Decide(c, simple); r.Verdict != judge.DoesNotConform {
		t.Errorf("just beyond the limit: %+v", r)
	}
}

func TestWithoutUncertainty(t *testing.T) {
	for value, want := range map[float64]float64{0.5: 1, 0.508: 1, 0.509: 0} {
		r := judge.Decide(upper(value, 0, 0.508), iso)
		if r.Probability != want || (r.Verdict == judge.Conforms) != (want == 1) || r.Verdict == judge.CannotTell {
			t.Errorf("%v: %+v", value, r)
		}
	}
}

// Decide rounds first: what is sealed with six decimals decides the same.
func TestDecidedFromRoundedNumbers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, d := drawn(t), rule(t)
		r := judge.Decide(c, d)
		if n, bad := rounded("", reflect.ValueOf(r)); n != 9 || len(bad) > 0 {
			t.Fatalf("of %d numbers these are not rounded: %q", n, bad)
		}
		if again := judge.Decide(r.Characteristic, d); again != r {
			t.Fatalf("decided again from the sealed numbers: %+v, was %+v", again, r)
		}
	})
}

// rounded counts the numbers in v and lists those that are not rounded as they are sealed: lengths to 1e-6 mm, probabilities to
// 1e-4.
func rounded(name string, v reflect.Value) (n int, bad []string) {
	each := func(name string, v reflect.Value) {
		m, more := rounded(name, v)
		n, bad = n+m, append(bad, more...)
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			each(v.Type().Field(i).Name, v.Field(i))
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			each(name, v.Index(i))
		}
	case reflect.Float64:
		decimals := 6
		if name == "Probability" {
			decimals = 4
		}
		if n = 1; measure.Round(v.Float(), decimals) != v.Float() {
			bad = append(bad, fmt.Sprintf("%s is %v", name, v.Float()))
		}
	}
	return n, bad
}

func TestRoundingIsSeen(t *testing.T) {
	r := judge.Judgement{Findings: []judge.Finding{{Read: 0.1234567}}, Gaps: [3]float64{0.0000001, 1, 2}}
	r.Findings[0].Probability = 0.99999
	if n, bad := rounded("", reflect.ValueOf(r)); n != 17 || len(bad) != 3 {
		t.Errorf("of %d numbers these are not rounded: %q", n, bad)
	}
}

func drawn(t *rapid.T) judge.Characteristic {
	return judge.Characteristic{
		Name:  judge.Zone,
		Value: rapid.Float64Range(0, 1).Draw(t, "value"), U: rapid.Float64Range(0, 0.2).Draw(t, "u"), Limit: rapid.Float64Range(0, 1).Draw(t, "limit"),
		Lean: rapid.Float64Range(0, 0.05).Draw(t, "lean"), AtLeast: rapid.Bool().Draw(t, "at least"),
	}
}

func rule(t *rapid.T) bed.Decision {
	return rapid.SampledFrom([]bed.Decision{simple, iso, guardBand(0.02), guardBand(0.3)}).Draw(t, "rule")
}

// A worse value, or a stricter limit, never gives a better verdict or a larger probability.
func TestMonotoneInValueAndLimit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, d := drawn(t), rule(t)
		more := rapid.Float64Range(0, 0.5).Draw(t, "more")
		bad := 1.0
		if c.AtLeast {
			bad = -1
		}
		r := judge.Decide(c, d)
		worse, stricter := c, c
		worse.Value += bad * more
		stricter.Limit -= bad * more
		for _, o := range []judge.Ruling{judge.Decide(worse, d), judge.Decide(stricter, d)} {
			if o.Verdict < r.Verdict || o.Probability > r.Probability || o.Margin > r.Margin {
				t.Fatalf("%+v is better than %+v", o, r)
			}
		}
	})
}

// Less uncertainty, and less lean, never take a proof away.
func TestMonotoneInUncertainty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, d := drawn(t), rule(t)
		r := judge.Decide(c, d)
		surer, straighter := c, c
		surer.U *= rapid.Float64Range(0, 1).Draw(t, "share of u")
		straighter.Lean *= rapid.Float64Range(0, 1).Draw(t, "share of lean")
		for _, o := range []judge.Ruling{judge.Decide(surer, d), judge.Decide(straighter, d)} {
			if r.Verdict != judge.CannotTell && o.Verdict != r.Verdict {
				t.Fatalf("%+v was proven, and then %+v", r, o)
			}
		}
	})
}

// The share of conforming values that are accepted although a true value at the limit was measured with error u is the consumer's
// risk: drawn, not computed.
func TestRiskAtTheLimitByDrawing(t *testing.T) {
	const u, limit = 0.010, 0.508
	n := 20000
	if testing.Short() {
		n = 4000
	}
	for _, risk := range []float64{0.02, 0.05, 0.2} {
		draw, accepted := chance.NewStream(7), 0
		for range n {
			if judge.Decide(upper(limit+u*draw.Normal(), u, limit), guardBand(risk)).Verdict == judge.Conforms {
				accepted++
			}
		}
		got, sd := float64(accepted)/float64(n), math.Sqrt(risk*(1-risk)/float64(n))
		if math.Abs(got-risk) > 4*sd {
			t.Errorf("risk %v: %v accepted", risk, got)
		}
	}
}

func TestVerdictWords(t *testing.T) {
	for v, words := range map[judge.Verdict]string{judge.Conforms: "conforms", judge.DoesNotConform: "does not conform", judge.CannotTell: "cannot tell"} {
		if back, ok := judge.VerdictOf(words); v.String() != words || !ok || back != v {
			t.Errorf("%d is %q, which is %v, %v", v, v, back, ok)
		}
	}
	for _, wrong := range []string{"", "Conforms", "pass"} {
		if v, ok := judge.VerdictOf(wrong); ok || v != 0 {
			t.Errorf("%q is the verdict %v", wrong, v)
		}
	}
}

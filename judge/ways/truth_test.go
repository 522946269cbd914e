package ways_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"
	"slatewright/bed"
	"slatewright/chance"
	"slatewright/internal/truth"
	"slatewright/judge"
	"slatewright/judge/ways"
)

var (
	simple = bed.Decision{Rule: bed.RuleSimple, Risk: bed.SimpleRisk}
	iso    = bed.Decision{Rule: bed.RuleISO14253, Risk: bed.ISO14253Risk}
)

func euro(v float64) *float64 { return &v }

// normal is a posterior of one zone.
func normal(t testing.TB, mean, u float64, n int, seed uint64) ways.Posterior {
	t.Helper()
	return joint(t, []string{"zone"}, []float64{mean}, []float64{u}, nil, n, seed)
}

func joint(t testing.TB, names []string, mean, u []float64, correlation [][]float64, n int, seed uint64) ways.Posterior {
	t.Helper()
	p, err := ways.Normal(names, mean, u, correlation, n, seed)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func advise(t testing.TB, c ways.Case) ways.Advice {
	t.Helper()
	a, err := ways.Advise(c)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// of returns the outcome of a kind of way.
func of(t testing.TB, a ways.Advice, kind ways.Kind) ways.Outcome {
	t.Helper()
	for _, o := range a.Ways {
		if o.Kind == kind {
			return o
		}
	}
	t.Fatalf("no way is to %s", kind)
	return ways.Outcome{}
}

func density(z float64) float64 { return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) }

// unitLoss is the unit normal loss integral, E max(Z − d, 0) for a standard normal Z: φ(d) − d(1 − Φ(d)). Values to compare
// with: 0.3989 at 0, 0.0833 at 1, 0.0085 at 2 (table in Schlaifer, Probability and Statistics for Business Decisions, 1959, from
// memory; they are worked out again by the formula).
func unitLoss(d float64) float64 { return density(d) - d*chance.Cumulative(-d) }

func TestUnitLossIsThePrintedOne(t *testing.T) {
	for d, want := range map[float64]float64{0: 0.3989, 1: 0.0833, 2: 0.0085} {
		if got := unitLoss(d); math.Abs(got-want) > 0.5e-4 {
			t.Errorf("loss integral at %v: %.5f, printed %v", d, got, want)
		}
	}
}

// JCGM 106:2012, the examples of 7.3 and 7.4: the probability from draws agrees with the published one.
func TestConformanceProbabilitiesOfJCGM106(t *testing.T) {
	list := truth.Conformances()
	if len(list) != 3 {
		t.Fatalf("%d examples", len(list))
	}
	for _, c := range list {
		in := ways.Case{Known: normal(t, c.Estimate, c.U, 40000, 7)}
		if !math.IsInf(c.Lower, 0) {
			in.Held = append(in.Held, ways.Characteristic{Name: "zone", Limit: c.Lower, AtLeast: true, Decision: simple})
		}
		if !math.IsInf(c.Upper, 0) {
			in.Held = append(in.Held, ways.Characteristic{Name: "zone", Limit: c.Upper, Decision: simple})
		}
		got := advise(t, in).Chances
		if math.Abs(got.All-c.Computed) > 4*got.SE || math.Abs(got.All-c.Published) > 0.005+4*got.SE {
			t.Errorf("%s: %.4f ± %.4f, published %v, computed %v", c.Case, got.All, got.SE, c.Published, c.Computed)
		}
		if got.SE > 0.003 {
			t.Errorf("%s: the check is blunt, standard error %v", c.Case, got.SE)
		}
	}
}

// The rule on a posterior is the guard band of package judge wherever the draws can tell, for any estimate, uncertainty and rule.
func TestRuleIsThatOfJudge(t *testing.T) {
	told := 0
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.SampledFrom([]bed.Decision{simple, iso, {Rule: bed.RuleGuardBand, Risk: 0.01}, {Rule: bed.RuleGuardBand, Risk: 0.2}}).Draw(t, "rule")
		least := rapid.Bool().Draw(t, "least")
		value, u := rapid.Float64Range(0.4, 0.6).Draw(t, "value"), rapid.Float64Range(0.001, 0.1).Draw(t, "u")
		ruling := judge.Decide(judge.Characteristic{Value: value, U: u, Limit: 0.5, AtLeast: least}, d)
		p, err := ways.Normal([]string{"zone"}, []float64{ruling.Value}, []float64{ruling.U}, nil, 2000, 3)
		if err != nil {
			t.Fatal(err)
		}
		a, err := ways.Advise(ways.Case{Known: p, Held: []ways.Characteristic{{Name: "zone", Limit: 0.5, AtLeast: least, Decision: d}}})
		if err != nil {
			t.Fatal(err)
		}
		each := a.Chances.Each[0]
		if math.Abs(each.Probability-each.Asked) < 4*each.SE {
			return // the draws cannot tell, and say so: Close
		}
		told++
		if each.Kept != (ruling.Verdict == judge.Conforms) {
			t.Fatalf("probability %v, asked %v; judge says %v", each.Probability, each.Asked, ruling.Verdict)
		}
	})
	if told < 20 {
		t.Errorf("only %d cases were told", told)
	}
}

// Expected costs of shipping against closed forms: a flat complaint times the probability, and one that grows beyond the limit by the unit
// normal loss integral. The Monte-Carlo standard error is right: over 200 seeds its 95 % intervals hold the truth 95 times in 100,
// within the binomial 99.9 %.
func TestCostOfShippingIsTheClosedForm(t *testing.T) {
	const mean, u, limit, complaint, beyond, seeds = 0.47, 0.03, 0.5, 2600.0, 9000.0, 200
	z := (limit - mean) / u
	for _, c := range []struct {
		name  string
		extra *float64
		want  float64
	}{{"flat", nil, complaint * chance.Cumulative(-z)}, {"growing", euro(beyond), complaint*chance.Cumulative(-z) + beyond*u*unitLoss(z)}} {
		held := 0
		for seed := range uint64(seeds) {
			a := advise(t, ways.Case{Known: normal(t, mean, u, 1000, seed), Prices: ways.Prices{Complaint: euro(complaint)},
				Held: []ways.Characteristic{{Name: "zone", Limit: limit, Decision: simple, Beyond: c.extra}}})
			o := of(t, a, ways.Ship)
			held += map[bool]int{true: 1}[math.Abs(*o.Cost-c.want) < 1.96*o.CostSE]
		}
		if held < 179 || held > 198 { // binomial(200, 0.95), 0.05 % to each side
			t.Errorf("%s complaint: %d of %d intervals hold the closed form %.2f", c.name, held, seeds, c.want)
		}
	}
}

// Raiffa and Schlaifer 1961, two acts with linear costs and a normal prior: the expected value of a reading is slope·s·L(|d|/s), with s
// the standard deviation of the mean to come, s² = v⁴/(v² + u²), d the distance of the mean from where both acts cost the same, and L the
// unit normal loss integral. Quantiles serve as draws, so that nothing but the integration is in the difference.
func TestWorthOfAReadingIsTheClosedForm(t *testing.T) {
	const n, sd = 4000, 0.02
	for _, c := range []struct{ mean, even, u float64 }{{0.24, 0.25, 0.01}, {0.24, 0.24, 0.02}, {0.26, 0.25, 0.004}, {0.2, 0.25, 0.03}, {0.25, 0.26, 0.1}} {
		draws := make([]float64, n)
		for i := range draws {
			draws[i] = c.mean + sd*chance.Quantile((float64(i)+0.5)/n)
		}
		s := sd * sd / math.Sqrt(sd*sd+c.u*c.u)
		want := 1000 * s * unitLoss(math.Abs(c.mean-c.even)/s)
		got := ways.LinearWorth(draws, 1000, c.even, c.u, false)
		if math.Abs(got-want) > 0.002*1000*sd*unitLoss(0) {
			t.Errorf("%+v: worth %.5f, closed form %.5f", c, got, want)
		}
		if drawn := ways.LinearWorth(draws, 1000, c.even, c.u, true); math.Abs(drawn-want) > 0.1*1000*sd*unitLoss(0) || drawn < 0 {
			t.Errorf("%+v: worth by drawn readings %.5f, closed form %.5f", c, drawn, want)
		}
		if wrong := 1000 * sd * unitLoss(math.Abs(c.mean-c.even)/sd); math.Abs(wrong-want) < 0.002*1000*sd*unitLoss(0) && c.u > 0.003 {
			t.Errorf("%+v: a formula with the prior's spread would pass", c)
		}
	}
}

// The worth of a reading under the mill's rule, by brute force: true values and readings are drawn, each posterior is the exact normal
// one, and the decision is taken by it. Repeated readings, a common part of the error, and two characteristics at once.
func TestWorthUnderTheRuleIsThatOfBruteForce(t *testing.T) {
	const value, scrap = 420.0, 20.0
	limits := []float64{0.25, 0.3}
	mean, sd := []float64{0.24, 0.28}, []float64{0.02, 0.015}
	for _, c := range []struct {
		name      string
		reads     []ways.Reading
		times     int
		complaint float64
	}{
		{"once", []ways.Reading{{Of: "zone", U: 0.012}}, 0, 2600},
		{"once, where scrap is often cheaper than what the rule allows", []ways.Reading{{Of: "zone", U: 0.012}}, 0, 60000},
		{"three times", []ways.Reading{{Of: "zone", U: 0.012}}, 3, 2600},
		{"three times with a common error", []ways.Reading{{Of: "zone", U: 0.012, Common: 0.008}}, 3, 2600},
		{"both", []ways.Reading{{Of: "zone", U: 0.012}, {Of: "step", U: 0.009}}, 1, 2600},
	} {
		two := len(c.reads) == 2
		names := []string{"zone", "step"}[:len(c.reads)]
		var held []ways.Characteristic
		for j, n := range names {
			held = append(held, ways.Characteristic{Name: n, Limit: limits[j], Decision: iso})
		}
		a := advise(t, ways.Case{Known: joint(t, names, mean[:len(names)], sd[:len(names)], nil, 6000, 5), Held: held, Seed: 11,
			Prices:  ways.Prices{Conforming: euro(value), Complaint: euro(c.complaint), Scrap: euro(scrap)},
			Measure: []ways.Remeasure{{Name: "dial", Reads: c.reads, Times: c.times, Price: euro(0)}}})
		got := of(t, a, ways.Measure)
		want, se := bruteForce(c.reads, c.times, mean, sd, limits, c.complaint, value-scrap)
		if off := math.Abs(*got.Cost - want); off > 4*math.Hypot(se, got.CostSE)+map[bool]float64{true: 0.02 * want}[two] {
			t.Errorf("%s: cost after the reading %.2f ± %.2f, by brute force %.2f ± %.2f", c.name, *got.Cost, got.CostSE, want, se)
		}
		if worth := *got.Look.Worth; math.Abs(worth-(value-scrap-*got.Cost)) > 1e-6 { // it may not be shipped now, so scrap is the alternative
			t.Errorf("%s: worth %.3f, cost %.3f", c.name, worth, *got.Cost)
		}
	}
}

// bruteForce is the mean cost of ship-or-scrap after a reading, over 200,000 drawn pieces.
func bruteForce(reads []ways.Reading, times int, mean, sd, limits []float64, complaint, scrapped float64) (cost, se float64) {
	const n = 200000
	s := chance.NewStream(99)
	square := 0.0
	for range n {
		all, good, may := 1.0, true, true
		for j, r := range reads {
			truth := mean[j] + sd[j]*s.Normal()
			common := r.Common * s.Normal()
			read, k := 0.0, max(times, 1)
			for range k {
				read += (truth + common + math.Sqrt(r.U*r.U-r.Common*r.Common)*s.Normal()) / float64(k)
			}
			u2 := r.Common*r.Common + (r.U*r.U-r.Common*r.Common)/float64(k)
			v2 := sd[j] * sd[j]
			m, v := (mean[j]*u2+read*v2)/(u2+v2), math.Sqrt(u2*v2/(u2+v2))
			p := chance.Cumulative((limits[j] - m) / v)
			all, good, may = all*p, good && truth <= limits[j], may && p >= 0.95
		}
		c := scrapped
		if may && complaint*(1-all) < scrapped {
			c = map[bool]float64{false: complaint}[good]
		}
		cost += c / n
		square += c * c / n
	}
	return cost, math.Sqrt((square - cost*cost) / n)
}

// A prior spread on draws that know only the reading gives the normal posterior of both.
func TestPriorIsBayes(t *testing.T) {
	p, err := normal(t, 0.26, 0.02, 20000, 4).WithPrior("zone", 0.22, 0.015)
	if err != nil {
		t.Fatal(err)
	}
	v, u := 0.015*0.015, 0.02*0.02
	m, s := (0.22*u+0.26*v)/(u+v), math.Sqrt(u*v/(u+v))
	got := advise(t, ways.Case{Known: p, Held: []ways.Characteristic{{Name: "zone", Limit: 0.245, Decision: simple}}}).Chances
	if want := chance.Cumulative((0.245 - m) / s); math.Abs(got.All-want) > 4*got.SE || got.SE > 0.01 {
		t.Errorf("probability %.4f ± %.4f, by formula %.4f", got.All, got.SE, want)
	}
}

// The posterior mean and the interval of the success share against a plain sum over shares.
func TestSuccessIsTheBetaPosterior(t *testing.T) {
	c := mill(t)
	c.Regrind[0].Succeeded, c.Regrind[0].Tried = 9, 11
	got := of(t, advise(t, c), ways.Regrind).Cut
	const n = 2000000
	var sum, mean, below5, below95 float64
	for i := range n {
		p := (float64(i) + 0.5) / n
		w := math.Pow(p, 8.5) * math.Pow(1-p, 1.5)
		sum, mean = sum+w, mean+w*p
		if p < got.Succeeds05 {
			below5 += w
		}
		if p < got.Succeeds95 {
			below95 += w
		}
	}
	if math.Abs(got.Succeeds-mean/sum) > 1e-6 || math.Abs(below5/sum-0.05) > 1e-5 || math.Abs(below95/sum-0.95) > 1e-5 {
		t.Errorf("share %.6f (%.4f to %.4f), by summing %.6f with %.6f and %.6f below", got.Succeeds, got.Succeeds05, got.Succeeds95, mean/sum, below5/sum, below95/sum)
	}
}

// Characteristics given by quantiles keep them, and their ranks go together as a Gaussian copula says: with correlation ρ both of two
// lie below their medians with probability ¼ + asin(ρ)/2π (Sheppard 1899).
func TestJointKeepsQuantilesAndRanks(t *testing.T) {
	const rho = 0.6
	exponential := func(p float64) float64 { return -0.1 * math.Log1p(-p) }
	uniform := func(p float64) float64 { return 25 + p }
	p, err := ways.Joint([]string{"zone", "thickness"}, []func(float64) float64{exponential, uniform}, [][]float64{{1, rho}, {rho, 1}}, 20000, 8)
	if err != nil {
		t.Fatal(err)
	}
	got := advise(t, ways.Case{Known: p, Held: []ways.Characteristic{{Name: "zone", Limit: exponential(0.5), Decision: simple}, {Name: "thickness", Limit: 25.5, Decision: simple}}}).Chances
	want := 0.25 + math.Asin(rho)/(2*math.Pi)
	if math.Abs(got.All-want) > 4*got.SE || math.Abs(got.Each[0].Probability-0.5) > 0.015 || math.Abs(got.Each[1].Probability-0.5) > 0.015 {
		t.Errorf("%+v, want %v together", got, want)
	}
}

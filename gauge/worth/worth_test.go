package worth_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatewright/chance"
	"slatewright/gauge/worth"
	"slatewright/internal/truth"
	"slatewright/sheet"
	"slatewright/trouble"
)

// both is P(X ≤ h, Y ≤ k) of two standard normal variables with correlation r, by R. L. Plackett's integral over the angle (Biometrika
// 41, 1954), a closed form with one smooth integrand: another way than the one of the package, which integrates over the true value.
func both(h, k, r float64) float64 {
	const steps = 4000
	top, sum := math.Asin(r), 0.0
	for i := range steps { // closer together towards the top, where a correlation near 1 bends the integrand
		rest := 1 - (float64(i)+0.5)/steps
		c := math.Cos(top * (1 - rest*rest*rest*rest))
		sine := math.Sqrt(1 - c*c)
		sum += math.Exp(-(h*h+k*k-2*h*k*sine)/(2*c*c)) * top * 4 * rest * rest * rest / steps
	}
	return chance.Cumulative(h)*chance.Cumulative(k) + sum/(2*math.Pi)
}

func asked(t interface{ Fatal(...any) }, q worth.Question) *worth.Answer {
	a, err := worth.Ask(q)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func one(shape worth.Shape, mean, sd, limit, u, guard float64) worth.Question {
	return worth.Question{Limit: limit, Truth: worth.Truth{Shape: shape, Mean: mean, SD: sd}, Instruments: []worth.Instrument{{Name: "x", U: u, Guard: guard, Owned: true}}}
}

func TestNormalPiecesHaveAClosedForm(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mean, sd := rapid.Float64Range(-1, 1).Draw(t, "mean"), rapid.Float64Range(0.05, 2).Draw(t, "sd")
		limit, u, guard := rapid.Float64Range(0.1, 1).Draw(t, "limit"), rapid.Float64Range(0.005, 1).Draw(t, "u"), rapid.Float64Range(-2, 3).Draw(t, "guard")
		r := asked(t, one(worth.Normal, mean, sd, limit, u, guard)).Assessments[0].Risk
		read := math.Hypot(sd, u)
		h, k := (limit-mean)/sd, (limit-guard*u-mean)/read
		good := both(h, k, sd/read) // good and accepted
		for name, pair := range map[string][2]float64{"accepted": {r.Accepted, chance.Cumulative(k)}, "bad": {r.Bad, chance.Cumulative(-h)},
			"false accept": {r.FalseAccept, chance.Cumulative(k) - good}, "false reject": {r.FalseReject, chance.Cumulative(h) - good}} {
			if math.Abs(pair[0]-pair[1]) > 1e-6 {
				t.Fatalf("%s: %.9g, closed form %.9g", name, pair[0], pair[1])
			}
		}
	})
}

// Drawn pieces and readings, a lognormal spread: shares within four standard errors.
func TestLognormalPiecesBySimulation(t *testing.T) {
	const mean, sd, limit, u, guard, n = 0.2, 0.06, 0.25, 0.03, 0.7, 400000
	a := asked(t, one(worth.Lognormal, mean, sd, limit, u, guard)).Assessments[0]
	s, sigma := chance.NewStream(9), math.Sqrt(math.Log1p(sd*sd/mean/mean))
	var accepted, falseAccept, falseReject float64
	for range n {
		v := math.Exp(math.Log(mean) - sigma*sigma/2 + sigma*s.Normal())
		pass := v+u*s.Normal() <= limit-guard*u
		if pass {
			accepted++
		}
		if pass && v > limit {
			falseAccept++
		}
		if !pass && v <= limit {
			falseReject++
		}
	}
	for name, pair := range map[string][2]float64{"accepted": {a.Risk.Accepted, accepted / n}, "false accept": {a.Risk.FalseAccept, falseAccept / n},
		"false reject": {a.Risk.FalseReject, falseReject / n}, "bad among accepted": {a.Risk.BadAmongAccepted, falseAccept / accepted}} {
		if within := 4 * math.Sqrt(pair[0]/n); math.Abs(pair[0]-pair[1]) > within {
			t.Errorf("%s: %g, drawn %g ± %g", name, pair[0], pair[1], within)
		}
	}
	if math.Abs(a.Accept-(limit-guard*u)) > 1e-15 {
		t.Errorf("accepted up to %g", a.Accept)
	}
}

// With a spread far wider than the doubt nothing is known but the reading: the examples of JCGM 106:2012, 7.3, with an upper limit.
func TestConformanceExamples(t *testing.T) {
	seen := 0
	for _, c := range truth.Conformances() {
		if !math.IsInf(c.Lower, -1) {
			continue
		}
		seen++
		q := one(worth.Normal, c.Estimate, 1e4*c.U, c.Upper+100, c.U, 0)
		q.Limit = c.Upper
		if got := q.Conforms(q.Instruments[0], c.Estimate); math.Abs(got-c.Published) > 0.005 || math.Abs(got-c.Computed) > 1e-4 {
			t.Errorf("%s: %.6f, published %g, computed %g", c.Case, got, c.Published, c.Computed)
		}
	}
	if seen == 0 {
		t.Fatal("no example has an upper limit only")
	}
}

// A normal prior and a normal reading make a normal posterior: the closed form.
func TestPosteriorOfNormalPieces(t *testing.T) {
	const mean, sd, limit, u, read = 0.2, 0.04, 0.25, 0.036, 0.27
	q := one(worth.Normal, mean, sd, limit, u, 0)
	w := sd * sd / (sd*sd + u*u)
	want := chance.Cumulative((limit - (mean + w*(read-mean))) / (math.Sqrt(w) * u))
	if got := q.Conforms(q.Instruments[0], read); math.Abs(got-want) > 1e-8 {
		t.Errorf("%.10g, want %.10g", got, want)
	}
}

func priced() worth.Question {
	return worth.Question{Limit: 0.25, Truth: worth.Truth{Shape: worth.Lognormal, Mean: 0.2, SD: 0.04, N: 120}, Seed: 1,
		Instruments: []worth.Instrument{{Name: "edge", U: 0.036, Owned: true, Reading: 2}, {Name: "dial", U: 0.0125, Reading: 3, Price: 4000, Years: 8}, {Name: "worse", U: 0.05, Reading: 2}},
		Prices:      &worth.Prices{FalseAccept: 900, FalseReject: 150, Pieces: 3000}}
}

func TestMoneyAddsUp(t *testing.T) {
	q := priced()
	a := asked(t, q)
	if a.Baseline != 0 || a.Best != 1 {
		t.Fatalf("baseline %d, best %d", a.Baseline, a.Best)
	}
	for i, s := range a.Assessments {
		perPiece := s.Risk.FalseAccept*900 + s.Risk.FalseReject*150 + s.Reading
		yearly := 0.0
		if s.Price > 0 {
			yearly = s.Price / s.Years
		}
		if m := s.Money; math.Abs(m.PerPiece.Value-perPiece) > 1e-9 || math.Abs(m.PerYear.Value-3000*perPiece-yearly) > 1e-6 ||
			math.Abs(m.Worth.Value-(a.Assessments[0].Money.PerYear.Value-m.PerYear.Value)) > 1e-6 || !(m.PerPiece.Low < m.PerPiece.High) {
			t.Errorf("%d: %+v", i, m)
		}
	}
	dial := a.Assessments[1].Money
	if !(dial.Worth.Low > 0) || !math.IsNaN(a.Assessments[2].Money.BreakEven) || !math.IsNaN(a.Assessments[0].Money.BreakEven) || !(a.Perfect > dial.Worth.Value) {
		t.Errorf("%+v, perfect %g", dial, a.Perfect)
	}
	// At the break-even number of pieces the dial is worth nothing.
	q.Prices = &worth.Prices{FalseAccept: 900, FalseReject: 150, Pieces: dial.BreakEven}
	if again := asked(t, q); math.Abs(again.Assessments[1].Money.Worth.Value) > 1e-6 {
		t.Errorf("worth %g at %g pieces", again.Assessments[1].Money.Worth.Value, dial.BreakEven)
	}
}

// No other guard band costs less than the one that is called best.
func TestTheBestGuardCostsLeast(t *testing.T) {
	q := priced()
	for i, s := range asked(t, q).Assessments {
		best := s.Money
		for _, step := range []float64{-0.3, -0.05, 0, 0.05, 0.3} {
			q.Instruments[i].Guard = best.BestGuard + step
			got := asked(t, q).Assessments[i].Money.PerPiece.Value
			if step == 0 && math.Abs(got-best.AtBest) > 1e-9 || step != 0 && got <= best.AtBest {
				t.Errorf("%s: guard %g%+g costs %.9g, the best %.9g", s.Name, best.BestGuard, step, got, best.AtBest)
			}
		}
	}
}

// The interval of the mill's own share of bad pieces holds the truth nearly nine times in ten: with 60 pieces the bootstrap is a little short.
func TestIntervalsHoldTheTruth(t *testing.T) {
	const mean, sd, limit, n = 0.2, 0.05, 0.25, 200
	sigma := math.Sqrt(math.Log1p(sd * sd / mean / mean))
	bad := chance.Cumulative(-(math.Log(limit) - math.Log(mean) + sigma*sigma/2) / sigma)
	held := 0
	for k := range n {
		s := chance.NewStream(uint64(k))
		sample := make([]float64, 60)
		for i := range sample {
			sample[i] = math.Exp(math.Log(mean)-sigma*sigma/2+sigma*s.Normal()) + 0.012*s.Normal()
		}
		q := one(worth.Lognormal, 0, 0, limit, 0.02, 0)
		q.Truth, q.Seed = worth.Truth{Shape: worth.Lognormal, Sample: sample, SampleU: 0.012}, uint64(k)
		if b := asked(t, q).Bad; b.Low <= bad && bad <= b.High {
			held++
		}
	}
	t.Logf("held %d of %d", held, n)
	if held < 165 || held > 195 {
		t.Errorf("the interval of the share of bad pieces holds the truth in %d of %d", held, n)
	}
}

func TestSamplesAndWarnings(t *testing.T) {
	q := one(worth.AsRead, 0, 0, 0.25, 0.02, 0)
	q.Truth.Sample = []float64{0.1, 0.2, 0.3, 0.2, 0.2, 0.15}
	a := asked(t, q)
	if math.Abs(a.Bad.Value-1.0/6) > 1e-12 || len(a.Warnings) < 3 {
		t.Errorf("%+v", a)
	}
	q.Truth.SampleU = 0.2
	if a = asked(t, q); a.Bad.Value != 0 || !strings.Contains(strings.Join(a.Warnings, "\n"), "no more than its own reading errors") {
		t.Errorf("%+v", a)
	}
	q = one(worth.Normal, 0.2, 0.04, 0.25, 0.02, 0)
	q.Instruments[0].DoF, q.Instruments[0].Owned = 5, false
	if a = asked(t, q); a.Baseline != -1 || !(a.Assessments[0].BadAmongAccepted.Low < a.Assessments[0].BadAmongAccepted.High) || a.Bad.High-a.Bad.Low > 1e-12 {
		t.Errorf("%+v", a)
	}
}

const file = `# limit: 0.25 mm
# truth: 0.20 mm sd 40 um n 120
# shape: Lognormal
# guard: 1.645
# pieces a year: 3000
# false accept: 900
# false reject: 150
# money: crowns
# colour: red
instrument,u_um,owned,reading,price,years,guard,dof
edge,36,yes,2,,,,
dial,12.5,no,3,4000,8,0,20
`

func TestReadingAQuestion(t *testing.T) {
	read := func(text string) (worth.Question, error) {
		s, err := sheet.Read("w.csv", strings.NewReader(text))
		if err != nil {
			return worth.Question{}, err
		}
		return worth.Read(s)
	}
	q, err := read(file)
	if err != nil || q.Limit != 0.25 || q.Truth.Mean != 0.2 || q.Truth.SD != 0.04 || q.Truth.N != 120 || q.Prices.Money != "crowns" || len(q.Warnings) != 1 {
		t.Fatalf("%+v, %v", q, err)
	}
	if in := q.Instruments; in[0] != (worth.Instrument{Name: "edge", U: 0.036, Guard: 1.645, Owned: true, Reading: 2}) ||
		in[1] != (worth.Instrument{Name: "dial", U: 0.0125, DoF: 20, Reading: 3, Price: 4000, Years: 8}) {
		t.Errorf("%+v", in)
	}
	for from, to := range map[string]string{"# limit: 0.25 mm\n": "", "0.25 mm": "flat", "sd 40 um": "or so", "n 120": "n 1", "mm sd": "sd", "40 um": "40", "Lognormal": "round", ": 900": ": much",
		"edge,36": ",36", "36,yes": "0,yes", "yes": "perhaps", "4000,8": "4000,", "12.5": "wide", ",8,0,20": ",8,0,0.5", ",8,0,": ",8,99,", "# guard": "# sample: 0.1,x\n# guard",
		"# shape": "# sample: 0.1,0.2\n# shape", "# money: crowns": "# money: crowns\n# money: marks", "2,,": "-2,,", "u_um": "v"} {
		if !strings.Contains(file, from) {
			t.Fatalf("%q is not in the file", from)
		}
		q, err := read(strings.Replace(file, from, to, 1))
		if err == nil {
			_, err = worth.Ask(q)
		}
		var told *trouble.Trouble
		if !errors.As(err, &told) || told.Kind != trouble.KindData {
			t.Errorf("%q for %q: %v", to, from, err)
		}
	}
	q, err = read(strings.Replace(file, "# false reject: 150\n", "# sample u: 0.01 mm\n", 1))
	if err != nil || q.Prices != nil || !strings.Contains(strings.Join(q.Warnings, "\n"), "not complete") {
		t.Errorf("%+v, %v", q, err)
	}
}

func FuzzReadAndAsk(f *testing.F) {
	f.Add(file)
	f.Add("# limit: 1 mm\n# sample: 0.1, 0.2, 0.3, 0.4, 0.5 mm\n# shape: as read\ninstrument,u\nx,0.1\n")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := sheet.Read("f", strings.NewReader(text))
		if err != nil || len(s.Rows) > 4 {
			return
		}
		q, err := worth.Read(s)
		if err != nil || q.Truth.N > 200 {
			return
		}
		a, err := worth.Ask(q)
		if err != nil {
			return
		}
		for _, v := range a.Assessments {
			if r := v.Risk; !(r.Accepted >= 0 && r.Accepted < 1+1e-6) || !(r.FalseAccept <= r.Bad+1e-9) || math.IsNaN(r.FalseReject) {
				t.Fatalf("%+v", r)
			}
		}
	})
}

package history_test

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"slatewright/chance"
	"slatewright/gauge/history"
	"slatewright/internal/truth"
	"slatewright/sheet"
	"slatewright/trouble"
)

func day(text string) time.Time {
	d, err := time.Parse(time.DateOnly, text)
	if err != nil {
		panic(err)
	}
	return d
}

// drifting is an instrument whose error grows by rate a year, calibrated every half year.
func drifting(n int, rate, u float64, noise func() float64) []history.Calibration {
	var list []history.Calibration
	for i := range n {
		d := day("2020-01-01").AddDate(0, 6*i, 0)
		years := d.Sub(day("2020-01-01")).Hours() / 24 / 365.25
		list = append(list, history.Calibration{Day: d, Error: rate*years + noise(), U: u})
	}
	return list
}

func asked(t *testing.T, q history.Question) *history.Answer {
	t.Helper()
	a, err := history.Ask(q)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// Without scatter the drift is exact, and the due day is where rate·t + 1.96·√(line² + u²) crosses the limit: worked out by hand for four
// calibrations of equal u at half-year steps from 0: the line's variance is u²(1/4 + (t − t̄)²/Σ(t − t̄)²).
func TestDueDayInClosedForm(t *testing.T) {
	const rate, u, limit = 1.0, 0.1, 4.0
	list := drifting(4, rate, u, func() float64 { return 0 })
	a := asked(t, history.Question{Calibrations: list, Limit: limit, Longest: 2000})
	var mean, sum float64
	var at []float64
	for _, c := range list {
		at = append(at, c.Day.Sub(list[0].Day).Hours()/24/365.25)
		mean += at[len(at)-1] / 4
	}
	for _, x := range at {
		sum += (x - mean) * (x - mean)
	}
	low, high := at[3], 10.0
	for range 100 {
		x := (low + high) / 2
		if rate*x+1.959964*u*math.Sqrt(1.25+(x-mean)*(x-mean)/sum) < limit {
			low = x
		} else {
			high = x
		}
	}
	want := list[0].Day.Add(time.Duration(low * 365.25 * 24 * float64(time.Hour)))
	if gap := want.Sub(a.Due); a.Why != history.ByTrend || gap < 0 || gap >= 24*time.Hour {
		t.Errorf("due %v (%s), by hand %v", a.Due, a.Why, want)
	}
	if math.Abs(a.DriftPerYear-rate) > 1e-12 || !a.Drifts || math.Abs((a.DriftHigh-a.DriftLow)/2-1.959964*u/math.Sqrt(sum)) > 1e-6 || a.Scatter > 1e-9 {
		t.Errorf("%+v", a)
	}
	if _, next := a.At(a.Due.AddDate(0, 0, 1)); a.BoundAtDue >= limit || next < limit {
		t.Errorf("the bound is %g, the day after %g", a.BoundAtDue, next)
	}
}

// Published data: the line through NIST's set Norris has certified slope and intercept with their standard deviations, which is a history with
// equal weights whose scatter raises the doubt; days stand for x.
func TestALineWithCertifiedDrift(t *testing.T) {
	set := truth.Norris()
	if len(set.X) == 0 {
		t.Fatal("no data")
	}
	const unit = 10 // days an x
	var list []history.Calibration
	seen := map[time.Time]bool{}
	for i := range set.X {
		d := day("1900-01-01").Add(time.Duration(set.X[i] * unit * 24 * float64(time.Hour)))
		for seen[d] {
			d = d.Add(time.Nanosecond)
		}
		seen[d] = true
		list = append(list, history.Calibration{Day: d, Error: set.Y[i], U: 0.1})
	}
	a := asked(t, history.Question{Calibrations: list, Limit: 1e9, Longest: 1})
	slope := a.DriftPerYear / 365.25 * unit
	const t34 = 2.0322445 // Student, 34 degrees, 97.5 %
	sd := (a.DriftHigh - a.DriftLow) / 2 / t34 / 365.25 * unit
	if math.Abs(slope-set.Slope) > 1e-10*set.Slope || math.Abs(sd-set.SlopeSD) > 1e-6*set.SlopeSD {
		t.Errorf("slope %.15g ± %.10g, certified %.15g ± %.10g", slope, sd, set.Slope, set.SlopeSD)
	}
	if at, _ := a.At(day("1900-01-01")); math.Abs(a.Scatter*0.1-set.ResidualSD) > 1e-9*set.ResidualSD || math.Abs(at-set.Intercept) > 1e-9 {
		t.Errorf("residual %.15g, certified %.15g; intercept %.15g, certified %.15g", a.Scatter*0.1, set.ResidualSD, at, set.Intercept)
	}
}

// The bound holds for the next calibration of instruments that drift and scatter as claimed: 95 % with four standard errors.
func TestTheBoundHolds(t *testing.T) {
	s := chance.NewStream(3)
	held := 0
	const n = 2000
	for range n {
		rate := s.Normal()
		list := drifting(7, rate, 0.5, func() float64 { return 0.5 * s.Normal() })
		next := list[6]
		a := asked(t, history.Question{Calibrations: list[:6], Limit: 1e6, Longest: 1})
		if _, bound := a.At(next.Day); math.Abs(next.Error) <= bound {
			held++
		}
	}
	t.Logf("held %d of %d", held, n)
	if share := float64(held) / n; share < 0.93 {
		t.Errorf("the bound on the size of the next error holds in %d of %d", held, n)
	}
}

func TestReasons(t *testing.T) {
	steady := drifting(5, 0, 0.1, func() float64 { return 0 })
	a := asked(t, history.Question{Calibrations: steady, Limit: 5, Longest: 365})
	if a.Why != history.ByInterval || !a.Due.Equal(steady[4].Day.AddDate(0, 0, 365)) || a.Drifts {
		t.Errorf("steady: %+v", a)
	}
	a = asked(t, history.Question{Calibrations: steady[:2], Limit: 5, Longest: 365})
	if a.Why != history.TooFew || !a.Due.Equal(steady[1].Day.AddDate(0, 0, 365)) || len(a.Warnings) != 1 || !math.IsNaN(a.DriftPerYear) {
		t.Errorf("two points: %+v", a)
	}
	if e, b := a.At(steady[1].Day); !math.IsNaN(e) || !math.IsNaN(b) {
		t.Errorf("two points tell %g and %g", e, b)
	}
	a = asked(t, history.Question{Calibrations: drifting(5, 3, 0.1, func() float64 { return 0 }), Limit: 5, Longest: 365})
	if a.Why != history.Beyond || !a.Due.Equal(steady[4].Day) {
		t.Errorf("beyond: %+v", a)
	}
	a = asked(t, history.Question{Calibrations: []history.Calibration{{Day: day("2026-01-01"), Error: 6, U: 1}}, Limit: 5, Longest: 365})
	if a.Why != history.Beyond {
		t.Errorf("one, beyond: %+v", a)
	}
	adjusted := drifting(6, 3, 0.1, func() float64 { return 0 })
	adjusted[2].Adjusted = true
	a = asked(t, history.Question{Calibrations: adjusted, Limit: 50, Longest: 365})
	if a.Used != 3 || math.Abs(a.DriftPerYear-3) > 1e-9 || !strings.Contains(a.Warnings[0], "adjusted") {
		t.Errorf("adjusted: %+v", a)
	}
	adjusted[5].Adjusted = true
	if a = asked(t, history.Question{Calibrations: adjusted, Limit: 50, Longest: 365}); a.Why != history.TooFew {
		t.Errorf("adjusted at last: %+v", a)
	}
}

const file = "# limit: 0.010 mm\n# longest: 365 days\n# odd: 1\nday,error_um,u_um,adjusted\n2024-01-10,1,0.5,no\n2025-01-12,2.1,0.5,\n2026-01-09,2.9,0.5,yes\n"

func TestReading(t *testing.T) {
	read := func(text string) (history.Question, error) {
		s, err := sheet.Read("h.csv", strings.NewReader(text))
		if err != nil {
			return history.Question{}, err
		}
		return history.Read(s)
	}
	q, err := read(file)
	if err != nil || len(q.Calibrations) != 3 || math.Abs(q.Calibrations[1].Error-0.0021) > 1e-15 || !q.Calibrations[2].Adjusted || q.Longest != 365 || len(q.Warnings) != 1 {
		t.Fatalf("%+v, %v", q, err)
	}
	for from, to := range map[string]string{"# limit: 0.010 mm\n": "", "0.010 mm": "small", "365 days": "a year", "# longest: 365 days\n": "", "2024-01-10": "2024-02-30", "1,0.5": "x,0.5", "2.1,0.5": "2.1,",
		"no\n": "maybe\n", "error_um": "off", "2025-01-12": "2024-01-10", "2.9,0.5": "2.9,0", "# limit: 0.010 mm": "# limit: 0 mm"} {
		q, err := read(strings.Replace(file, from, to, 1))
		if err == nil {
			_, err = history.Ask(q)
		}
		var told *trouble.Trouble
		if !errors.As(err, &told) || told.Next == "" {
			t.Errorf("%q for %q: %v", to, from, err)
		}
	}
}

func FuzzReadAndAsk(f *testing.F) {
	f.Add(file)
	f.Fuzz(func(t *testing.T, text string) {
		s, err := sheet.Read("f", strings.NewReader(text))
		if err != nil {
			return
		}
		q, err := history.Read(s)
		if err != nil {
			return
		}
		a, err := history.Ask(q)
		if err == nil && a.Due.IsZero() {
			t.Fatalf("no day: %+v", a)
		}
	})
}

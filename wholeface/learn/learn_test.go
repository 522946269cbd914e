package learn

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"math"
	"testing"

	"slatewright/chance"
	"slatewright/flatness"
	"slatewright/trouble"
	"slatewright/wholeface"
	"slatewright/wholeface/scan"
)

// scans are level faces with a bow of known spread, on a coarse grid.
func scans(n int) []Scan {
	var list []Scan
	for k := range n {
		s := chance.NewStream(uint64(k))
		a, b, c := 0.02+0.03*s.Normal(), 0.05*s.Normal(), 0.01*s.Normal()
		var p flatness.Points
		for i := range 30 {
			for j := range 48 {
				x, y := -437+float64(i)*874/29, -716.5+float64(j)*1433/47
				u, v := x/457, y/736.5
				p.X, p.Y, p.Z = append(p.X, x), append(p.Y, y), append(p.Z, a*(1-u*u)+b*(1-v*v)+c*u*v+0.003*s.Normal())
			}
		}
		list = append(list, Scan{Face: scan.Face{SizeX: 914, SizeY: 1473, Cutoff: 25, Band: 20, Filtered: true, Nodes: p, Probes: p},
			Digest: sha256.Sum256([]byte(fmt.Sprint(k))), U: 0.001})
	}
	return list
}

// The trend is learned: mean and spread of the bow come back within four standard errors (closed form: σ/√n and σ/√2n).
func TestTrendIsLearned(t *testing.T) {
	const n = 400
	b := trend(scans(n))
	for k, want := range []wholeface.Belief{{Mean: 0.02, SD: 0.03}, {SD: 0.05}, {SD: 0.01}} {
		if math.Abs(b[k].Mean-want.Mean) > 4*want.SD/math.Sqrt(n) || math.Abs(b[k].SD-want.SD) > 4*want.SD/math.Sqrt(2*n) {
			t.Errorf("term %d: %+v, want %+v", k, b[k], want)
		}
	}
}

// Mixing weights by EM against their closed form: where each scan can come from one setting only, they are the counts.
func TestSharesAreCounts(t *testing.T) {
	var logs [][]float64
	for k := range 10 {
		l := []float64{-1000, -1000, -1000}
		l[min(k/4, 2)] = -5
		logs = append(logs, l)
	}
	w := shares(logs)
	for k, want := range []float64{0.4, 0.4, 0.2} {
		if got := w[k]; math.Abs(got-want) > 1e-9 {
			t.Errorf("setting %d: %.4f, want %.1f", k, got, want)
		}
	}
}

// The line against its closed form: an exact line comes back when it is hardly held, and what it is held towards when it is held firmly.
func TestRidgeIsALine(t *testing.T) {
	s := chance.NewStream(4)
	var list []rehearsal
	var want []float64
	for i := range 60 {
		f := make([]float64, len(wholeface.FeatureNames))
		for j := range f {
			f[j] = s.Normal()
		}
		list = append(list, rehearsal{scan: i, features: f})
		want = append(want, 0.3+2*f[0]-f[3])
	}
	k := frame(list, 54)
	toward := []float64{1, 0, -2, 0, 0, 3, 0, 0}
	line := ridge(k, list, want, toward, 1e-9)
	for i, r := range list {
		clipped := false
		for _, v := range k.Standard(r.features) {
			clipped = clipped || math.Abs(v) == 3
		}
		if got := value(line, k.Standard(r.features)); !clipped && math.Abs(got-want[i]) > 1e-5 {
			t.Fatalf("rehearsal %d: %.6f, want %.6f", i, got, want[i])
		}
	}
	for j, v := range ridge(k, list, want, toward, 1e9)[1:] {
		if math.Abs(v-toward[j]) > 1e-5 {
			t.Errorf("coefficient %d, held firmly: %.6f, want %.6f", j, v, toward[j])
		}
	}
}

// The spread's line against two closed forms. Groups: with one feature of two values the mean of each group is the fit, whatever the sizes in
// it (the likelihood equations of a generalized linear model with as many coefficients as groups). Weights: those equations, Σ x (size/fit − 1) = the pull of
// the ridge, hold in every coefficient when it is held.
func TestSpreadLine(t *testing.T) {
	s := chance.NewStream(6)
	var list []rehearsal
	var size []float64
	var sum, n [2]float64
	for i := range 80 {
		f := make([]float64, len(wholeface.FeatureNames))
		f[6] = float64(i % 2)
		list = append(list, rehearsal{scan: i, features: f})
		size = append(size, math.Abs(s.Normal())*(1+3*f[6]))
		sum[i%2], n[i%2] = sum[i%2]+size[i], n[i%2]+1
	}
	k := frame(list, 54)
	line := spreadLine(k, list, size, 1e-9)
	for i, r := range list[:2] {
		if got, want := math.Exp(value(line, k.Standard(r.features))), sum[i]/n[i]; math.Abs(got-want) > 1e-9 {
			t.Errorf("group %d: %.9f, want %.9f", i, got, want)
		}
	}

	for _, r := range list {
		for j := range r.features {
			r.features[j] = s.Normal()
		}
	}
	k = frame(list, 54)
	const held = 20
	line = spreadLine(k, list, size, held)
	for j := range line {
		left := 0.0
		for i, r := range list {
			row := append([]float64{1}, k.Standard(r.features)...)
			left += row[j] * (size[i]/math.Exp(value(line, row[1:])) - 1)
		}
		pull := 0.0
		if j > 0 {
			pull = held * (line[j] - expected[j-1]*k.SD[j-1])
		}
		if math.Abs(left-pull) > 1e-3 {
			t.Errorf("coefficient %d: %.6f against a pull of %.6f", j, left, pull)
		}
	}
}

// What was learned is calibrated on what it was learned from, whatever the model said: misses of a skewed law about a line in
// the features, wider where the drawn faces are flat or lie apart. 90 % of further cases lie between the 5 and 95 % quantiles, of the flat
// ones as of the others, within five standard errors and what holding the lines costs.
func TestLookHoldsWhatItSays(t *testing.T) {
	s := chance.NewStream(5)
	make1 := func(scan int) rehearsal {
		f := make([]float64, len(wholeface.FeatureNames))
		for j := range f {
			f[j] = s.Normal()
		}
		e := s.Normal()
		return rehearsal{scan: scan, features: f, miss: 0.2 + 0.1*f[0] + math.Exp(0.4*f[1]-0.5*f[0])*(e+0.2*(e*e-1))}
	}
	var list []rehearsal
	for i := range 1000 {
		list = append(list, make1(i))
	}
	k := look(list, 1000, 54)
	var held, tried [2]int // of the flat ones and the others
	for range 8000 {
		r := make1(0)
		of := 0
		if r.features[0] > 0 {
			of = 1
		}
		tried[of]++
		centre, spread := value(k.Centre, k.Standard(r.features)), math.Exp(value(k.Spread, k.Standard(r.features)))
		v := (r.miss - centre) / spread
		if v >= k.Quantiles[5] && v <= k.Quantiles[93] { // knots 5 and 93 of 99: 5.6 and 94.4 %
			held[of]++
		}
	}
	for of := range held {
		if got := float64(held[of]) / float64(tried[of]); math.Abs(got-0.889) > 0.05 {
			t.Errorf("half %d: %.3f lie between the knots, want 0.889", of, got)
		}
	}
}

// Quantiles of a list by closed form: value i of n evenly spaced ones lies at (i+½)/n, in whatever order they come.
func TestQuantiles(t *testing.T) {
	for _, n := range []int{2, 30, 99, 2400} {
		list := make([]float64, n)
		for i := range list {
			list[(i*7+3)%n] = 10 * (float64(i) + 0.5) / float64(n)
		}
		if n%7 == 0 {
			t.Fatal("not every place is filled")
		}
		for k, q := range quantiles(list) {
			want := math.Max(5/float64(n), math.Min(10-5/float64(n), 10*(float64(k)+0.5)/knots))
			if math.Abs(q-want) > 1e-9 {
				t.Errorf("%d values, knot %d: %g, want %g", n, k, q, want)
			}
		}
	}
}

func TestStations(t *testing.T) {
	s := scans(1)[0]
	p := Usual(914, 1473)
	all, half := Stations(p, s, 1), Stations(p, s, 2)
	if len(all) != 54 || len(half) != 30 || all[0] != [2]float64{-437, -716.5} || all[53] != [2]float64{437, 716.5} {
		t.Errorf("%d and %d stations, from %v to %v", len(all), len(half), all[0], all[53])
	}
	if wide := Usual(1473, 914); wide.NX != 9 || wide.NY != 6 {
		t.Errorf("lying: %d by %d", wide.NX, wide.NY)
	}
}

// Lines of stations move together, no farther than they may, and the outermost ones not at all.
func TestMovedLinesStayLines(t *testing.T) {
	s, p := scans(1)[0], Usual(914, 1473)
	for _, every := range []int{1, 2} {
		was, now := Stations(p, s, every), Stations(p, s, every)
		move(now, p, s, chance.NewStream(1))
		moved := 0
		for i := range now {
			for k, far := range [2]float64{437, 716.5} {
				by := now[i][k] - was[i][k]
				if math.Abs(by) > stray*180 || math.Abs(was[i][k]) == far && by != 0 {
					t.Errorf("%v moved to %v", was[i], now[i])
				}
				if by != 0 {
					moved++
				}
				for j := range now {
					if other := now[j][k] - was[j][k]; math.Abs(was[j][k]) != far && math.Abs(was[i][k]) != far && math.Abs(other-by) > 1e-9 {
						t.Errorf("%v moved by %g and %v by %g", was[i], by, was[j], other)
					}
				}
			}
		}
		if moved < len(now) {
			t.Errorf("only %d of %d coordinates moved", moved, 2*len(now))
		}
	}
}

// The same scans in any order make the same prior, byte for byte; what cannot teach is refused.
func TestFrom(t *testing.T) {
	list := scans(LeastScans)
	plan := Usual(914, 1473)
	plan.Rehearsals, plan.Draws, plan.U = 1, 100, []float64{0.01}
	one, err := From(list, plan)
	if err != nil {
		t.Fatal(err)
	}
	if testing.Short() {
		t.Skip("long: the work was shared out once")
	}
	list[0], list[7] = list[7], list[0]
	two, err := From(list, plan)
	if err != nil {
		t.Fatal(err)
	}
	a, _ := one.Text()
	b, _ := two.Text()
	if string(a) != string(b) {
		t.Error("the order of the scans shows in the prior")
	}
	if again, err := wholeface.ParsePrior("p", a); err != nil || len(again.Correction) != 2 || again.Scans != LeastScans {
		t.Errorf("the prior does not read back: %v", err)
	}
	refused := func(code string, list []Scan, plan Plan) {
		t.Helper()
		var tr *trouble.Trouble
		if _, err := From(list, plan); !errors.As(err, &tr) || tr.Code != code {
			t.Errorf("got %v, want %s", err, code)
		}
	}
	refused("few-scans", list[:10], plan)
	refused("same-scan", append(append([]Scan{}, list...), list[3]), plan)
	bad := plan
	bad.NX = 1
	refused("bad-grid", list, bad)
	bad = plan
	bad.U = nil
	refused("no-u", list, bad)
	list[4].Band = 30
	refused("mixed-scans", list, plan)
}

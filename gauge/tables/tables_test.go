package tables_test

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"slatewright/chance"
	"slatewright/gauge/tables"
	"slatewright/internal/truth"
)

// Another implementation says the same, over all that a study or a budget may ask.
func TestDistributionsAgreeWithAnotherImplementation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		dof := math.Exp(rapid.Float64Range(0, 8).Draw(t, "log dof"))
		other := math.Exp(rapid.Float64Range(0, 8).Draw(t, "log other dof"))
		x := math.Exp(rapid.Float64Range(-3, 3).Draw(t, "log x"))
		same := func(name string, got, want, within float64) {
			if !(math.Abs(got-want) <= within*(1e-3+math.Abs(want))) {
				t.Fatalf("%s of x %g, dof %g and %g: %g, want %g", name, x, dof, other, got, want)
			}
		}
		same("chi squared", tables.ChiSquared(x*dof, dof), distuv.ChiSquared{K: dof}.CDF(x*dof), 1e-9)
		same("Student", tables.Student(x, dof), distuv.StudentsT{Mu: 0, Sigma: 1, Nu: dof}.CDF(x), 1e-9)
		same("F", tables.F(x, dof, other), distuv.F{D1: dof, D2: other}.CDF(x), 1e-9)
		share := x / (1 + x)
		same("beta", tables.Proportion(share, dof, other), distuv.Beta{Alpha: dof, Beta: other}.CDF(share), 1e-9)
	})
}

// Going there and coming back gives the same number, in the tails too.
func TestPointsInvertTheDistributions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		dof := float64(rapid.IntRange(1, 400).Draw(t, "dof"))
		other := float64(rapid.IntRange(1, 400).Draw(t, "other dof"))
		p := 1 / (1 + math.Exp(-rapid.Float64Range(-14, 14).Draw(t, "logit")))
		for name, back := range map[string]float64{
			"chi squared": tables.ChiSquared(tables.ChiSquaredPoint(p, dof), dof),
			"Student":     tables.Student(tables.StudentPoint(p, dof), dof),
			"F":           tables.F(tables.FPoint(p, dof, other), dof, other),
			"beta":        tables.Proportion(tables.ProportionPoint(p, dof, other), dof, other),
		} {
			if math.Abs(back-p) > 1e-11 && math.Abs(back-p) > 1e-9*p {
				t.Fatalf("%s, dof %g and %g: %g comes back as %g", name, dof, other, p, back)
			}
		}
	})
}

// Closed forms and values that stand in every book of tables: t of the GUM, table G.2; t with 1 degree of freedom is the Cauchy
// distribution, tan(π(p − ½)); chi squared with 2 is −2 ln(1 − p); F with infinite degrees is chi squared.
func TestKnownPoints(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		name      string
		got, want float64
		within    float64
	}{
		{"t 95 % two-sided, 4", tables.StudentPoint(0.975, 4), 2.776445, 1e-6},
		{"t 99 % two-sided, 16", tables.StudentPoint(0.995, 16), 2.9208, 1e-4},
		{"t 95 % two-sided, infinite", tables.StudentPoint(0.975, inf), 1.959964, 1e-6},
		{"Cauchy", tables.StudentPoint(0.9, 1), math.Tan(0.4 * math.Pi), 1e-12},
		{"Cauchy, lower", tables.StudentPoint(0.1, 1), -math.Tan(0.4 * math.Pi), 1e-12},
		{"chi squared 2", tables.ChiSquaredPoint(0.95, 2), -2 * math.Log(0.05), 1e-12},
		{"chi squared 10, 5 %", tables.ChiSquaredPoint(0.05, 10), 3.940299, 1e-6},
		{"F 5, infinite", tables.FPoint(0.95, 5, inf), tables.ChiSquaredPoint(0.95, 5) / 5, 1e-12},
		{"F infinite, 5", tables.FPoint(0.95, inf, 5), 5 / tables.ChiSquaredPoint(0.05, 5), 1e-12},
		{"F 3, 10, 95 %", tables.FPoint(0.95, 3, 10), 3.708265, 1e-6},
		{"F infinite below", tables.F(2, inf, 7), 1 - tables.ChiSquared(3.5, 7), 1e-14},
		{"F above", tables.FAbove(3.708265, 3, 10), 0.05, 1e-7},
		{"uniform share", tables.ProportionPoint(0.3, 1, 1), 0.3, 1e-15},
		{"uniform share, where the bracket begins", tables.ProportionPoint(0.5, 1, 1), 0.5, 1e-15},
		{"uniform share, where it begins further down", tables.ProportionPoint(0.25, 1, 1), 0.25, 1e-15},
		{"share of 1", tables.ProportionPoint(1, 2, 3), 1, 0},
	} {
		if !(math.Abs(c.got-c.want) <= c.within) {
			t.Errorf("%s: %.9g, want %.9g", c.name, c.got, c.want)
		}
	}
}

// 0 of n: the upper end is 1 − (α/2)^(1/n), the closed form; and the interval of k is the mirror of that of n − k.
func TestClopperPearson(t *testing.T) {
	for _, n := range []int{1, 5, 59, 300} {
		low, high := tables.ClopperPearson(0, n, 0.95)
		if want := 1 - math.Pow(0.025, 1/float64(n)); low != 0 || math.Abs(high-want) > 1e-12 {
			t.Errorf("0 of %d: %g to %g, want %g", n, low, high, want)
		}
		k := n / 3
		low, high = tables.ClopperPearson(k, n, 0.95)
		l, h := tables.ClopperPearson(n-k, n, 0.95)
		if math.Abs(low-(1-h)) > 1e-12 || math.Abs(high-(1-l)) > 1e-12 {
			t.Errorf("%d of %d: %g to %g; the mirror %g to %g", k, n, low, high, l, h)
		}
	}
	if low, high := tables.ClopperPearson(0, 0, 0.95); low != 0 || high != 1 {
		t.Errorf("nothing counted: %g to %g", low, high)
	}
}

// The printed factors of control charts, and the more exact ones behind them.
func TestRangesAgreeWithTheFactorTable(t *testing.T) {
	rows := truth.RangeFactors()
	if len(rows) == 0 {
		t.Fatal("no factors")
	}
	for _, r := range rows {
		mean, sd := tables.Range(r.N)
		if math.Abs(mean-r.D2) > 1e-6 || math.Abs(sd-r.D3) > 1e-6 || r.Published != 0 && math.Abs(mean-r.Published) > 0.0007 {
			t.Errorf("%d draws: mean %.7f, standard deviation %.7f; want %g and %g, printed %g", r.N, mean, sd, r.D2, r.D3, r.Published)
		}
	}
}

func TestOutsideTheirRange(t *testing.T) {
	wide, _ := tables.Range(1)
	for i, x := range []float64{tables.ChiSquared(1, 0), tables.ChiSquaredPoint(2, 1), tables.Student(0, -1), tables.StudentPoint(-1, 3),
		tables.F(1, 0, 1), tables.FPoint(0.5, 1, 0), tables.Proportion(0.5, 0, 1), tables.ProportionPoint(math.NaN(), 1, 1), wide} {
		if !math.IsNaN(x) {
			t.Errorf("%d: %g, want NaN", i, x)
		}
	}
}

// Drawn chi squared is spread as its distribution says: the greatest distance between them (Kolmogorov and Smirnov) exceeds 1.95/√n once in a
// thousand.
func TestDrawnChiSquared(t *testing.T) {
	for _, dof := range []float64{0.5, 1, 2, 3.7, 40} {
		const n = 20000
		s, x := chance.NewStream(3), make([]float64, n)
		for i := range x {
			x[i] = tables.DrawChiSquared(s, dof)
		}
		slices.Sort(x)
		worst := 0.0
		for i, v := range x {
			worst = max(worst, math.Abs(tables.ChiSquared(v, dof)-(float64(i)+0.5)/n))
		}
		if worst > 1.95/math.Sqrt(n) {
			t.Errorf("%g degrees of freedom: %g from the distribution", dof, worst)
		}
	}
}

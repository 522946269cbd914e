package chance

import (
	"math"
	"math/big"
	"slices"
	"testing"
)

func TestCumulativeAtKnownPoints(t *testing.T) {
	// Computed to 60 digits with the arbitrary-precision library mpmath 1.3 (function ncdf) at the float64 nearest to z. The values
	// at ±1, 2, 3 agree with Abramowitz and Stegun, Handbook of Mathematical Functions, Table 26.1.
	cases := []struct{ z, want float64 }{
		{-37, 5.72557122252457682e-300}, {-30, 4.90671392714818706e-198}, {-20, 2.7536241186062337e-89},
		{-12, 1.776482112077679e-33}, {-8.3, 5.20556974489025402e-17}, {-6, 9.86587645037698141e-10},
		{-5.65, 8.0223918506634976e-9}, {-4, 0.0000316712418331199213}, {-3, 0.00134989803163009453},
		{-2, 0.0227501319481792072}, {-1, 0.158655253931457051}, {-0.6745, 0.249996742863699169},
		{-0.25, 0.401293674317076276}, {0, 0.5}, {0.3, 0.617911422188952633}, {1, 0.841344746068542949},
		{1.96, 0.975002104851779564}, {3, 0.998650101968369905}, {5, 0.999999713348428121},
	}
	for _, c := range cases {
		if got := Cumulative(c.z); math.Abs(got-c.want) > 2e-15*c.want {
			t.Errorf("Cumulative(%v) = %v, want %v", c.z, got, c.want)
		}
	}
}

func TestCumulativeGivesTheProbabilitiesOfJCGM106(t *testing.T) {
	// JCGM 106:2012, "The role of measurement uncertainty in conformity assessment", examples of 7.3 and 7.4: printed 0.99, 0.92
	// and 0.66; the further digits are recomputed.
	cases := []struct {
		name                      string
		estimate, u, lower, upper float64
		want                      float64
	}{
		{"breakdown pressure, at least 490 kPa", 509.7, 8.6, 490, math.Inf(1), 0.989010},
		{"voltage, at most -5.40 V", -5.47, 0.05, math.Inf(-1), -5.40, 0.919243},
		{"viscosity, 12.5 to 16.3 mm²/s", 13.6, 1.8, 12.5, 16.3, 0.662630},
	}
	for _, c := range cases {
		got := Cumulative((c.upper-c.estimate)/c.u) - Cumulative((c.lower-c.estimate)/c.u)
		if math.Abs(got-c.want) > 6e-7 {
			t.Errorf("%s: probability %.7f, want %.6f", c.name, got, c.want)
		}
	}
}

func TestCumulativeGivesTheRisksOfILACG8(t *testing.T) {
	// Specific risk of false acceptance at the acceptance limit for guard bands of w·U, U = 2u: table of ILAC-G8:09/2019 (printed
	// "< 1 ppm", 0.16 %, 2.5 %, 5 %, 50 %), here to four digits of the one-sided normal tail.
	for w, want := range map[float64]float64{3: 9.866e-10, 1.5: 1.350e-3, 1: 2.275e-2, 0.83: 4.846e-2, 0: 0.5} {
		if got := Cumulative(-2 * w); math.Abs(got-want) > 4e-4*want {
			t.Errorf("guard band %v U: risk %.4e, want %.3e", w, got, want)
		}
	}
}

// slowCumulative is Φ by its power series in 500-bit arithmetic: ½ + (z/√2π) Σ (−z²/2)ᵏ/(k!(2k+1)).
func slowCumulative(z float64) *big.Float {
	const precision = 500
	number := func(x float64) *big.Float { return new(big.Float).SetPrec(precision).SetFloat64(x) }
	// π to 160 digits, from memory; a wrong digit fails every case below
	pi, _, err := big.ParseFloat("3.14159265358979323846264338327950288419716939937510582097494459230781640628620899862803482534211706"+
		"79821480865132823066470938446095505822317253594081284811174502841", 10, precision, big.ToNearestEven)
	if err != nil {
		panic(err)
	}
	half := number(z)
	half.Mul(half, half).Quo(half, number(-2))
	term, sum := number(z), number(0)
	for k := 0.0; k < 1000; k++ {
		sum.Add(sum, new(big.Float).Quo(term, number(2*k+1)))
		term.Mul(term, half).Quo(term, number(k+1))
	}
	root := new(big.Float).Sqrt(new(big.Float).Mul(number(2), pi))
	return sum.Quo(sum, root).Add(sum, number(0.5))
}

func TestCumulativeAgainstItsSeries(t *testing.T) {
	s := NewStream(12)
	for _, span := range []float64{0.7, 1, 3, 6, 12} {
		for range 60 {
			z := (2*s.Float64() - 1) * span
			want := slowCumulative(z)
			miss, _ := new(big.Float).Sub(want, big.NewFloat(Cumulative(z))).Float64()
			limit := 2e-16
			if z < 0 {
				limit, _ = want.Float64()
				limit *= 2e-15
			}
			if math.Abs(miss) > limit {
				t.Fatalf("Cumulative(%v) is off by %.1e, want at most %.1e", z, miss, limit)
			}
		}
	}
}

func TestCumulativeAgainstErfc(t *testing.T) {
	for i := -37000; i <= 37000; i++ {
		z := float64(i) / 1000
		if got, want := Cumulative(z), math.Erfc(-z/math.Sqrt2)/2; math.Abs(got-want) > math.Min(1e-14, 1e-12*want) {
			t.Fatalf("Cumulative(%v) = %v, Erfc gives %v", z, got, want)
		}
	}
}

func TestCumulativeNeverFalls(t *testing.T) {
	last := 0.0
	for i := -39000; i <= 9000; i++ {
		z := float64(i) / 1000
		p := Cumulative(z)
		if p < last || p > 1 {
			t.Fatalf("Cumulative(%v) = %v after %v", z, p, last)
		}
		last = p
	}
	for _, joint := range []float64{-far, -centre, centre, far} { // where the approximations meet
		below, above := Cumulative(math.Nextafter(joint, -40)), Cumulative(math.Nextafter(joint, 40))
		slope := math.Exp(-joint*joint/2) / math.Sqrt(2*math.Pi)
		step := math.Nextafter(joint, 40) - math.Nextafter(joint, -40)
		if math.Abs(above-below-slope*step) > 1e-15*above {
			t.Errorf("Cumulative jumps from %v to %v at %v", below, above, joint)
		}
	}
}

func TestCumulativeAtTheEnds(t *testing.T) {
	for z, want := range map[float64]float64{math.Inf(-1): 0, math.Inf(1): 1, -1e300: 0, -39: 0, 39: 1, 1e300: 1} {
		if got := Cumulative(z); got != want {
			t.Errorf("Cumulative(%v) = %v, want %v", z, got, want)
		}
	}
	if got := Cumulative(math.NaN()); !math.IsNaN(got) {
		t.Errorf("Cumulative(NaN) = %v", got)
	}
	if got := Cumulative(-38.4); got <= 0 || got > 1e-321 { // mpmath 1.3: 6.6e-323, among the subnormal numbers
		t.Errorf("Cumulative(-38.4) = %v", got)
	}
}

func TestQuantileAtKnownPoints(t *testing.T) {
	cases := []struct{ p, want float64 }{
		// The three checks printed with algorithm AS 241 (Wichura 1988) ...
		{0.25, -0.6744897501960817}, {0.001, -3.090232306167814}, {1e-20, -9.262340089798408},
		// ... the guard factor of ISO 14253-1:2017 (printed 1.65) and the usual two-sided 95 % factor ...
		{0.95, 1.64485362695147228}, {0.975, 1.95996398454005386},
		// ... and the rest to 18 digits with mpmath 1.3 (functions erfinv, and ncdf inverted by findroot).
		{0.05, -1.64485362695147269}, {0.025, -1.95996398454005421}, {1e-06, -4.75342430882289896},
		{1e-09, -5.99780701500768686}, {1e-100, -21.2734535609653243}, {1e-300, -37.0470962993611992}, {0.3, -0.524400512708040816},
		{0.5, 0}, {0.5000001, 2.5066282733116483e-7}, {0.9, 1.28155156554460059}, {0.99, 2.32634787404084077},
	}
	for _, c := range cases {
		if got := Quantile(c.p); math.Abs(got-c.want) > 1e-15*math.Abs(c.want) {
			t.Errorf("Quantile(%v) = %v, want %v", c.p, got, c.want)
		}
	}
}

func TestQuantileUndoesCumulative(t *testing.T) {
	for i := -37000; i <= 0; i++ {
		z := float64(i) / 1000
		p := Cumulative(z)
		// z moves by (relative error of p)·Φ/φ, and Φ(z)/φ(z) ≤ 1/|z| (Mills)
		if got, limit := Quantile(p), 2e-15/math.Max(0.7, -z)+1e-15*-z; math.Abs(got-z) > limit {
			t.Fatalf("Quantile(Cumulative(%v)) = %v", z, got)
		}
	}
}

func TestQuantileIsOddAndNeverFalls(t *testing.T) {
	last := math.Inf(-1)
	for i := range 1 << 16 {
		p := float64(i) / (1 << 16)
		z := Quantile(p)
		if z < last {
			t.Fatalf("Quantile(%v) = %v after %v", p, z, last)
		}
		if i > 0 && z != -Quantile(1-p) {
			t.Fatalf("Quantile(%v) = %v but Quantile(%v) = %v", p, z, 1-p, Quantile(1-p))
		}
		last = z
	}
}

func TestQuantileAtTheEnds(t *testing.T) {
	if got := Quantile(0); got != math.Inf(-1) {
		t.Errorf("Quantile(0) = %v", got)
	}
	if got := Quantile(1); got != math.Inf(1) {
		t.Errorf("Quantile(1) = %v", got)
	}
	for _, p := range []float64{math.NaN(), -1e-300, math.Nextafter(1, 2), math.Inf(1), math.Inf(-1)} {
		if got := Quantile(p); !math.IsNaN(got) {
			t.Errorf("Quantile(%v) = %v, want NaN", p, got)
		}
	}
	// mpmath 1.3: −38.4674 for the smallest float64
	if got := Quantile(math.SmallestNonzeroFloat64); math.Abs(got+38.4674) > 1e-4 {
		t.Errorf("Quantile of the smallest float64 = %v", got)
	}
}

func TestNormalHasTheMomentsOfTheNormalDistribution(t *testing.T) {
	const draws = 1_000_000
	s := NewStream(42)
	var sum [5]float64
	previous, lagged := 0.0, 0.0
	for range draws {
		z := s.Normal()
		lagged += z * previous
		previous = z
		for k, power := 1, z; k <= 4; k, power = k+1, power*z {
			sum[k] += power
		}
	}
	// Moments 0, 1, 0, 3 about zero, with the standard errors √(Var zᵏ/n): 1, √2, √15, √96 over √n.
	checks := []struct {
		name             string
		got, want, sigma float64
	}{
		{"mean", sum[1] / draws, 0, 1}, {"square", sum[2] / draws, 1, math.Sqrt2}, {"cube", sum[3] / draws, 0, math.Sqrt(15)},
		{"fourth power", sum[4] / draws, 3, math.Sqrt(96)}, {"product with the draw before", lagged / draws, 0, 1},
	}
	for _, c := range checks {
		if z := (c.got - c.want) / (c.sigma / math.Sqrt(draws)); math.Abs(z) > 4 {
			t.Errorf("mean %s = %.5f, want %v: %.1f standard errors off", c.name, c.got, c.want, z)
		}
	}
}

func TestNormalFollowsTheNormalDistribution(t *testing.T) {
	const draws = 200000
	s := NewStream(77)
	cells := make([]int, 100)
	values := make([]float64, draws)
	for i := range values {
		values[i] = s.Normal()
		cells[int(100*math.Erfc(-values[i]/math.Sqrt2)/2)]++
	}
	if x := chiSquare(cells, draws); x < chi99Low || x > chi99High {
		t.Errorf("chi-square %.1f on 99 degrees of freedom, want %v to %v", x, chi99Low, chi99High)
	}
	slices.Sort(values)
	distance := 0.0
	for i, z := range values {
		p := math.Erfc(-z/math.Sqrt2) / 2
		distance = max(distance, p-float64(i)/draws, float64(i+1)/draws-p)
	}
	// Kolmogorov's distribution: √n·D is above 1.95 with probability 0.001.
	if d := distance * math.Sqrt(draws); d > 1.95 {
		t.Errorf("Kolmogorov-Smirnov distance √n·D = %.2f, want at most 1.95", d)
	}
}

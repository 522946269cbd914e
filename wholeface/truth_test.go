package wholeface

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"slatewright/chance"
)

// Property 1: the mean and the spread of the drawn faces are those of kriging, worked out by a dense solve of another library.
func TestDrawsAgreeWithDenseKriging(t *testing.T) {
	q := rehearsed(3)
	q.Draws = 3000
	q.Bench = Bench{Bow: 0.01, Twist: 0.02}
	p := single(160, 0.02, 0.004)
	a, err := Start(q, p)
	if err != nil {
		t.Fatal(err)
	}
	mean, variance := dense(a, setting{length: 160, sigma: 0.02, tau: 0.004}, []int{0, 700, 1061, 1500, 2100})
	for i, k := range []int{0, 700, 1061, 1500, 2100} {
		m, v := 0.0, 0.0
		for _, f := range a.faces {
			m += f.height[k] / float64(len(a.faces))
		}
		for _, f := range a.faces {
			v += (f.height[k] - m) * (f.height[k] - m) / float64(len(a.faces))
		}
		sd := math.Sqrt(variance[i])
		if d := math.Abs(m - mean[i]); d > 4*sd/math.Sqrt(float64(len(a.faces))) {
			t.Errorf("node %d: mean %.5f, kriging %.5f (sd %.5f)", k, m, mean[i], sd)
		}
		if r := v / variance[i]; math.Abs(r-1) > 0.13 { // five standard errors of a variance from 3,000 draws
			t.Errorf("node %d: variance %.3g, kriging %.3g", k, v, variance[i])
		}
	}
}

// single is a prior of one setting.
func single(length, sigma, tau float64) *Prior {
	p := Unlearned()
	p.Lengths, p.Sigmas, p.Taus, p.Weights = []float64{length}, []float64{sigma}, []float64{tau}, []float64{1}
	return p
}

// dense is the kriging mean and variance at nodes, by a matrix of all covariances written out and inverted.
func dense(a *Live, c setting, nodes []int) (mean, variance []float64) {
	s := a.scene
	n := len(s.z)
	weight := func(b spot) map[int]float64 {
		m := map[int]float64{}
		for i, k := range s.l.corners(b) {
			m[k] += b.w[i]
		}
		return m
	}
	rest := func(u, v map[int]float64) float64 {
		sum := 0.0
		for i, p := range u {
			for j, q := range v {
				xi, yi := s.l.place(i)
				xj, yj := s.l.place(j)
				r := math.Sqrt(3) * math.Hypot(xi-xj, yi-yj) / c.length
				sum += p * q * c.sigma * c.sigma * (1 + r) * math.Exp(-r)
			}
		}
		return sum
	}
	v := mat.NewDense(n, n, nil)
	y := mat.NewVecDense(n, nil)
	for i := range n {
		y.SetVec(i, s.z[i]-s.expected(i))
		for j := range n {
			sum := rest(weight(s.spots[i]), weight(s.spots[j]))
			for k := range terms {
				sum += s.basis[i][k] * s.basis[j][k] * (s.variance[k] + s.bench[k])
			}
			if i == j {
				sum += s.own + c.tau*c.tau
			}
			v.Set(i, j, sum)
		}
	}
	var inverse mat.Dense
	if err := inverse.Inverse(v); err != nil {
		panic(err)
	}
	for _, node := range nodes {
		x, yy := s.l.place(node)
		basis := s.l.trend(x, yy)
		own := map[int]float64{node: 1}
		cross := mat.NewVecDense(n, nil)
		prior, expected := rest(own, own), 0.0
		for k := range terms {
			prior += basis[k] * basis[k] * s.variance[k]
			expected += basis[k] * s.mean[k]
		}
		for i := range n {
			sum := rest(own, weight(s.spots[i]))
			for k := range terms {
				sum += basis[k] * s.basis[i][k] * s.variance[k]
			}
			cross.SetVec(i, sum)
		}
		var w mat.VecDense
		w.MulVec(&inverse, cross)
		mean = append(mean, expected+mat.Dot(&w, y))
		variance = append(variance, prior-mat.Dot(&w, cross))
	}
	return mean, variance
}

// Property 2: the likelihood is that of a normal distribution, by determinant and quadratic form of another library.
func TestLikelihoodByDeterminant(t *testing.T) {
	q := rehearsed(5)
	a, err := Start(q, nil)
	if err != nil {
		t.Fatal(err)
	}
	s := a.scene
	var first float64
	for k, c := range []setting{{length: 60, sigma: 0.0045}, {length: 160, sigma: 0.0234}, {length: 420, sigma: 0.0702, tau: 0.004}} {
		n := len(s.z)
		v := mat.NewSymDense(n, nil)
		r := mat.NewVecDense(n, nil)
		for i := range n {
			r.SetVec(i, s.z[i]-s.expected(i))
			for j := range i + 1 {
				v.SetSym(i, j, s.covariance(c, s.ground(c.length), i, j))
			}
		}
		var ch mat.Cholesky
		if !ch.Factorize(v) {
			t.Fatal("not positive definite")
		}
		var x mat.VecDense
		if err := ch.SolveVecTo(&x, r); err != nil {
			t.Fatal(err)
		}
		want := -mat.Dot(&x, r)/2 - ch.LogDet()/2
		if got := s.likelihood(c); math.Abs(got-want) > 1e-6*math.Abs(want) {
			t.Errorf("setting %d: log likelihood %.9g, want %.9g", k, got, want)
		}
		if k == 0 {
			first = want
		} else if want == first {
			t.Error("every setting is alike: the check shows nothing")
		}
	}
}

// Property 3: the wide prior of height and tilt makes it the restricted likelihood: contrasts of the readings free of them (a
// basis of the null space, by another library's SVD) have the same density but for a constant.
func TestLikelihoodIsRestricted(t *testing.T) {
	q := rehearsed(6)
	a, err := Start(q, nil)
	if err != nil {
		t.Fatal(err)
	}
	s := a.scene
	n := len(s.z)
	plane := mat.NewDense(n, 3, nil)
	for i := range n {
		for k := range 3 {
			plane.Set(i, k, s.basis[i][k])
		}
	}
	var svd mat.SVD
	if !svd.Factorize(plane, mat.SVDFullU) {
		t.Fatal("no SVD")
	}
	var u mat.Dense
	svd.UTo(&u)
	free := u.Slice(0, n, 3, n)
	restricted := func(c setting) float64 {
		v := mat.NewSymDense(n, nil)
		r := mat.NewVecDense(n, nil)
		for i := range n {
			r.SetVec(i, s.z[i])
			for j := range i + 1 {
				x := s.covariance(c, s.ground(c.length), i, j)
				for k := range 3 {
					x -= s.basis[i][k] * s.basis[j][k] * s.variance[k]
				}
				v.SetSym(i, j, x)
			}
		}
		var half, full mat.Dense
		half.Mul(v, free)
		full.Mul(free.T(), &half)
		small := mat.NewSymDense(n-3, nil)
		for i := range n - 3 {
			for j := range i + 1 {
				small.SetSym(i, j, full.At(i, j))
			}
		}
		var ch mat.Cholesky
		if !ch.Factorize(small) {
			t.Fatal("not positive definite")
		}
		var y, x mat.VecDense
		y.MulVec(free.T(), r)
		if err := ch.SolveVecTo(&x, &y); err != nil {
			t.Fatal(err)
		}
		return -mat.Dot(&x, &y)/2 - ch.LogDet()/2
	}
	list := []setting{{length: 100, sigma: 0.0045}, {length: 160, sigma: 0.0234}, {length: 260, sigma: 0.0135}}
	base := s.likelihood(list[0]) - restricted(list[0])
	for _, c := range list[1:] {
		if d := s.likelihood(c) - restricted(c) - base; math.Abs(d) > 0.01 {
			t.Errorf("length %g: off by %.4f", c.length, d)
		}
	}
}

// Property 4: Matérn 3/2 is the transform of Student's spectral density (Rasmussen and Williams 2006, eq. 4.15): the mean of
// cos(k·r) over wave vectors drawn from it, by numerical integration over the wave number with Bessel's J0.
func TestMaternAgainstItsSpectrum(t *testing.T) {
	const length = 120.0
	for _, r := range []float64{0, 30, 120, 300} {
		sum, whole := 0.0, 0.0
		for step := range 400_000 {
			k := (float64(step) + 0.5) * 1e-5
			density := k * math.Pow(3/(length*length)+k*k, -2.5)
			whole += density
			sum += density * math.J0(k*r)
		}
		if got, want := matern(r, length), sum/whole; math.Abs(got-want) > 1e-4 {
			t.Errorf("distance %g: %.6f, by the spectrum %.6f", r, got, want)
		}
	}
}

// Property 5: fields by circulant embedding have the target's covariance, for the shortest and the longest length. 1,200 fields:
// five standard errors of one correlation are 0.14; all pairs of one lag are averaged, which makes it far less.
func TestFieldsHaveTheCovariance(t *testing.T) {
	f := NewFields(914, 1473, 20, 11)
	l := f.grid
	const fields = 1200
	for _, length := range []float64{lengths[0], lengths[len(lengths)-1]} {
		for _, lag := range [][2]int{{0, 0}, {1, 0}, {0, 4}, {5, 5}, {20, 0}, {0, 40}} {
			sum, n := 0.0, 0
			for k := range fields {
				z := f.of(length, k)
				for i := 0; i+lag[0] < l.nx; i += 5 {
					for j := 0; j+lag[1] < l.ny; j += 9 {
						sum += z[i*l.ny+j] * z[(i+lag[0])*l.ny+j+lag[1]]
						n++
					}
				}
			}
			want := matern(math.Hypot(float64(lag[0])*l.dx, float64(lag[1])*l.dy), length)
			if got := sum / float64(n); math.Abs(got-want) > 0.1 {
				t.Errorf("length %g, lag %v: covariance %.3f, want %.3f", length, lag, got, want)
			}
		}
	}
}

// What the clipped eigenvalues cost: the covariance that is really drawn (the transform of the kept ones) stays near the target.
func TestClippingCostsLittle(t *testing.T) {
	for _, length := range lengths {
		l := newLattice(914, 1473, 20)
		c := newCloth(l, length)
		torus := make([]complex128, len(c.root))
		for k, r := range c.root {
			torus[k] = complex(r*r, 0)
		}
		c.transform(torus)
		worst := 0.0
		for i := range l.nx {
			for j := range l.ny {
				worst = math.Max(worst, math.Abs(real(torus[i*c.my+j])-c.table[i*l.ny+j]))
			}
		}
		if worst > 0.03 {
			t.Errorf("length %g: the covariance is off by up to %.4f", length, worst)
		}
	}
}

// Property 6: readings one by one give the faces' distribution that all at once give, at fixed parameters.
func TestOneByOneIsAllAtOnce(t *testing.T) {
	all := rehearsed(8)
	all.Draws = 2000
	p := single(160, 0.02, 0)
	some := all
	some.Readings = all.Readings[:40]
	live, err := Start(some, p)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range all.Readings[40:] {
		if err := live.Add(r); err != nil {
			t.Fatal(err)
		}
	}
	mean, variance := dense(live, setting{length: 160, sigma: 0.02}, []int{900, 2110})
	for i, k := range []int{900, 2110} {
		m, v := 0.0, 0.0
		for _, f := range live.faces {
			m += f.height[k] / float64(len(live.faces))
		}
		for _, f := range live.faces {
			v += (f.height[k] - m) * (f.height[k] - m) / float64(len(live.faces))
		}
		if math.Abs(m-mean[i]) > 4*math.Sqrt(variance[i]/2000) || math.Abs(v/variance[i]-1) > 0.16 {
			t.Errorf("node %d: mean %.5f and variance %.3g, kriging with all readings says %.5f and %.3g", k, m, v, mean[i], variance[i])
		}
	}
}

// The same question gives the same answer; another seed another one within the doubt of 400 draws.
func TestSameQuestionSameAnswer(t *testing.T) {
	one, err := Of(rehearsed(9), nil)
	if err != nil {
		t.Fatal(err)
	}
	two, err := Of(rehearsed(9), nil)
	if err != nil {
		t.Fatal(err)
	}
	if one.Interval() != two.Interval() || one.Conforms(0.2) != two.Conforms(0.2) {
		t.Error("two answers to one question")
	}
	q := rehearsed(9)
	q.Seed = 2
	other, err := Of(q, nil)
	if err != nil {
		t.Fatal(err)
	}
	if a, b := one.Interval().Median, other.Interval().Median; a == b || math.Abs(a-b) > 0.1*a {
		t.Errorf("medians %.5f and %.5f", a, b)
	}
}

// Distribution: probability and quantile undo each other, and a sample's own quantiles come back (closed form: normal).
func TestDistribution(t *testing.T) {
	zones := make([]float64, 400)
	for i := range zones {
		zones[i] = math.Exp(-2 + 0.2*chance.Quantile((float64(i)+0.5)/400))
	}
	d := NewDistribution(zones)
	for _, p := range []float64{0.0001, 0.01, 0.05, 0.3, 0.5, 0.95, 0.999, 0.9999} {
		if got := d.Below(d.Quantile(p)); math.Abs(got-p) > 1e-9 {
			t.Errorf("p %g comes back as %g", p, got)
		}
		if got, want := math.Log(d.Quantile(p)), -2+0.2*chance.Quantile(p); math.Abs(got-want) > 0.02 {
			t.Errorf("p %g: log zone %.4f, want %.4f", p, got, want)
		}
	}
}

// Next: where a reading settles most is not where readings are.
func TestNextIsBetweenTheReadings(t *testing.T) {
	a, err := Start(rehearsed(4), nil)
	if err != nil {
		t.Fatal(err)
	}
	ans, err := a.Answer()
	if err != nil {
		t.Fatal(err)
	}
	next := a.Next(ans.Interval().Median, 3)
	if len(next) != 3 || next[0].Saves <= 0 {
		t.Fatalf("advice %v", next)
	}
	for _, n := range next {
		if a.wasRead(n.X, n.Y) {
			t.Errorf("%v was read", n)
		}
	}
	if settled := a.Next(10, 2); len(settled) != 2 || settled[0].Saves != 0 {
		t.Errorf("nothing is in doubt, and reading on saves %v", settled)
	}
}

func TestStopRule(t *testing.T) {
	for _, c := range []struct {
		p          float64
		readings   int
		calibrated bool
		purpose    Purpose
		stop       bool
	}{{0.01, 30, true, Certify, true}, {0.99, 30, true, Certify, false}, {0.99, 30, true, Process, true}, {0.01, 30, false, Certify, false},
		{0.5, 30, true, Process, false}, {0.5, 54, false, Certify, true}} {
		if stop, why := (Answer{Readings: c.readings, Calibrated: c.calibrated}).MayStop(c.p, 54, c.purpose); stop != c.stop || why == "" {
			t.Errorf("%+v: stop %v (%s)", c, stop, why)
		}
	}
}

package judge_test

import (
	"errors"
	"math"
	"testing"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/judge"
	"slatewright/seating"
	"slatewright/trouble"
)

// fake is a bed whose figures are any function of what is added to the readings.
type fake func(dz [3][]float64) seating.Figures

// Resample lays the bed so that it measures what it does without any change.
func (f fake) Resample(dz [3][]float64) (read, laidSo seating.Figures, err error) {
	var none [3][]float64
	for k := range dz {
		none[k] = make([]float64, len(dz[k]))
	}
	return f(dz), f(none), nil
}

// quiet is a specification without a bench error.
func quiet() bed.Spec {
	s := bed.NineFoot()
	s.Uncertainty.Bench = 0
	return s
}

func simulate(t *testing.T, q seating.Question, s judge.Reseater, seed uint64, draws int) judge.Doubt {
	t.Helper()
	d, err := judge.Simulate(q, s, seed, draws)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// near allows five standard errors of a mean, or of a standard deviation, of that many normal draws.
func near(got, want, sd float64, draws int) bool {
	return math.Abs(got-want) <= 5*sd/math.Sqrt(float64(draws))
}

// A figure that is a sum of readings has the closed form: no shift, and the root of the sum of squares.
func TestLinearFigureHasItsClosedForm(t *testing.T) {
	const draws = 4000
	a, b, c := grid(flat), grid(flat), grid(flat)
	a.U, b.U, c.U = 0.010, 0.004, 0 // the third file has none: that of the specification counts
	q := question(quiet(), a, b, c)
	d := simulate(t, q, fake(func(dz [3][]float64) seating.Figures {
		return seating.Figures{Lengthwise: 0.3 + dz[0][0] + dz[0][71], Across: 0.2 + 2*dz[1][3], Zone: 0.4 + dz[2][5] - dz[0][5], Steps: [2]float64{dz[1][0], 0.1}}
	}), 1, draws)
	if d.ReadingU != [3]float64{0.010, 0.004, 0.010} || d.Draws != draws || d.Seed != 1 || d.BenchU != 0 {
		t.Errorf("%+v", d)
	}
	for i, c := range []struct {
		got judge.Spread
		sd  float64
	}{{d.Lengthwise, 0.010 * math.Sqrt2}, {d.Across, 0.008}, {d.Zone, 0.010 * math.Sqrt2}, {d.Steps[0], 0.004}, {d.Steps[1], 0}} {
		if !near(c.got.Shift, 0, c.sd, draws) || !near(c.got.SD, c.sd, c.sd/math.Sqrt2, draws) {
			t.Errorf("figure %d: %+v, want a standard deviation of %v", i, c.got, c.sd)
		}
	}
	if near(d.Across.SD, 0.004, 0.004, draws) {
		t.Error("half the standard deviation would pass")
	}
}

// limited is a bed that is seated for steps of 0.127 mm, which it reads every time, and that comes out otherwise.
type limited struct{}

func (limited) Resample(dz [3][]float64) (read, laidSo seating.Figures, err error) {
	read.Steps = [2]float64{0.127, 0.127}
	laidSo.Steps = [2]float64{0.127 + dz[0][3], 0.127 + math.Abs(dz[1][3])}
	return read, laidSo, nil
}

// A step that reads its limit however the readings are disturbed is as uncertain as the bed that is laid by them: the mean of the
// absolute value of a normal number is √(2/π) of its standard deviation, and its own standard deviation √(1 − 2/π) of it.
func TestStepAtItsLimitIsUncertain(t *testing.T) {
	const draws, u = 4000, 0.010
	d := simulate(t, question(quiet(), grid(flat), grid(flat), grid(flat)), limited{}, 2, draws)
	a, b := d.Steps[0], d.Steps[1]
	if !near(a.Shift, 0, u, draws) || !near(a.SD, u, u/math.Sqrt2, draws) || a.Rise != 0 {
		t.Errorf("%+v", a)
	}
	if sd := u * math.Sqrt(1-2/math.Pi); !near(b.Shift, -u*math.Sqrt(2/math.Pi), sd, draws) || !near(b.SD, sd, sd, draws) || b.Rise != 0 {
		t.Errorf("%+v", b)
	}
	// And a real bed, of which the flattest seating uses the whole limit.
	crowns := question(bed.NineFoot(), grid(second(0.08, 0.06, 0)), grid(second(-0.11, -0.06, 0)), grid(second(0.08, 0.06, 0)))
	crowns.MaxStep = 0.09
	in := input(t, crowns, judge.FewestDraws)
	f := set(t, in).Finding(judge.StepHead)
	if math.Abs(f.Read-0.09) > 1e-6 || in.Doubt.Steps[0].SD < 0.005 || f.Noise >= 0 || f.Value <= f.Read+0.010 {
		t.Errorf("%+v, %+v", f, in.Doubt.Steps[0])
	}
}

// The range of ten readings of flat stone: its mean is d2 = 3.078 and its standard deviation d3 = 0.797 times that of one
// reading (factors for control charts, n = 10; standard table, from memory, and D. C. Montgomery, Introduction to Statistical
// Quality Control, appendix).
func TestRangeOfTenReadings(t *testing.T) {
	const draws, u, d2, d3 = 4000, 0.010, 3.078, 0.797
	q := question(quiet(), grid(flat), grid(flat), grid(flat))
	d := simulate(t, q, fake(func(dz [3][]float64) seating.Figures {
		low, high := math.Inf(1), math.Inf(-1)
		for _, z := range dz[1][:10] {
			low, high = min(low, z), max(high, z)
		}
		return seating.Figures{Zone: high - low}
	}), 3, draws)
	if !near(d.Zone.Shift, d2*u, d3*u, draws) || !near(d.Zone.SD, d3*u, d3*u, draws) {
		t.Errorf("%+v, want a shift of %v and a standard deviation of %v", d.Zone, d2*u, d3*u)
	}
}

// The bench's error: root mean square 1 over each face, correlation ½ between faces, and nothing but bow along, bow across and
// twist.
func TestBenchError(t *testing.T) {
	draws, few := 3000, 1.0 // few: how much wider the tolerances are
	if testing.Short() {
		draws, few = 300, 3
	}
	spec := bed.NineFoot()
	spec.Uncertainty.Bench, spec.Uncertainty.Reading = 1, 0
	fine := read(flat, 21, 31)
	fine.U = 0
	q := question(spec, fine, fine, fine)
	square, product, worst := 0.0, 0.0, 0.0
	simulate(t, q, fake(func(dz [3][]float64) seating.Figures {
		const n = 21 * 31
		for i := range n {
			square += dz[0][i] * dz[0][i] / n / float64(draws)
			product += dz[0][i] * dz[1][i] / n / float64(draws)
			j := n - 1 - i // the same place turned by half a turn: all three shapes are even
			worst = max(worst, math.Abs(dz[2][i]-dz[2][j]))
		}
		worst = max(worst, twistOnly(q.Faces[0], dz[0]))
		return seating.Figures{}
	}), 5, draws)
	// A mean over the grid counts its edge places fully: the mean of squares is a little more than 1.
	u2, v2 := meanEven(21, pieceX), meanEven(31, pieceY)
	want := (5.0/3)*(u2[1]*9-6*u2[0]+1)/4 + (5.0/3)*(v2[1]*9-6*v2[0]+1)/4 + 3*u2[0]*v2[0]
	if math.Abs(square/want-1) > 0.08*few || math.Abs(square-1) > 0.25 {
		t.Errorf("mean square %v, want %v, near 1", square, want)
	}
	if math.Abs(product/square-0.5) > 0.08*few {
		t.Errorf("correlation between faces %v", product/square)
	}
	if worst > 1e-12 {
		t.Errorf("the error is off the three shapes by %v", worst)
	}
}

// meanEven is the mean of u² and u⁴ over the stations of the grid, u = −1 … 1 over the piece.
func meanEven(n int, size float64) (m [2]float64) {
	for _, x := range stations(n, size/2-20) {
		u := 2 * x / size
		m[0] += u * u / float64(n)
		m[1] += u * u * u * u / float64(n)
	}
	return m
}

// twistOnly is how far the error is from a twist once both bows are taken out by mirror images: z(x, y) − z(−x, y) = 2·T·u·v.
func twistOnly(f *face.Face, z []float64) float64 {
	at := map[[2]float64]float64{}
	for i := range 21 * 31 {
		at[[2]float64{f.X[i], f.Y[i]}] = z[i]
	}
	worst, t, found := 0.0, 0.0, 0
	for p, zp := range at {
		mirror, ok := at[[2]float64{-p[0], p[1]}]
		if !ok || math.Abs(p[0]*p[1]) < 1e4 {
			continue
		}
		k := (zp - mirror) / (p[0] * p[1]) * pieceX * pieceY
		if found++; found == 1 {
			t = k
		}
		worst = max(worst, math.Abs(k-t))
	}
	if found < 100 {
		return math.Inf(1)
	}
	return worst / 100 // k divides by as little as 1e4/(pieceX·pieceY)
}

// A seed gives the same doubt again, another seed another; the numbers of seed 11 are part of what certificates promise.
func TestSeedDecides(t *testing.T) {
	q := question(bed.NineFoot(), grid(flat), grid(flat), grid(flat))
	bed := fake(func(dz [3][]float64) seating.Figures {
		return seating.Figures{Lengthwise: dz[0][0], Across: dz[1][10] - dz[2][10], Zone: math.Abs(dz[2][71]), Steps: [2]float64{dz[1][60], dz[0][30]}}
	})
	a, b, c := simulate(t, q, bed, 11, 50), simulate(t, q, bed, 11, 50), simulate(t, q, bed, 12, 50)
	if a != b {
		t.Errorf("%+v and %+v", a, b)
	}
	if a.Zone == c.Zone || a.Lengthwise == c.Lengthwise {
		t.Error("another seed gives the same doubt")
	}
	for _, s := range []*judge.Spread{&a.Lengthwise, &a.Across, &a.Zone, &a.Steps[0], &a.Steps[1]} {
		if s.Rise != s.Shift {
			t.Errorf("a bed that is laid as it was is wrong by %v and rises by %v", s.Shift, s.Rise)
		}
		s.Rise = 0
	}
	want := judge.Doubt{Seed: 11, Draws: 50, ReadingU: [3]float64{0.01, 0.01, 0.01}, BenchU: 0.005,
		Lengthwise: judge.Spread{Shift: 0.000855, SD: 0.016086}, Across: judge.Spread{Shift: 0.000569, SD: 0.015899},
		Zone: judge.Spread{Shift: 0.012602, SD: 0.009628}, Steps: [2]judge.Spread{{Shift: 0.001754, SD: 0.009559}, {Shift: 0.002289, SD: 0.011047}}}
	if a != want {
		t.Errorf("seed 11 gives %+v", a)
	}
}

// More draws begin with the same ones: a longer simulation only sharpens.
func TestMoreDrawsContinue(t *testing.T) {
	q := question(bed.NineFoot(), grid(flat), grid(flat), grid(flat))
	var short, long []float64
	record := func(to *[]float64) fake {
		return func(dz [3][]float64) seating.Figures {
			if z := dz[1][7]; z != 0 {
				*to = append(*to, z)
			}
			return seating.Figures{}
		}
	}
	simulate(t, q, record(&short), 4, 50)
	simulate(t, q, record(&long), 4, 60)
	if len(short) != 50 || len(long) != 60 {
		t.Fatalf("%d and %d seatings", len(short), len(long))
	}
	for i := range short {
		if short[i] != long[i] {
			t.Fatalf("draw %d differs", i)
		}
	}
}

// Where a file counts from does not matter.
func TestCornerOriginMakesNoDifference(t *testing.T) {
	sum := fake(func(dz [3][]float64) seating.Figures {
		return seating.Figures{Zone: dz[0][0] + dz[0][33] + dz[2][70]}
	})
	middle := question(bed.NineFoot(), grid(flat), grid(flat), grid(flat))
	corner := question(bed.NineFoot(), grid(flat), grid(flat), grid(flat))
	for _, f := range corner.Faces {
		f.Origin = face.Corner
		for i := range f.X {
			f.X[i] += pieceX / 2
			f.Y[i] += pieceY / 2
		}
	}
	a, b := simulate(t, middle, sum, 1, 50), simulate(t, corner, sum, 1, 50)
	if math.Abs(a.Zone.SD-b.Zone.SD) > 1e-6 || a.Zone.SD == 0 {
		t.Errorf("%+v from the middle, %+v from the corner", a.Zone, b.Zone)
	}
}

// failing is a bed that cannot be seated.
type failing struct{}

func (failing) Resample([3][]float64) (read, laidSo seating.Figures, err error) {
	return read, laidSo, errors.New("broken")
}

func TestSimulationRefuses(t *testing.T) {
	still := fake(func([3][]float64) seating.Figures { return seating.Figures{} })
	good := question(bed.NineFoot(), grid(flat), grid(flat), grid(flat))
	small := question(bed.NineFoot(), grid(flat), grid(flat), grid(flat))
	small.Faces[1].SizeX = 0
	for name, c := range map[string]struct {
		q     seating.Question
		s     judge.Reseater
		draws int
		code  string
	}{
		"few draws":   {good, still, judge.FewestDraws - 1, "few-draws"},
		"no size":     {small, still, 50, "no-size"},
		"no face":     {seating.Question{Spec: bed.NineFoot()}, still, 50, "no-file"},
		"no reseater": {good, failing{}, 50, ""},
	} {
		_, err := judge.Simulate(c.q, c.s, 1, c.draws)
		var trouble *trouble.Trouble
		if errors.As(err, &trouble) != (c.code != "") || err == nil {
			t.Errorf("%s: %v", name, err)
		} else if trouble != nil && trouble.Code != c.code {
			t.Errorf("%s: %v", name, trouble.Code)
		}
	}
}

// The first doubt of the usual specification: 0.010 mm for a reading, 0.005 mm for the bench, 0.010 mm between the points.
func TestFirstDoubt(t *testing.T) {
	if got := judge.FirstDoubt(bed.NineFoot()); math.Abs(got-0.015) > 1e-12 {
		t.Errorf("%v", got)
	}
	// It is of the size of what the simulation finds for a good bed.
	f := judged(t, equal(bed.NineFoot(), second(0, 0.1, 0))).Finding(judge.Zone)
	if first := judge.FirstDoubt(bed.NineFoot()); f.U < first/2 || f.U > 2*first {
		t.Errorf("u is %v, and at first %v", f.U, first)
	}
}

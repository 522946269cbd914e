package flatness_test

import (
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"slatewright/flatness"
)

// piece is a 9×6 grid over a third of a 9-ft bed with heights by the formula of the shape, in mm.
func piece(height func(u, v float64) float64) flatness.Points {
	var p flatness.Points
	for i := range 9 {
		for j := range 6 {
			u, v := float64(i)/4-1, float64(j)/2.5-1
			p = with(p, 437*u, 716*v, height(u, v))
		}
	}
	return p
}

func with(p flatness.Points, x, y, z float64) flatness.Points {
	return flatness.Points{X: append(p.X, x), Y: append(p.Y, y), Z: append(p.Z, z)}
}

// turned carries the points through an orthogonal matrix with the given rows, and moves them.
func turned(p flatness.Points, m [3][3]float64, by [3]float64) flatness.Points {
	var q flatness.Points
	for i := range p.X {
		v := by
		for r := range 3 {
			v[r] += m[r][0]*p.X[i] + m[r][1]*p.Y[i] + m[r][2]*p.Z[i]
		}
		q = with(q, v[0], v[1], v[2])
	}
	return q
}

// trials is n, or a tenth of it where tests are to be short (under an emulator).
func trials(n int) int {
	if testing.Short() {
		return n / 10
	}
	return n
}

// randomTurn is a random rotation, by a random unit quaternion.
func randomTurn(r *rand.Rand) [3][3]float64 {
	a, b, c, d := r.NormFloat64(), r.NormFloat64(), r.NormFloat64(), r.NormFloat64()
	l := math.Sqrt(a*a + b*b + c*c + d*d)
	a, b, c, d = a/l, b/l, c/l, d/l
	return [3][3]float64{
		{a*a + b*b - c*c - d*d, 2 * (b*c - a*d), 2 * (b*d + a*c)},
		{2 * (b*c + a*d), a*a - b*b + c*c - d*d, 2 * (c*d - a*b)},
		{2 * (b*d - a*c), 2 * (c*d + a*b), a*a - b*b - c*c + d*d},
	}
}

func zoneOf(t *testing.T, p flatness.Points) flatness.Zone {
	t.Helper()
	z, err := flatness.MinimumZone(p)
	if err != nil {
		t.Fatal(err)
	}
	return z
}

// Closed forms: what each shape's zone must be by symmetry, level and in any other orientation.
func TestClosedForms(t *testing.T) {
	cases := []struct {
		name   string
		height func(u, v float64) float64
		zone   float64
		kind   string // "" if both are right
	}{
		{"crown along", func(u, v float64) float64 { return 0.3 * (1 - u*u) }, 0.3, ""},
		{"dish along", func(u, v float64) float64 { return -0.3 * (1 - u*u) }, 0.3, ""},
		{"crown across", func(u, v float64) float64 { return 0.2 * (1 - v*v) }, 0.2 * (1 - 0.04), ""},
		{"twist", func(u, v float64) float64 { return 0.125 * u * v }, 0.25, "2-2"},
		{"peak", func(u, v float64) float64 {
			if u == 0 && v > 0 && v < 0.3 {
				return 0.5
			}
			return 0
		}, 0.5, "3-1"},
		{"level", func(u, v float64) float64 { return 17 }, 0, "flat"},
		{"tilted", func(u, v float64) float64 { return u/8 - v/4 }, 0, "flat"},
	}
	r := rand.New(rand.NewPCG(1, 1))
	for _, c := range cases {
		p := piece(c.height)
		for k := range 20 {
			q := p
			if k > 0 {
				q = turned(p, randomTurn(r), [3]float64{1000 * r.NormFloat64(), 1000 * r.NormFloat64(), 1000 * r.NormFloat64()})
			}
			z := zoneOf(t, q)
			if math.Abs(z.Value-c.zone) > 8*lastPlace(q) {
				t.Errorf("%s, turn %d: zone %.17g, want %g", c.name, k, z.Value, c.zone)
			}
			if c.kind != "" && z.Kind != c.kind {
				t.Errorf("%s, turn %d: kind %q, want %q", c.name, k, z.Kind, c.kind)
			}
			if !(z.Low <= z.Value && z.Value <= z.High) {
				t.Errorf("%s, turn %d: %g is not within %g to %g", c.name, k, z.Value, z.Low, z.High)
			}
			checkContacts(t, c.name, q, z)
		}
	}
}

// The interval by its formula, on a twisted piece of known zone and width; and a crown whose zone is a fiftieth of its width.
func TestInterval(t *testing.T) {
	for _, c := range []struct{ twist, along float64 }{{0.25, 437}, {20, 437}, {50, 437}} {
		z := zoneOf(t, piece(func(u, v float64) float64 { return c.twist / 2 * u * v }))
		ratio := c.twist / (2 * c.along)
		if ratio > 0.01 { // tried in every orientation
			if z.Value-z.Low > 1e-11 {
				t.Errorf("twist %g: low %.17g of %.17g", c.twist, z.Low, z.Value)
			}
			continue
		}
		want := c.twist * (1 - ratio*ratio) / (1 + ratio*ratio)
		if math.Abs(z.Low-want) > 1e-9*ratio*ratio+1e-13 {
			t.Errorf("twist %g: low %.17g, want %.17g", c.twist, z.Low, want)
		}
	}
	const n = 60_000
	r := rand.New(rand.NewPCG(14, 14))
	p := onPlane(n, level, func(i int) (float64, float64) {
		if i < 4 {
			return float64(i%2*2 - 1), float64(i/2*2 - 1)
		}
		return 2*r.Float64() - 1, 2*r.Float64() - 1
	}, func(_ int, u, v float64) float64 { return 10 * u * v })
	z := zoneOf(t, p)
	ratio := 20 / 914.0
	// The width is that of the sample, which misses the very corners.
	if want := 20 * (1 - ratio*ratio) / (1 + ratio*ratio); z.Value != 20 || z.Low > want || z.Low < 20-1.3*(20-want) {
		t.Errorf("scan: %.17g, low %.17g, want a little below %.17g", z.Value, z.Low, want)
	}
}

func TestFlatListsNoContact(t *testing.T) {
	z := zoneOf(t, piece(func(u, v float64) float64 { return 0 }))
	if z.Kind != "flat" || z.Value != 0 || z.Low != 0 || z.Contacts != nil || z.Normal != [3]float64{0, 0, 1} {
		t.Errorf("got %+v", z)
	}
}

// rough is a face with bow, twist and 4 µm of noise, read to 1 µm.
func rough(r *rand.Rand, n int) flatness.Points {
	a, b, c := 0.1*r.NormFloat64(), 0.1*r.NormFloat64(), 0.05*r.NormFloat64()
	var p flatness.Points
	for range n {
		u, v := 2*r.Float64()-1, 2*r.Float64()-1
		z := a*(1-u*u) + b*(1-v*v) + c*u*v + 0.004*r.NormFloat64()
		p = with(p, math.Round(437*u), math.Round(716*v), math.Round(1000*z)/1000)
	}
	return p
}

func TestProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	for trial := range trials(300) {
		p := rough(r, 5+r.IntN(100))
		z := zoneOf(t, p)
		tol := 16*lastPlace(p) + 1e-12*z.Value
		checkContacts(t, "rough", p, z)
		if !(0 <= z.Low && z.Low <= z.Value && z.Value <= z.High) {
			t.Fatalf("trial %d: %g is not within %g to %g", trial, z.Value, z.Low, z.High)
		}
		if l, err := flatness.LeastSquares(p); err != nil || l.PeakToValley < z.Value-tol {
			t.Fatalf("trial %d: least squares %g below the zone %g (%v)", trial, l.PeakToValley, z.Value, err)
		}
		if v, err := flatness.ZoneValue(p); err != nil || math.Abs(v-z.Value) > 1e-9 {
			t.Fatalf("trial %d: fast value %g, want %g (%v)", trial, v, z.Value, err)
		}
		more := zoneOf(t, with(p, math.Round(437*(2*r.Float64()-1)), math.Round(716*(2*r.Float64()-1)), 0.3*r.NormFloat64()))
		if more.High < z.Low {
			t.Fatalf("trial %d: one more point lowers the zone from %g to %g", trial, z.Value, more.Value)
		}
		held := zoneOf(t, pick(p, z.Contacts))
		if math.Abs(held.Value-z.Value) > tol {
			t.Fatalf("trial %d: the contacts alone have zone %g, all points %g", trial, held.Value, z.Value)
		}
	}
}

func pick(p flatness.Points, index []int) flatness.Points {
	var q flatness.Points
	for _, i := range index {
		q = with(q, p.X[i], p.Y[i], p.Z[i])
	}
	return q
}

func TestInvariance(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	for trial := range trials(200) {
		p := rough(r, 20+r.IntN(60))
		z := zoneOf(t, p)

		// Powers of two change no bit but the exponent.
		k := math.Ldexp(1, r.IntN(60)-30)
		s := zoneOf(t, turned(p, [3][3]float64{{k, 0, 0}, {0, k, 0}, {0, 0, k}}, [3]float64{}))
		want := z
		want.Value, want.Low, want.High = z.Value*k, z.Low*k, z.High*k
		if !reflect.DeepEqual(s, want) {
			t.Fatalf("trial %d: scaled by %g: got %+v, want %+v", trial, k, s, want)
		}

		m, by := randomTurn(r), [3]float64{500 * r.NormFloat64(), 500 * r.NormFloat64(), 500 * r.NormFloat64()}
		q := turned(p, m, by)
		y := zoneOf(t, q)
		if math.Abs(y.Value-z.Value) > 8*lastPlace(q) {
			t.Fatalf("trial %d: turned and moved: %.17g, want %.17g", trial, y.Value, z.Value)
		}

		order := r.Perm(p.Len())
		o := zoneOf(t, pick(p, order))
		if math.Abs(o.Value-z.Value) > 8*lastPlace(p) {
			t.Fatalf("trial %d: another order: %.17g, want %.17g", trial, o.Value, z.Value)
		}

		twice := zoneOf(t, flatness.Points{X: append(slices.Clone(p.X), p.X...), Y: append(slices.Clone(p.Y), p.Y...), Z: append(slices.Clone(p.Z), p.Z...)})
		if math.Abs(twice.Value-z.Value) > 8*lastPlace(p) || len(twice.Contacts) != 4 {
			t.Fatalf("trial %d: every point twice: %+v, want %+v", trial, twice, z)
		}
	}
}

func TestRefusals(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	cases := []struct {
		name string
		p    flatness.Points
		want string
	}{
		{"none", flatness.Points{}, "0 points are too few"},
		{"three", flatness.Points{X: []float64{0, 1, 0}, Y: []float64{0, 0, 1}, Z: []float64{0, 0, 0}}, "3 points are too few"},
		{"uneven", flatness.Points{X: make([]float64, 5), Y: make([]float64, 4), Z: make([]float64, 5)}, "not equally long"},
		{"one place", flatness.Points{X: []float64{3, 3, 3, 3}, Y: []float64{5, 5, 5, 5}, Z: []float64{7, 7, 7, 7}}, "one line"},
		{"on a line", flatness.Points{X: []float64{0.1, 0.2, 0.3, 0.4}, Y: []float64{0.2, 0.4, 0.6, 0.8}, Z: []float64{0.7, 1.4, 2.1, 2.8}}, "one line"},
		{"NaN", flatness.Points{X: []float64{0, 1, 0, 1}, Y: []float64{0, 0, 1, 1}, Z: []float64{0, 0, nan, 0}}, "point 3: a coordinate is not a number"},
		{"infinite", flatness.Points{X: []float64{0, inf, 0, 1}, Y: []float64{0, 0, 1, 1}, Z: []float64{0, 0, 0, 0}}, "point 2: a coordinate is not a number"},
		{"far", flatness.Points{X: []float64{0, 1, 0, 1}, Y: []float64{0, 0, 1, 1e80}, Z: []float64{0, 0, 0, 0}}, "point 4: a coordinate is not a number"},
	}
	for _, c := range cases {
		_, errZone := flatness.MinimumZone(c.p)
		_, errValue := flatness.ZoneValue(c.p)
		_, errPlane := flatness.LeastSquares(c.p)
		for _, err := range []error{errZone, errValue, errPlane} {
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("%s: got %v, want %q", c.name, err, c.want)
			}
		}
	}
}

// Points that are no face: few are tried in every orientation, many come back with a warning and still a true interval.
func TestNoFace(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	ball := func(n int) flatness.Points {
		var p flatness.Points
		for range n {
			p = with(p, r.NormFloat64(), r.NormFloat64(), r.NormFloat64())
		}
		return p
	}
	few := zoneOf(t, ball(20))
	if len(few.Warnings) != 0 || few.Value-few.Low > 1e-13 {
		t.Errorf("20 points: %+v, want a proven zone", few)
	}
	many := zoneOf(t, ball(200))
	if len(many.Warnings) != 1 || !strings.Contains(many.Warnings[0], "not a face") {
		t.Errorf("200 points: warnings %q", many.Warnings)
	}
	if many.Low < 0 || many.Low > many.Value {
		t.Errorf("200 points: low %g of %g", many.Low, many.Value)
	}
}

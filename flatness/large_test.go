package flatness_test

import (
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"strings"
	"testing"

	"slatewright/flatness"
)

// onPlane is a face of n points about a plane in some orientation: height gives the distance from it.
func onPlane(n int, m [3][3]float64, place func(i int) (u, v float64), height func(i int, u, v float64) float64) flatness.Points {
	p := flatness.Points{X: make([]float64, n), Y: make([]float64, n), Z: make([]float64, n)}
	for i := range n {
		u, v := place(i)
		w := height(i, u, v)
		x, y := 457*u, 736.5*v
		p.X[i] = m[0][0]*x + m[0][1]*y + m[0][2]*w
		p.Y[i] = m[1][0]*x + m[1][1]*y + m[1][2]*w
		p.Z[i] = m[2][0]*x + m[2][1]*y + m[2][2]*w
	}
	return p
}

var (
	level  = [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	shapes = map[string]func(r *rand.Rand) func(i int, u, v float64) float64{
		"ground": func(r *rand.Rand) func(int, float64, float64) float64 {
			return func(_ int, u, v float64) float64 {
				return 0.1*(1-u*u) - 0.05*(1-v*v) + 0.03*u*v + 0.005*r.NormFloat64()
			}
		},
		"rounded to 1 µm": func(r *rand.Rand) func(int, float64, float64) float64 {
			return func(_ int, u, v float64) float64 { return math.Round(100*(1-u*u)+5*r.NormFloat64()) / 1000 }
		},
		"rough": func(r *rand.Rand) func(int, float64, float64) float64 {
			return func(int, float64, float64) float64 { return 0.02 * r.NormFloat64() }
		},
		"chipped": func(r *rand.Rand) func(int, float64, float64) float64 {
			return func(i int, u, v float64) float64 {
				if i%7919 == 100 {
					return -0.4 * r.Float64()
				}
				return 0.1*(1-u*u) + 0.003*r.NormFloat64()
			}
		},
		"smooth": func(*rand.Rand) func(int, float64, float64) float64 {
			return func(_ int, u, v float64) float64 { return 0.1*(1-u*u) + 0.07*(1-v*v) - 0.02*u*v }
		},
		"smooth dish": func(*rand.Rand) func(int, float64, float64) float64 {
			return func(_ int, u, v float64) float64 { return -0.1*(1-u*u) - 0.07*(1-v*v) + 0.02*u*v }
		},
		"one spike": func(*rand.Rand) func(int, float64, float64) float64 {
			return func(i int, _, _ float64) float64 { return []float64{0, 1}[max(0, min(1, 12346-i)*min(1, i-12344))] }
		},
	}
)

// Large faces: no point outside the planes, the contacts on them, the contacts alone have the same zone (so it can't be
// smaller), and the zone of every hundredth point is no larger.
func TestLargeFaces(t *testing.T) {
	const n = 60_000
	faces := 0
	for name, shape := range shapes {
		for _, how := range []string{"at random", "in rows"} {
			r := rand.New(rand.NewPCG(8, 8))
			place := func(int) (float64, float64) { return 2*r.Float64() - 1, 2*r.Float64() - 1 }
			if how == "in rows" {
				place = func(i int) (float64, float64) { return float64(i%300)/150 - 1, float64(i/300)/100 - 1 }
			}
			for turn, m := range [][3][3]float64{level, randomTurn(r), {{0, 0, 1}, {1, 0, 0}, {0, 1, 0}}} {
				p := onPlane(n, m, place, shape(r))
				z := zoneOf(t, p)
				checkContacts(t, name+" "+how, p, z)
				// (Contacts round a spike are so close together that another orientation suits the four of them better.)
				held := zoneOf(t, pick(p, z.Contacts))
				if name != "one spike" && math.Abs(held.Value-z.Value) > 1e-9*z.Value {
					t.Errorf("%s %s %d: the contacts alone have zone %g, all points %g", name, how, turn, held.Value, z.Value)
				}
				var some []int
				for i := 0; i < n; i += 100 {
					some = append(some, i)
				}
				if few := zoneOf(t, pick(p, some)); few.Low > z.High {
					t.Errorf("%s %s %d: a hundredth of the points has zone %g, all %g", name, how, turn, few.Value, z.Value)
				}
				if z.Value-z.Low > 3e-6*z.Value || z.High-z.Value > 1e-10 {
					t.Errorf("%s %s %d: the interval %g to %g is wide for %g", name, how, turn, z.Low, z.High, z.Value)
				}
				faces++
			}
		}
	}
	if faces != 42 {
		t.Errorf("%d faces", faces)
	}
}

// The answer is the same to the last bit on any number of cores.
func TestCoresMakeNoDifference(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 10))
	p := onPlane(40_000, randomTurn(r), func(int) (float64, float64) { return 2*r.Float64() - 1, 2*r.Float64() - 1 }, shapes["rounded to 1 µm"](r))
	type all struct {
		zone   flatness.Zone
		plane  flatness.Plane
		shape  flatness.Shape
		course [2]flatness.Course
	}
	run := func(cores int) (a all) {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
		var err [4]error
		a.zone, err[0] = flatness.MinimumZone(p)
		a.plane, err[1] = flatness.LeastSquares(p)
		a.shape, err[2] = flatness.FitShape(p, 3000, 3000)
		a.course[0], a.course[1], err[3] = flatness.Lines(p, nil)
		if err != [4]error{} {
			t.Fatal(err)
		}
		return a
	}
	one := run(1)
	for _, cores := range []int{2, 3, 7} {
		if got := run(cores); !reflect.DeepEqual(got, one) {
			t.Errorf("%d cores: %+v, one core: %+v", cores, got, one)
		}
	}
}

// A raster whose line length is in step with the sample must not look like a line, and a face that is a line but for one
// point is a face.
func TestSampleSeesTheFace(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 11))
	const columns, rows = 64, 1024
	p := onPlane(columns*rows, level, func(i int) (float64, float64) { return float64(i%columns)/32 - 1, float64(i/columns)/512 - 1 }, shapes["ground"](r))
	if z := zoneOf(t, p); len(z.Warnings) > 0 || z.Value-z.Low > 1e-6*z.Value {
		t.Errorf("raster: %+v", z)
	}

	line := flatness.Points{}
	for i := range 50_000 {
		line = with(line, float64(i), 0, math.Round(10*r.Float64()))
	}
	if _, err := flatness.MinimumZone(line); err != nil {
		t.Errorf("a profile has two dimensions: %v", err)
	}
	straight := flatness.Points{X: line.X, Y: line.Y, Z: make([]float64, 50_000)}
	if _, err := flatness.MinimumZone(straight); err == nil || !strings.Contains(err.Error(), "one line") {
		t.Errorf("a straight line: %v", err)
	}
	straight.Y[31_415] = 1
	if z := zoneOf(t, straight); z.Kind != "flat" || math.Abs(z.Normal[2]) != 1 {
		t.Errorf("a line and a point: %+v", z)
	}
	straight.Z[7] = 0.5
	if z := zoneOf(t, straight); math.Abs(z.Value-0.5) > 0.3 || z.Kind == "flat" {
		t.Errorf("a line and two points: %+v", z)
	}
}

func TestLargeFlat(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 12))
	for _, m := range [][3][3]float64{level, randomTurn(r)} {
		p := onPlane(30_000, m, func(int) (float64, float64) { return 2*r.Float64() - 1, 2*r.Float64() - 1 }, func(int, float64, float64) float64 { return 0 })
		z := zoneOf(t, p)
		if z.Kind != "flat" || z.Value > 8*lastPlace(p) || apart(z.Normal, [3]float64{m[0][2], m[1][2], m[2][2]}) > 1e-12 {
			t.Errorf("got %+v", z)
		}
	}
}

func TestBrokenReadingInALargeFace(t *testing.T) {
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e99} {
		for _, column := range []int{0, 1, 2} {
			r := rand.New(rand.NewPCG(13, 13))
			p := onPlane(20_000, level, func(int) (float64, float64) { return 2*r.Float64() - 1, 2*r.Float64() - 1 }, shapes["ground"](r))
			[3][]float64{p.X, p.Y, p.Z}[column][17_771] = bad
			for name, try := range map[string]func() error{
				"zone":  func() error { _, err := flatness.MinimumZone(p); return err },
				"value": func() error { _, err := flatness.ZoneValue(p); return err },
				"plane": func() error { _, err := flatness.LeastSquares(p); return err },
				"shape": func() error { _, err := flatness.FitShape(p, 914, 1473); return err },
				"lines": func() error { _, _, err := flatness.Lines(p, nil); return err },
			} {
				if err := try(); err == nil || !strings.HasPrefix(err.Error(), "point 17772:") {
					t.Errorf("%s, %g in column %d: %v", name, bad, column, err)
				}
			}
		}
	}
}

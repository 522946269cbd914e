package contour

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"slatewright/trouble"
)

// drawn makes a face of columns at uneven places with random heights.
func drawn(t *rapid.T) (xs, ys []float64, p Points) {
	nx, ny := rapid.IntRange(2, 7).Draw(t, "nx"), rapid.IntRange(3, 10).Draw(t, "ny")
	x := -400.0
	for range nx {
		xs = append(xs, x)
		x += rapid.Float64Range(5, 200).Draw(t, "dx")
	}
	y := -700.0
	for range ny {
		ys = append(ys, y)
		y += rapid.Float64Range(5, 200).Draw(t, "dy")
	}
	for _, x := range xs {
		for _, y := range ys {
			p.X, p.Y, p.Z = append(p.X, x), append(p.Y, y), append(p.Z, rapid.Float64Range(-1, 1).Draw(t, "z"))
		}
	}
	return xs, ys, p
}

// Property 1: at a reading the surface is the reading.
func TestReadingsAreMet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		_, _, p := drawn(t)
		m, err := Interpolate(p, 30)
		if err != nil {
			t.Fatal(err)
		}
		for k := range p.Z {
			found := false
			for i := range m.Z {
				if math.Abs(m.X[i]-p.X[k]) < 1e-9 && math.Abs(m.Y[i]-p.Y[k]) < 1e-9 {
					found = true
					if math.Abs(m.Z[i]-p.Z[k]) > 1e-12 {
						t.Fatalf("reading %d is %g, the mesh says %g", k, p.Z[k], m.Z[i])
					}
				}
			}
			if !found {
				t.Fatalf("no node stands on reading %d", k)
			}
		}
	})
}

// Property 2: inside a cell of four readings the surface stays between the lowest and the highest of them.
func TestNothingIsHigherThanWhatWasRead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		xs, ys, p := drawn(t)
		m, err := Interpolate(p, 30)
		if err != nil {
			t.Fatal(err)
		}
		for k, z := range m.Z {
			i, j := bracket(xs, m.X[k]), bracket(ys, m.Y[k])
			low, high := math.Inf(1), math.Inf(-1)
			for _, c := range [4]int{i*len(ys) + j, i*len(ys) + j + 1, (i+1)*len(ys) + j, (i+1)*len(ys) + j + 1} {
				low, high = math.Min(low, p.Z[c]), math.Max(high, p.Z[c])
			}
			if z < low-1e-12 || z > high+1e-12 {
				t.Fatalf("at %g, %g the mesh is %g, the readings around it lie in [%g, %g]", m.X[k], m.Y[k], z, low, high)
			}
		}
	})
}

// Property 3: a plane comes out as that plane, whatever way it was read.
func TestPlanesArePlanes(t *testing.T) {
	plane := func(x, y float64) float64 { return 0.2 + 0.0003*x - 0.0007*y }
	columnsWithJointRows := grid(6, 9, 437, 716, plane)
	for j := range 11 { // a joint row of its own stations, shorter than the columns
		y := -650 + 130*float64(j)
		columnsWithJointRows = appendPoint(columnsWithJointRows, 447, y, plane(447, y))
	}
	var rows, cross Points
	for i := range 5 { // readings along lines parallel to x, each line with stations of its own
		for j := range 6 {
			x, y := -400+160*float64(j)+7*float64(i), -600+300*float64(i)
			rows = appendPoint(rows, x, y, plane(x, y))
		}
	}
	for i := range 40 { // scattered
		x, y := 400*math.Cos(float64(i*i)), 600*math.Sin(2.1*float64(i))
		cross = appendPoint(cross, x, y, plane(x, y))
	}
	scan := grid(160, 160, 400, 600, plane)
	for name, c := range map[string]struct {
		p      Points
		method string
		tol    float64
	}{
		"columns and a joint row": {columnsWithJointRows, MethodColumns, 1e-12},
		"rows":                    {rows, MethodColumns, 1e-12},
		"scattered":               {cross, MethodPlanes, 1e-9},
		"scan":                    {scan, MethodCells, 1e-12},
	} {
		m := mesh(t, c.p, 20)
		if m.Method != c.method {
			t.Errorf("%s: method %q", name, m.Method)
		}
		nodes := 0
		for k, z := range m.Z {
			if math.IsNaN(z) {
				continue
			}
			nodes++
			if want := plane(m.X[k], m.Y[k]); math.Abs(z-want) > c.tol {
				t.Errorf("%s: %g at %g, %g, want %g", name, z, m.X[k], m.Y[k], want)
				break
			}
		}
		if nodes < 100 {
			t.Errorf("%s: only %d nodes", name, nodes)
		}
	}
}

func appendPoint(p Points, x, y, z float64) Points {
	p.X, p.Y, p.Z = append(p.X, x), append(p.Y, y), append(p.Z, z)
	return p
}

// Property 4: nothing is made outside the readings' hull.
func TestNothingIsMadeOutsideTheHull(t *testing.T) {
	short := grid(5, 9, 400, 700, func(x, y float64) float64 { return x * y * 1e-6 })
	for j := range 5 { // the last column is shorter
		short = appendPoint(short, 430, -300+150*float64(j), 0.1)
	}
	var scattered Points
	for i := range 60 {
		scattered = appendPoint(scattered, 300*math.Cos(2.4*float64(i))*math.Sqrt(float64(i)/60), 500*math.Sin(2.4*float64(i))*math.Sqrt(float64(i)/60), 0)
	}
	for name, p := range map[string]Points{"columns": short, "scattered": scattered} {
		m, ring := mesh(t, p, 15), hull(p)
		outside := 0
		for k, z := range m.Z {
			switch in := inside(ring, Point{m.X[k], m.Y[k]}); {
			case !math.IsNaN(z) && !in:
				t.Errorf("%s: a height outside the readings at %g, %g", name, m.X[k], m.Y[k])
			case math.IsNaN(z):
				outside++
			}
		}
		if name == "scattered" && outside == 0 {
			t.Error("a round cloud of readings left no corner of its rectangle unread")
		}
	}
}

// The monotone cubic of Fritsch and Butland keeps a rising sequence rising, and on a parabola it is close to it.
func TestMonotoneCubics(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 9).Draw(t, "n")
		xs, v := make([]float64, n), make([]float64, n)
		for i := 1; i < n; i++ {
			xs[i] = xs[i-1] + rapid.Float64Range(0.5, 20).Draw(t, "dx")
			v[i] = v[i-1] + rapid.Float64Range(0, 3).Draw(t, "dv")
		}
		last := v[0]
		for k := 0; k <= 400; k++ {
			z := monotone(xs, v, xs[n-1]*float64(k)/400)
			if z < last-1e-9 {
				t.Fatalf("falls from %g to %g", last, z)
			}
			last = z
		}
	})
	xs, v := []float64{0, 1, 2, 3, 4, 5, 6}, []float64{0, 1, 4, 9, 16, 25, 36}
	for x := 1.0; x <= 5; x += 0.1 {
		if got := monotone(xs, v, x); math.Abs(got-x*x) > 0.06 {
			t.Errorf("x² at %g is %g", x, got)
		}
	}
}

// Values computed with PchipInterpolator of scipy 1.10.1, another program for the same published method.
func TestMonotoneCubicsAgreeWithAnotherProgram(t *testing.T) {
	for _, c := range []struct{ xs, v, at, want []float64 }{
		{[]float64{0, 1, 3, 3.5, 7, 8}, []float64{0, 2, 2.5, -1, -1.5, 4}, []float64{0.25, 0.5, 1.7, 2.9, 3.2, 5, 6.9, 7.3, 7.9},
			[]float64{0.6529771959459459, 1.262105855855856, 2.284753378378378, 2.4986858108108105, 1.285684210526314, -1.3772441307350007, -1.4998213902102193, -0.7375000000000007, 3.2989285714285748}},
		{[]float64{0, 2, 3, 10}, []float64{1, 4, 4.5, 20}, []float64{0.5, 1.5, 2.4, 5, 9},
			[]float64{2.0115131578947363, 3.534539473684211, 4.21067942583732, 6.7757752451630004, 16.498807315133845}},
	} {
		for i, x := range c.at {
			if got := monotone(c.xs, c.v, x); math.Abs(got-c.want[i]) > 1e-12 {
				t.Errorf("at %g: %.16g, want %.16g", x, got, c.want[i])
			}
		}
	}
}

func TestExtremesAndRange(t *testing.T) {
	m := mesh(t, grid(41, 41, 200, 200, func(x, y float64) float64 { return -math.Hypot(x-50, y+30) }), 10)
	at, z, ok := m.Highest()
	if !ok || at != (Point{50, -30}) || z != 0 {
		t.Errorf("highest at %v: %g", at, z)
	}
	low, zl, _ := m.Lowest()
	if low != (Point{-200, 200}) {
		t.Errorf("lowest at %v", low)
	}
	if a, b := m.Range(); a != zl || b != 0 {
		t.Errorf("range %g to %g", a, b)
	}
	empty := Mesh{NX: 1, NY: 1, X: []float64{0}, Y: []float64{0}, Z: []float64{math.NaN()}}
	if a, b := empty.Range(); !math.IsNaN(a) || !math.IsNaN(b) {
		t.Errorf("range of nothing: %g to %g", a, b)
	}
}

func TestWhatMakesNoMap(t *testing.T) {
	line := Points{X: []float64{0, 1, 2, 3, 4}, Y: []float64{0, 2, 4, 6, 8}, Z: make([]float64, 5)}
	three := Points{X: []float64{0, 1, 0}, Y: []float64{0, 0, 1}, Z: make([]float64, 3)}
	uneven := Points{X: []float64{0, 1}, Y: []float64{0}, Z: []float64{0, 0}}
	gap := grid(3, 3, 1, 1, func(x, y float64) float64 { return math.NaN() })
	for name, c := range map[string]struct {
		p       Points
		spacing float64
		code    string
	}{
		"on a line": {line, 1, "too-few-points"}, "three": {three, 1, "too-few-points"}, "uneven": {uneven, 1, "bad-points"},
		"gap": {gap, 1, "bad-points"}, "spacing": {grid(3, 3, 1, 1, dome), 0, "bad-spacing"},
	} {
		_, err := Interpolate(c.p, c.spacing)
		var tr *trouble.Trouble
		if !errors.As(err, &tr) || tr.Code != c.code || tr.Next == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestLevels(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		most      int
		first     float64
		n         int
		step      float64
	}{
		{-0.097, 0.097, 15, -0.08, 9, 0.02},
		{-0.1, 0.1, 15, -0.08, 9, 0.02},
		{0, 1, 9, 0.1, 9, 0.1},
		{0, 1, 8, 0.2, 4, 0.2},
		{-1234, 5678, 10, -1000, 7, 1000},
		{1.01, 1.02, 4, 1.012, 4, 0.002},
	} {
		levels, step := Levels(c.low, c.high, c.most)
		if len(levels) != c.n || step != c.step || levels[0] != c.first {
			t.Errorf("from %g to %g, at most %d: %v by %g", c.low, c.high, c.most, levels, step)
		}
	}
	for _, c := range [][2]float64{{1, 1}, {2, 1}, {math.NaN(), 1}} {
		if l, _ := Levels(c[0], c[1], 5); l != nil {
			t.Errorf("levels in %v: %v", c, l)
		}
	}
}

func TestLevelsAreRoundMultiplesInside(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-10, 10).Draw(t, "low")
		high := low + rapid.Float64Range(0.001, 20).Draw(t, "span")
		most := rapid.IntRange(1, 30).Draw(t, "most")
		levels, step := Levels(low, high, most)
		if len(levels) > most || len(levels) < most/3 {
			t.Fatalf("%d levels of at most %d", len(levels), most)
		}
		for _, z := range levels {
			if k := z / step; z <= low || z >= high || math.Abs(k-math.Round(k)) > 1e-6 {
				t.Fatalf("level %g between %g and %g by %g", z, low, high, step)
			}
		}
	})
}

func TestDecimals(t *testing.T) {
	for step, want := range map[float64]int{1: 0, 0.5: 1, 0.02: 2, 0.005: 3, 200: 0, 0.1: 1} {
		if got := Decimals(step); got != want {
			t.Errorf("%g needs %d decimals, got %d", step, want, got)
		}
	}
}

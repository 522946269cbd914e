package gauge_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatewright/chance"
	"slatewright/gauge"
	"slatewright/sheet"
)

func grid() *gauge.BenchMap {
	m := &gauge.BenchMap{X: []float64{0, 400, 1000}, Y: []float64{0, 500}, Height: [][]float64{{0, 0.01}, {0.02, 0.03}, {0.01, 0}}}
	for i := range 6 {
		row := make([]float64, 6)
		for k := range row {
			row[k] = 4e-6 * math.Pow(0.5, math.Abs(float64(i-k)))
		}
		m.Covariance = append(m.Covariance, row)
	}
	return m
}

// Readings that are the bench itself leave nothing, at crossings and between; the covariance is W·C·Wᵀ + u², by hand at a crossing and in the
// middle of a side, and by drawn bench errors elsewhere.
func TestTheBenchIsTakenOff(t *testing.T) {
	m := grid()
	places := [][2]float64{{0, 0}, {400, 250}, {1000, 500}, {250, 125}}
	z, c, err := m.Subtract(places, []float64{0, 0.025, 0, 0.625*0.375*2*0.02 + 1}, 0.003)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{0, 0, 0} {
		near(t, "height", z[i], want, 1e-15)
	}
	near(t, "variance at a crossing", c[0][0], 4e-6+9e-6, 1e-18)
	near(t, "variance between two", c[1][1], (4e-6+4e-6+2*2e-6)/4+9e-6, 1e-18)
	near(t, "crossings far apart", c[0][2], 4e-6/32, 1e-18)
	s := chance.NewStream(1)
	var sum float64
	const n = 60000
	for range n { // a Markov chain has this covariance
		e := make([]float64, 6)
		e[0] = 0.002 * s.Normal()
		for i := 1; i < 6; i++ {
			e[i] = e[i-1]/2 + 0.002*math.Sqrt(0.75)*s.Normal()
		}
		other := grid()
		for i := range 6 {
			other.Height[i/2][i%2] += e[i]
		}
		a, _, err := other.Subtract(places[1:], []float64{0, 0, 0}, 0)
		b, _, _ := m.Subtract(places[1:], []float64{0, 0, 0}, 0)
		if err != nil {
			t.Fatal(err)
		}
		sum += (a[0] - b[0]) * (a[2] - b[2]) / n
	}
	near(t, "drawn covariance", sum, c[1][3], 0.03*c[1][3]+1e-8)
	for _, off := range [][2]float64{{-1, 0}, {0, 501}, {math.NaN(), 0}} {
		_, _, err := m.Subtract([][2]float64{off}, []float64{0}, 0)
		refused(t, "off the map", err, "off-the-map")
	}
}

func TestMapsThatAreNone(t *testing.T) {
	for name, spoil := range map[string]func(m *gauge.BenchMap){
		"falling": func(m *gauge.BenchMap) { m.X[1] = -1 }, "short": func(m *gauge.BenchMap) { m.Height[1] = m.Height[1][:1] }, "few": func(m *gauge.BenchMap) { m.Y = m.Y[:1] },
		"lopsided": func(m *gauge.BenchMap) { m.Covariance[0][1] *= 2 }, "negative": func(m *gauge.BenchMap) { m.Covariance[2][2] = -1 },
		"ragged": func(m *gauge.BenchMap) { m.Covariance[5] = nil }, "too close": func(m *gauge.BenchMap) { m.Covariance[0][1], m.Covariance[1][0] = 1, 1 },
	} {
		m := grid()
		spoil(m)
		_, _, err := m.Subtract(nil, nil, 1)
		refused(t, name, err, "bad-bench-map")
	}
}

// An edge and a face of any shape, and blocks of any height: the reversal gives both back, counted from their ends.
func TestReversalPartsEdgeFromFace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 9).Draw(t, "stations")
		shape := func(name string) []float64 {
			v := rapid.SliceOfN(rapid.Float64Range(-0.1, 0.1), n, n).Draw(t, name)
			v[0], v[n-1] = 0, 0
			return v
		}
		edge, face := shape("edge"), shape("face")
		x, as, turned := make([]float64, n), make([]float64, n), make([]float64, n)
		for i := range x {
			x[i] = 150 * float64(i)
			as[i] = edge[i] - face[i] + 2 + 0.001*x[i]
			turned[i] = -edge[i] - face[i] + 5 - 0.002*x[i]
		}
		got, c, err := gauge.TurnEdge([][]float64{as}, [][]float64{turned}, x, 0.005)
		if err != nil || !c.Consistent || c.DoF != 0 {
			t.Fatal(err, c)
		}
		for i := range got {
			if math.Abs(got[i].Own-edge[i]) > 1e-12 || math.Abs(got[i].Face-face[i]) > 1e-12 {
				t.Fatalf("station %d: %+v, want %g and %g", i, got[i], edge[i], face[i])
			}
		}
	})
}

// The stated u is the spread of the result over drawn readings; contradictions are found, honest readings seldom accused.
func TestReversalDoubtAndContradictions(t *testing.T) {
	s := chance.NewStream(2)
	const n, u = 3000, 0.01
	x := []float64{0, 300, 600, 900, 1200}
	var sum [5]float64
	var claimed []gauge.Parted
	accused := 0
	pass := func() []float64 {
		row := make([]float64, 5)
		for i := range row {
			row[i] = u * s.Normal()
		}
		return row
	}
	for range n {
		got, c, err := gauge.TurnEdge([][]float64{pass(), pass()}, [][]float64{pass(), pass()}, x, u)
		if err != nil {
			t.Fatal(err)
		}
		claimed = got
		for i := range got {
			sum[i] += got[i].Own * got[i].Own / n
		}
		if c.DoF != 6 || !c.Consistent {
			accused++
		}
	}
	for i := range claimed {
		if sd := math.Sqrt(sum[i]); math.Abs(sd-claimed[i].U) > 0.06*claimed[i].U {
			t.Errorf("station %d: spread %g, stated %g", i, sd, claimed[i].U)
		}
	}
	if accused < 10 || accused > 60 { // 1 % of 3000
		t.Errorf("%d of %d honest reversals accused", accused, n)
	}
	slip := pass()
	slip[3] += 0.1
	if _, c, _ := gauge.TurnEdge([][]float64{slip, pass()}, [][]float64{pass(), pass()}, x, u); c.Consistent || c.Worst != 3 {
		t.Errorf("a slip of ten u at station 3: %+v", c)
	}
	for name, bad := range map[string]func() error{
		"one way": func() error { _, _, err := gauge.TurnEdge(nil, [][]float64{slip}, x, u); return err },
		"short":   func() error { _, _, err := gauge.TurnEdge([][]float64{slip[:4]}, [][]float64{slip}, x, u); return err },
		"two":     func() error { _, _, err := gauge.TurnEdge([][]float64{slip}, [][]float64{slip}, x[:2], u); return err },
		"no doubt": func() error {
			_, _, err := gauge.TurnEdge([][]float64{slip}, [][]float64{slip}, x, 0)
			return err
		},
		"level": func() error { _, _, _, _, err := gauge.TurnLevel([]float64{1}, nil, 1); return err },
	} {
		refused(t, name, bad(), "bad-reversal")
	}
}

func TestLevelReversal(t *testing.T) {
	slopes, zero, u, c, err := gauge.TurnLevel([]float64{3.1, -1.9, 0.6}, []float64{-2.1, 2.9, 0.4}, 0.2)
	if err != nil || !c.Consistent || c.DoF != 2 {
		t.Fatalf("%+v, %v", c, err)
	}
	near(t, "zero", zero, 0.5, 1e-12)
	near(t, "its u", u, 0.2/math.Sqrt(6), 1e-12)
	for i, want := range []float64{2.6, -2.4, 0.1} {
		near(t, "slope", slopes[i].Face, want, 1e-12)
	}
	if !gauge.ZeroDiffers(zero, u) || gauge.ZeroDiffers(0.1, u) {
		t.Error("a zero of 0.5 ± 0.08 is one, of 0.1 none")
	}
	if _, _, _, c, _ = gauge.TurnLevel([]float64{3.1, -1.9, 2.6}, []float64{-2.1, 2.9, 0.4}, 0.2); c.Consistent || c.Worst != 2 {
		t.Errorf("the third place has another zero: %+v", c)
	}
	if _, _, _, c, _ = gauge.TurnLevel([]float64{3}, []float64{-2}, 0.2); c.DoF != 0 || !c.Consistent {
		t.Errorf("%+v", c)
	}
}

const edgeFile = "# u: 0.015 mm\nway,x_mm,gap_mm\nas,0,2\nas,500,2.05\nas,1000,2\nturned,0,1\nturned,1000,1\nturned,500,0.97\n"

func TestReadingReversals(t *testing.T) {
	read := func(text string) (*gauge.Reversal, error) {
		s, err := sheet.Read("r.csv", strings.NewReader(text))
		if err != nil {
			return nil, err
		}
		return gauge.ReadReversal(s)
	}
	r, err := read(edgeFile)
	if err != nil || len(r.X) != 3 || len(r.As) != 1 || r.Turned[0][1] != 0.97 || r.U != 0.015 {
		t.Fatalf("%+v, %v", r, err)
	}
	r, err = read("# u: 0.2\nplace,forward,back\na,3,-2\n")
	if err != nil || r.Places[0] != "a" || r.Forward[0] != 3 || r.Back[0] != -2 || r.U != 0.2 {
		t.Fatalf("%+v, %v", r, err)
	}
	for text, code := range map[string]string{
		strings.Replace(edgeFile, "# u: 0.015 mm\n", "", 1): "no-u",
		strings.Replace(edgeFile, "0.015 mm", "0.015", 1):   "bad-header",
		strings.Replace(edgeFile, "as,500", "so,500", 1):    "bad-word",
		strings.Replace(edgeFile, "as,500", "as,0", 1):      "twice",
		strings.Replace(edgeFile, "as,500", "as,501", 1):    "missing",
		strings.Replace(edgeFile, "2.05", "wide", 1):        "bad-number",
		strings.Replace(edgeFile, "as,500", "as,far", 1):    "bad-number",
		strings.Replace(edgeFile, "way", "colour", 1):       "bad-title",
		"place,forward,back\na,3,-2\n":                      "no-u",
		"# u: x\nplace,forward,back\na,3,-2\n":              "bad-header",
		"# u: 1\nplace,forward,back\na,x,-2\n":              "bad-number",
		"# u: 1\nplace,forward,back\na,1,\n":                "bad-number",
		"# u: 1\nplace,forward\na,1\n":                      "columns",
	} {
		_, err := read(text)
		refused(t, text, err, code)
	}
}

func FuzzReadReversal(f *testing.F) {
	f.Add(edgeFile)
	f.Add("# u: 0.2\nplace,forward,back\na,3,-2\n")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := sheet.Read("f", strings.NewReader(text))
		if err != nil {
			return
		}
		r, err := gauge.ReadReversal(s)
		if err != nil {
			return
		}
		if r.X != nil {
			gauge.TurnEdge(r.As, r.Turned, r.X, r.U)
		} else {
			gauge.TurnLevel(r.Forward, r.Back, r.U)
		}
	})
}

const mapFile = "# correlation: 500 mm\nx_mm,y_mm,height_um,u_um\n0,0,1,2\n0,600,2,2\n800,0,3,2\n800,600,4,3\n"

func TestReadingABenchMap(t *testing.T) {
	read := func(text string) (*gauge.BenchMap, []string, error) {
		s, err := sheet.Read("m.csv", strings.NewReader(text))
		if err != nil {
			return nil, nil, err
		}
		return gauge.ReadBenchMap(s)
	}
	m, w, err := read(mapFile)
	if err != nil || len(w) != 0 || len(m.X) != 2 || m.Height[1][0] != 0.003 {
		t.Fatalf("%+v %q %v", m, w, err)
	}
	near(t, "across the diagonal", m.Covariance[0][3], 0.002*0.003*math.Exp(-2), 1e-18)
	if m, w, err = read(strings.Replace(mapFile, "# correlation: 500 mm\n", "", 1)); err != nil || len(w) != 1 || m.Covariance[0][1] != 0 {
		t.Errorf("%q %v", w, err)
	}
	for from, code := range map[string]string{"0,600,2,2\n": "no-grid", "500 mm": "bad-header", "height_um": "bad-title", "800,0,3,2": "bad-number"} {
		_, _, err := read(strings.Replace(mapFile, from, map[string]string{"500 mm": "far", "height_um": "colour", "800,0,3,2": "800,0,x,2"}[from], 1))
		refused(t, from, err, code)
	}
	_, _, err = read(mapFile + "0,0,1,2\n")
	refused(t, "twice", err, "bad-crossing")
}

func FuzzReadBenchMap(f *testing.F) {
	f.Add(mapFile)
	f.Fuzz(func(t *testing.T, text string) {
		s, err := sheet.Read("f", strings.NewReader(text))
		if err != nil || len(s.Rows) > 30 {
			return
		}
		m, _, err := gauge.ReadBenchMap(s)
		if err != nil {
			return
		}
		_, c, err := m.Subtract([][2]float64{{m.X[0], m.Y[0]}}, []float64{0}, 1)
		if err != nil || !(c[0][0] >= 1) {
			t.Fatalf("%v %v", c, err)
		}
	})
}

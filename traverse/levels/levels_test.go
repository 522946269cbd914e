package levels_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"slatewright/chance"
	"slatewright/traverse"
	"slatewright/traverse/levels"
	"slatewright/trouble"
)

// sheet is a walk being written: steps between places, readings in µm.
type sheet struct {
	strings.Builder
	free bool
}

func newSheet(free bool, u string) *sheet {
	s := &sheet{free: free}
	if u != "" {
		s.WriteString("# u: " + u + "\n")
	}
	if free {
		s.WriteString("# reference: lines\n")
	}
	s.WriteString("x1,y1,x2,y2,rise_um,line\n")
	return s
}

func (s *sheet) step(a, b [2]float64, rise float64, line string) {
	fmt.Fprintf(s, "%g,%g,%g,%g,%.17g,%s\n", a[0], a[1], b[0], b[1], rise, line)
}

// stepWith is a step with a standard uncertainty of its own, µm.
func (s *sheet) stepWith(a, b [2]float64, rise, u float64, line string) {
	fmt.Fprintf(s, "%.17g,%.17g,%.17g,%.17g,%.17g,%.17g,%s\n", a[0], a[1], b[0], b[1], rise, u, line)
}

func adjust(t testing.TB, s *sheet) *levels.Heights {
	t.Helper()
	w, err := levels.Read("walk.csv", strings.NewReader(s.String()))
	if err != nil {
		t.Fatal(err)
	}
	h, err := levels.Adjust(w)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.12g, want %.12g", what, got, want)
	}
}

// byResistance holds all covariances against the resistances between the stations: the variance of a combination of heights whose
// coefficients add up to 0 is −½ Σ cᵢ·cⱼ·R(i, j).
func byResistance(t *testing.T, name string, h *levels.Heights, r func(i, j int) float64) {
	t.Helper()
	n := len(h.Z)
	combination := make([][]float64, n)
	for i := range combination {
		combination[i] = make([]float64, n)
		combination[i][i] = 1
		h.Frame.Level(combination[i])
	}
	for i, a := range combination {
		row := h.Covariance(i)
		for j, b := range combination {
			want := 0.0
			for k := range n {
				for l := range n {
					want -= a[k] * b[l] * r(k, l) / 2
				}
			}
			near(t, fmt.Sprintf("%s %d %d", name, i, j), row[j]*1e6, want, 1e-9)
		}
	}
}

// A walk with equal steps is a network of equal resistors: the variance of a height difference is the resistance between the two
// stations (P. G. Doyle and J. L. Snell, "Random walks and electric networks", 1984). Closed forms: k(N−k)/N on a ring; 7/12, 3/4 and
// 5/6 along an edge, a face diagonal and a body diagonal of a cube; and by R. M. Foster (1949) the sum over all steps is n−1.
func TestVariancesAreResistances(t *testing.T) {
	const n = 12
	ring := newSheet(false, "1 um")
	at := func(i int) [2]float64 {
		a := 2 * math.Pi * float64(i) / n
		return [2]float64{math.Round(500 * math.Cos(a)), math.Round(500 * math.Sin(a))}
	}
	for i := range n {
		ring.step(at(i), at((i+1)%n), 0, "")
	}
	h := adjust(t, ring)
	byResistance(t, "ring", h, func(i, j int) float64 {
		k := max(i-j, j-i)
		return float64(k*(n-k)) / n
	})
	near(t, "control", h.Checks[3].Control, 1.0/n, 1e-9)

	cube := newSheet(false, "1 um")
	corner := func(i int) [2]float64 {
		return [2]float64{float64(100*(i&1) + 37*(i>>2)), float64(100*(i>>1&1) + 41*(i>>2))}
	}
	for i := range 8 {
		for b := 1; b < 8; b *= 2 {
			if i&b == 0 {
				cube.step(corner(i), corner(i|b), 0, "")
			}
		}
	}
	h = adjust(t, cube)
	number := map[[2]float64]int{}
	for i := range 8 {
		number[corner(i)] = i
	}
	byResistance(t, "cube", h, func(i, j int) float64 {
		differ := number[h.Walk.At[i]] ^ number[h.Walk.At[j]]
		return []float64{0, 7.0 / 12, 3.0 / 4, 5.0 / 6}[differ&1+differ>>1&1+differ>>2]
	})
	sum := 0.0
	for _, c := range h.Checks {
		sum += 1 - c.Control
	}
	near(t, "Foster", sum, 7, 1e-9)
}

// A single line: steps add up, so that about the line through its ends the variance at step i of N is u²·i·(N−i)/N (what is left of a
// random walk when its end is tied down), and nothing controls it.
func TestSingleLine(t *testing.T) {
	const n = 10
	for _, free := range []bool{false, true} {
		s := newSheet(free, "2 um")
		for i := range n {
			s.step([2]float64{float64(100 * i), 0}, [2]float64{float64(100 * (i + 1)), 0}, float64(i%3), "A")
		}
		h := adjust(t, s)
		for i := range n + 1 {
			share := float64(i) / n
			c, c0, cn := h.Covariance(i), h.Covariance(0), h.Covariance(n)
			v := c[i] + (1-share)*(1-share)*c0[0] + share*share*cn[n] - 2*(1-share)*c[0] - 2*share*c[n] + 2*share*(1-share)*c0[n]
			near(t, fmt.Sprintf("free %v, station %d", free, i), v*1e6, 4*float64(i*(n-i))/n, 1e-8)
		}
		if h.Spare != 0 || h.Checks[0].Control != 0 || h.Closures.Count != 0 || len(h.Suspects) != 0 {
			t.Errorf("free %v: %d to spare, control %g, %d loops", free, h.Spare, h.Checks[0].Control, h.Closures.Count)
		}
		if text := strings.Join(h.Warnings, "\n"); !strings.Contains(text, "no loop goes through 10 steps") || !strings.Contains(text, "straightness") {
			t.Errorf("warnings %q", h.Warnings)
		}
		z, err := h.Flat(1)
		if err != nil || !(z.Value > 0) || !(z.U > 0) {
			t.Errorf("zone %+v, %v", z, err)
		}
	}
}

// unionJack is the classical eight lines over nine stations, each of two steps, with a datum of its own for each line.
var unionJack = []struct {
	line string
	at   [3]int
}{{"E1", [3]int{0, 1, 2}}, {"E2", [3]int{2, 5, 8}}, {"E3", [3]int{8, 7, 6}}, {"E4", [3]int{6, 3, 0}}, {"M1", [3]int{1, 4, 7}}, {"M2", [3]int{3, 4, 5}},
	{"D1", [3]int{0, 4, 8}}, {"D2", [3]int{2, 4, 6}}}

func jackPlace(i int) [2]float64 { return [2]float64{float64(i%3) * 400, float64(i/3) * 300} }

// The union jack of nine stations can be done by hand. A line gives its bend, of variance s = 2u² (its slope takes the rest). Eight bends
// and six unknowns leave two conditions, E1+E3−E2−E4+2(M1−M2) = 0 of variance 12s and ΣE−2ΣD+2ΣM = 0 of variance 20s, which have no
// correlation. So a bend's control is 2/15 on an edge, 8/15 on a middle line and 1/5 on a diagonal (half of it for each step of the
// line), and the adjusted M1−M2 has the variance 2s−(4s)²/12s = 4/3 u², the sum of the diagonals 2s−(4s)²/20s = 12/5 u², the
// difference of the diagonals, which no condition touches, 2s = 4u².
func TestUnionJackByHand(t *testing.T) {
	s := newSheet(true, "3 um")
	for i, l := range unionJack {
		for k := range 2 {
			s.step(jackPlace(l.at[k]), jackPlace(l.at[k+1]), float64(10*i), l.line) // any slope of a line is nothing
		}
	}
	h := adjust(t, s)
	if h.Spare != 2 || len(h.Z) != 9 {
		t.Fatalf("%d to spare over %d stations", h.Spare, len(h.Z))
	}
	number := map[[2]float64]int{}
	for i, p := range h.Walk.At {
		number[p] = i
		near(t, "height", h.Z[i], 0, 1e-12)
	}
	for k, c := range h.Checks {
		want := map[byte]float64{'E': 1.0 / 15, 'M': 4.0 / 15, 'D': 1.0 / 10}[unionJack[k/2].line[0]]
		near(t, unionJack[k/2].line, c.Control, want, 1e-9)
	}
	variance := func(c map[int]float64) float64 {
		sum := 0.0
		for i, a := range c {
			row := h.Covariance(number[jackPlace(i)])
			for j, b := range c {
				sum += a * b * row[number[jackPlace(j)]]
			}
		}
		return sum * 1e6 / 9
	}
	near(t, "M1-M2", variance(map[int]float64{1: 1, 7: 1, 3: -1, 5: -1}), 4.0/3, 1e-9)
	near(t, "D1+D2", variance(map[int]float64{0: 1, 8: 1, 2: 1, 6: 1, 4: -4}), 12.0/5, 1e-9)
	near(t, "D1-D2", variance(map[int]float64{0: 1, 8: 1, 2: -1, 6: -1}), 4, 1e-9)
	if _, _, ok := h.Slope(); ok {
		t.Error("lines without a common datum tell no slope")
	}
}

// grid writes a walk over a grid of stations with known heights (µm), along x and along y, each line with a slope of its own if free.
func grid(nx, ny int, height func(x, y float64) float64, noise func() float64, free bool, u string) *sheet {
	s := newSheet(free, u)
	tilt := 0.0
	if free {
		tilt = 1
	}
	at := func(i, j int) [2]float64 { return [2]float64{float64(100 * i), float64(100 * j)} }
	rise := func(a, b [2]float64) float64 { return height(b[0], b[1]) - height(a[0], a[1]) + noise() }
	for j := range ny {
		for i := range nx - 1 {
			s.step(at(i, j), at(i+1, j), rise(at(i, j), at(i+1, j))+float64(7*j)*tilt, fmt.Sprint("x", j))
		}
	}
	for i := range nx {
		for j := range ny - 1 {
			s.step(at(i, j), at(i, j+1), rise(at(i, j), at(i, j+1))-float64(3*i)*tilt, fmt.Sprint("y", i))
		}
	}
	if !free {
		return s
	}
	for j := range min(nx, ny) - 1 { // a diagonal holds the twist that rows and columns leave free
		s.step(at(j, j), at(j+1, j+1), rise(at(j, j), at(j+1, j+1)), "d")
	}
	return s
}

// The second opinion is dense: all unknowns, the generalised inverse of the normal matrix by its eigenvectors, and the plane taken off.
func TestAgainstDenseLinearAlgebra(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		free := rapid.Bool().Draw(r, "free")
		stream := chance.NewStream(rapid.Uint64().Draw(r, "seed"))
		s := grid(rapid.IntRange(3, 5).Draw(r, "nx"), rapid.IntRange(3, 4).Draw(r, "ny"), func(x, y float64) float64 { return 0 },
			func() float64 { return 10 * stream.Normal() }, free, "2 um")
		w, err := levels.Read("walk.csv", strings.NewReader(s.String()))
		if err != nil {
			r.Fatal(err)
		}
		h, err := levels.Adjust(w)
		if err != nil {
			r.Fatal(err)
		}
		z, q := dense(w, h.Frame)
		scale := 1.0
		if h.Fit.Chance < levels.Level {
			scale = h.Fit.Ratio
		}
		for i := range z {
			if math.Abs(z[i]-h.Z[i]) > 1e-10 || math.Abs(math.Sqrt(q.At(i, i))*scale-h.U[i]) > 1e-9 {
				r.Fatalf("station %d: %g ± %g, dense %g ± %g", i, h.Z[i], h.U[i], z[i], math.Sqrt(q.At(i, i))*scale)
			}
			for j, c := range h.Covariance(i) {
				if math.Abs(c-q.At(i, j)*scale*scale) > 1e-12 {
					r.Fatalf("covariance of %d and %d: %g, dense %g", i, j, c, q.At(i, j)*scale*scale)
				}
			}
		}
	})
}

func dense(w *levels.Walk, f traverse.Frame) ([]float64, *mat.SymDense) {
	n, m := len(w.At), len(w.Steps)
	unknowns := n
	if w.Free {
		unknowns += len(w.Lines)
	}
	a, b := mat.NewDense(m, unknowns, nil), mat.NewVecDense(m, nil)
	for k, s := range w.Steps {
		a.Set(k, s.From, -1/s.U)
		a.Set(k, s.To, 1/s.U)
		if w.Free {
			a.Set(k, n+s.Line, s.Along/100/s.U)
		}
		b.SetVec(k, s.Rise/s.U)
	}
	var normal mat.SymDense
	normal.SymOuterK(1, a.T())
	var eigen mat.EigenSym
	eigen.Factorize(&normal, true)
	values, vectors := eigen.Values(nil), new(mat.Dense)
	eigen.VectorsTo(vectors)
	inverse := mat.NewDense(unknowns, unknowns, nil)
	for k, v := range values {
		if v > 1e-9*values[unknowns-1] {
			column := vectors.ColView(k)
			inverse.Add(inverse, outer(column, 1/v))
		}
	}
	var at, x mat.VecDense
	at.MulVec(a.T(), b)
	x.MulVec(inverse, &at)
	z := make([]float64, n)
	for i := range z {
		z[i] = x.AtVec(i)
	}
	f.Level(z)
	q := mat.NewSymDense(n, nil)
	levelled := make([][]float64, n)
	for i := range n {
		row := mat.Row(nil, i, inverse)[:n]
		f.Level(row)
		levelled[i] = row
	}
	for j := range n {
		column := make([]float64, n)
		for i := range n {
			column[i] = levelled[i][j]
		}
		f.Level(column)
		for i := range j + 1 {
			q.SetSym(i, j, column[i])
		}
	}
	return z, q
}

func outer(v mat.Vector, c float64) *mat.Dense {
	var o mat.Dense
	o.Outer(c, v, v)
	return &o
}

// A loop that misses by 6 µm over four steps: each takes a quarter.
func TestClosure(t *testing.T) {
	s := newSheet(false, "")
	p := [][2]float64{{0, 0}, {300, 0}, {300, 200}, {0, 200}}
	for i, rise := range []float64{10, 20, -5, -19} {
		s.step(p[i], p[(i+1)%4], rise, "")
	}
	h := adjust(t, s)
	near(t, "closure", math.Abs(h.Closures.Largest.Closure), 0.006, 1e-12)
	for _, c := range h.Checks {
		near(t, "residual", math.Abs(c.Residual), 0.0015, 1e-12)
	}
	near(t, "ratio", h.Fit.Ratio, 0.003, 1e-12) // √(4·1.5²/1) µm
	if h.Closures.Count != 1 || len(h.Closures.Largest.Rows) != 4 || len(h.Suspects) != 0 {
		t.Errorf("%+v, suspects %+v", h.Closures, h.Suspects)
	}
}

func TestRefusals(t *testing.T) {
	for want, text := range map[string]string{
		"not-connected":    "x1,y1,x2,y2,rise_um\n0,0,100,0,1\n500,0,600,0,1\n",
		"not-tied":         "# reference: lines\nx1,y1,x2,y2,rise_um,line\n0,0,100,0,1,A\n100,0,200,0,1,A\n100,0,100,100,2,B\n100,100,100,200,2,B\n200,0,200,100,1,C\n",
		"no-line":          "# reference: lines\nx1,y1,x2,y2,rise_um,line\n0,0,100,0,1,\n",
		"bent-line":        "# reference: lines\nx1,y1,x2,y2,rise_um,line\n0,0,100,0,1,A\n100,0,200,100,1,A\n",
		"no-step":          "x1,y1,x2,y2,rise_um\n0,0,0,0.2,1\n",
		"bad-u":            "x1,y1,x2,y2,rise_um,u_um\n0,0,100,0,1,1\n100,0,200,0,1,\n",
		"columns":          "x1,y1,x2,y2\n0,0,100,0\n",
		"bad-title":        "x1,y1,x2,y2,rise_kg\n0,0,100,0,1\n",
		"bad-number":       "x1,y1,x2,y2,rise_um\n0,0,100,0,1 um\n",
		"no-rows":          "# u: 1 um\nx1,y1,x2,y2,rise_um\n",
		"late-header":      "x1,y1,x2,y2,rise_um\n0,0,100,0,1\n# u: 1 um\n",
		"bad-header":       "# u: 1 kg\nx1,y1,x2,y2,rise_um\n0,0,100,0,1\n",
		"no-place":         "x1,y1,x2,y2,rise_um\n0,,100,0,1\n",
		"decimal-mark":     "x1;y1;x2;y2;rise_um\n0;0;100,5;0;1.5\n",
		"encoding":         "\xff\xfex1",
		"too-large":        "x1,y1,x2,y2,rise_um\n0,0,1e9,0,1\n",
		"too-many-columns": "",
	} {
		_, err := levels.Read("walk.csv", strings.NewReader(text))
		if err == nil {
			w, _ := levels.Read("walk.csv", strings.NewReader(text))
			_, err = levels.Adjust(w)
		}
		var told *trouble.Trouble
		if want == "too-many-columns" {
			want = "no-rows"
		}
		if !errors.As(err, &told) || told.Code != want || told.Next == "" || !strings.Contains(told.Where, "walk.csv") {
			t.Errorf("%s: %v", want, err)
		}
	}
}

// Units, decimal commas, titles in any order, divisions of a level, and u by the row.
func TestFormsOfASheet(t *testing.T) {
	for name, text := range map[string]string{
		"plain":     "0,0,250,0,5\n250,0,500,0,-5\n",
		"titles":    "\ufeffrise_mm;x1;y1;x2;y2\r\n0,005;0;0;250;0\r\n-0,005;250;0;500;0\r\n",
		"inches":    "# unit: in\nx1,y1,x2,y2,rise_um\n0,0,9.84251968503937,0,5\n9.84251968503937,0,19.68503937007874,0,-5\n",
		"angles":    "# division: 4.1252961249 arcsec\nx1,y1,x2,y2,divisions\n0,0,250,0,1\n250,0,500,0,-1\n",
		"µrad":      "# division: 20 µrad\nx1,y1,x2,y2,divisions\n0,0,250,0,1\n250,0,500,0,-1\n",
		"divisions": "# division: 0.02 mm/m\n# foot: 250 mm\nx1,y1,x2,y2,divisions\n0,0,250,0,1\n250,0,500,0,-1\n",
	} {
		w, err := levels.Read("walk.csv", strings.NewReader(text))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if len(w.Steps) != 2 || math.Abs(w.Steps[0].Rise-0.005) > 1e-12 || math.Abs(w.At[1][0]-250) > 1e-9 || len(w.Warnings) != 0 {
			t.Errorf("%s: %+v", name, w)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte("# u: 1 um\n# reference: lines\nx1,y1,x2,y2,rise_um,line\n0,0,100,0,1,A\n100,0,200,0,1,A\n"))
	f.Add([]byte("# division: 0.0005 in/ft\n# foot: 8 in\n# unit: in\nx1;y1;x2;y2;divisions;u [um]\n0;0;8,5;0;1,5;2\n"))
	f.Add([]byte("\ufeffx1\ty1\tx2\ty2\trise_mm\r\n0\t0\t1\t0\tnan\r\n0\t0\t1\t1\t1e-3"))
	f.Fuzz(func(t *testing.T, data []byte) {
		w, err := levels.Read("walk.csv", strings.NewReader(string(data)))
		if err == nil {
			var h *levels.Heights
			if h, err = levels.Adjust(w); err == nil && len(h.Z) < 50 {
				for i, z := range h.Z {
					if math.IsNaN(z) || math.IsInf(z, 0) {
						t.Fatalf("height %d is %g", i, z)
					}
				}
			}
		}
		var told *trouble.Trouble
		if err != nil && (!errors.As(err, &told) || told.Where == "" || told.Next == "" || told.What == "" || told.Kind != trouble.KindData) {
			t.Fatalf("an error without place or next step: %v", err)
		}
	})
}

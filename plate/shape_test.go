package plate

import (
	"math"
	"testing"

	"slatewright/internal/truth"
)

// TestTwoLayersByFormulaAndByElements holds the formula to the published rows, and elements to the formula.
func TestTwoLayersByFormulaAndByElements(t *testing.T) {
	rows := truth.TwoLayers()
	if len(rows) < 2 {
		t.Fatal("no rows")
	}
	for _, r := range rows {
		k := TwoLayer(r.Thickness[0], r.Modulus[0], r.Thickness[1], r.Modulus[1], r.Strain)
		near(t, r.Mark, k, r.Curvature, 1e-6)
	}
	near(t, "rise over 1000 mm", Rise(TwoLayer(25.4, 48360, 19.05, 3000, 1e-3), 1000), 1.60130, 1e-5)
	// Elements, with ν 0 growing one way (a strip), and with equal ν growing both ways (a bowl).
	k := TwoLayer(25.4, 48000, 19, 3000, 1e-3)
	places := []Point{{0, 0}, {0, 700}, {0, -700}, {400, 0}, {-400, 0}}
	one := strip()
	one.Layers = []Layer{{Elastic: Isotropic(3000, 0), Thickness: 19, Density: 720, Strain: [2]float64{0, 1e-3}}}
	z, err := Bow(one, places, 80)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "strip", (z[1]+z[2])/2-z[0], k*700*700/2, 1e-6)
	near(t, "strip, across", 1+(z[3]+z[4])/2-z[0], 1, 1e-6)
	both := slate()
	both.Layers = []Layer{{Elastic: Isotropic(3000, 0.2), Thickness: 19, Density: 720, Strain: [2]float64{1e-3, 1e-3}}}
	if z, err = Bow(both, places, 80); err != nil {
		t.Fatal(err)
	}
	near(t, "bowl", (z[1]+z[2])/2-z[0], k*700*700/2, 1e-6)
	near(t, "bowl, across", (z[3]+z[4])/2-z[0], k*400*400/2, 1e-6)
}

// TestStripsOfLining holds strips with gaps between full boards and nothing: bars across the whole width with gaps along y
// bend a strip by the share of its length that they cover, exactly.
func TestStripsOfLining(t *testing.T) {
	k := TwoLayer(25.4, 48000, 19, 3000, -1e-3) // the board dries: a crown
	p := strip()
	var parts [][4]float64
	for y := -736.5; y < 700; y += 147.3 {
		parts = append(parts, [4]float64{-457, 457, y, y + 117.3}) // gaps of 30 mm
	}
	p.Layers = []Layer{{Elastic: Isotropic(3000, 0), Thickness: 19, Density: 720, Strain: [2]float64{0, -1e-3}, Parts: parts}}
	ends := []Point{{0, 0}, {0, 736.5}, {0, -736.5}, {400, 0}, {-400, 0}}
	z, err := Bow(p, ends, 40)
	if err != nil {
		t.Fatal(err)
	}
	// slope and height by hand over the covered stretches of one half; the piece lies alike on both sides of the middle but for the gaps' place
	rise, slope := 0.0, 0.0
	const n = 14730
	h := 1473. / n
	heights := make([]float64, n+1)
	for i := range n {
		y := -736.5 + h*(float64(i)+0.5)
		for _, r := range parts {
			if y >= r[2] && y <= r[3] {
				slope += k * h
			}
		}
		rise += slope * h
		heights[i+1] = rise
	}
	want := (heights[0]+heights[n])/2 - heights[n/2]
	if want >= 0 {
		t.Fatalf("a drying board lifts the ends by %g", want)
	}
	near(t, "strips with gaps", (z[1]+z[2])/2-z[0], want, 2e-3)
}

// TestStressIsTheBeams holds the largest stress between two ends to qL²/8 · 6/t².
func TestStressIsTheBeams(t *testing.T) {
	b := bend(t, strip(), Bars(slate().Outline, 0))
	s := b.WorstStress()
	near(t, "stress", s.MPa, weight*2790*25.4*1473*1473/8*6/25.4/25.4, 2e-3)
	if s.Top || s.At.Y != 0 {
		t.Errorf("at %v, top %v", s.At, s.Top)
	}
	if s := bend(t, strip(), Bars(slate().Outline, 0.35)).WorstStress(); !s.Top {
		t.Errorf("over the bars the top is pulled: %+v", s)
	}
}

// TestBestSupports looks for the best bars and points: bars of a strip belong at 0.2232 L.
func TestBestSupports(t *testing.T) {
	u, err := Best(strip(), BestLines)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "best bars", 0.5-math.Abs(u.Lines[0].At)/1473, truth.LeastSagPoints, 2e-3)
	u, err = Best(slate(), BestThree)
	if err != nil {
		t.Fatal(err)
	}
	if pv := bend(t, slate(), u).PeakToValley; pv > 0.0515 { // the best three that were known
		t.Errorf("best three points: %g mm", pv)
	}
	if _, err := Best(slate(), "5"); err == nil {
		t.Error("five points are looked for")
	}
	names := map[string]bool{}
	for _, n := range Patterns() {
		if names[n.Name] || n.About == "" {
			t.Errorf("pattern %q", n.Name)
		}
		names[n.Name] = true
		b, err := Bend(slate(), n.Under(slate().Outline), 0)
		if err != nil || !b.Good {
			t.Errorf("%s: %v", n.Name, err)
		}
	}
	s, err := bend(t, slate(), Bars(slate().Outline, 0.22)).Slipped(Bars(slate().Outline, 0.22), 50)
	if err != nil {
		t.Fatal(err)
	}
	if cost := s.PeakToValley - 0.018; cost < 0.02 || cost > 0.07 { // about 0.05 mm, for both bars
		t.Errorf("a slip of 50 mm gives %g mm", s.PeakToValley)
	}
}

// TestFitThickness holds surfaces through caliper readings.
func TestFitThickness(t *testing.T) {
	want := Surface{C: [6]float64{25.4, 1e-4, -2e-4, 3e-7, -1e-7, 2e-7}}
	var at []Point
	var v []float64
	for j := range 3 {
		for i := range 3 {
			q := Point{-400 + 400*float64(i), -700 + 700*float64(j)}
			at, v = append(at, q), append(v, want.At(q.X, q.Y))
		}
	}
	for _, n := range []int{9, 4, 2, 1} {
		s, sd, err := FitThickness(at[:n], v[:n])
		if err != nil {
			t.Fatal(err)
		}
		if n == 9 && (sd > 1e-12 || math.Abs(s.At(123, -456)-want.At(123, -456)) > 1e-9) {
			t.Errorf("nine readings: %+v, %g", s, sd)
		}
		if n < 9 && math.Abs(s.At(at[0].X, at[0].Y)-v[0]) > 0.3 {
			t.Errorf("%d readings: %g", n, s.At(0, 0))
		}
	}
	if _, _, err := FitThickness(nil, nil); err == nil {
		t.Error("no readings make a surface")
	}
	l := Lattice{X: []float64{-400, 0, 400}, Y: []float64{-700, 0, 700}, T: make([]float64, 9)}
	for k, q := range at {
		l.T[k] = 25 + 0.001*q.X + 0.002*q.Y
	}
	near(t, "lattice", l.At(120, -333), 25+0.12-0.666, 1e-12)
	near(t, "beyond it", l.At(500, 900), 25+0.4+1.4, 1e-12)
}

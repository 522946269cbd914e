package flatness_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"slatewright/flatness"
)

// The joints of a 9-ft bed in thirds, mm.
var joints = []float64{-457, 457}

// threePieces is a bed of three 9×6 grids in a row along x; height gets bed coordinates in mm and the piece's number.
func threePieces(height func(x, y float64, piece int) float64) flatness.Points {
	var p flatness.Points
	for piece := range 3 {
		for i := range 9 {
			for j := range 6 {
				x, y := float64(piece-1)*914+float64(i-4)*108, (float64(j)-2.5)*280
				p = with(p, x, y, height(x, y, piece))
			}
		}
	}
	return p
}

// scanned is a bed read at n random places.
func scanned(r *rand.Rand, n int, height func(x, y float64, piece int) float64) flatness.Points {
	var p flatness.Points
	for range n {
		x, y := 1371*(2*r.Float64()-1), 736*(2*r.Float64()-1)
		piece := 1
		if x < joints[0] {
			piece = 0
		} else if x >= joints[1] {
			piece = 2
		}
		p = with(p, x, y, height(x, y, piece))
	}
	return p
}

func lines(t *testing.T, p flatness.Points) (lengthwise, across flatness.Course) {
	t.Helper()
	l, a, err := flatness.Lines(p, joints)
	if err != nil {
		t.Fatal(err)
	}
	return l, a
}

func step(x, y float64, piece int) float64 { return 0.1 * float64(piece%2) }

// On paper: the middle piece stands 0.1 mm proud, so its own columns are straight, and lengthwise the narrowest strip is
// as high as the step (two contacts at the ends, one on the middle piece).
func TestLinesSeeSteps(t *testing.T) {
	l, a := lines(t, threePieces(step))
	if math.Abs(l.Value-0.1) > 1e-9 || l.Lines != 6 || l.Short != 0 || l.Broken != 0 || l.Cells || len(l.Warnings) != 0 {
		t.Errorf("lengthwise: %+v", l)
	}
	if a.Value > 1e-12 || a.Lines != 27 || a.Cells || len(a.Warnings) != 0 {
		t.Errorf("across: %+v", a)
	}
	r := rand.New(rand.NewPCG(41, 41))
	l, a = lines(t, scanned(r, 60_000, step))
	if math.Abs(l.Value-0.1) > 1e-9 || !l.Cells || l.Lines != 59 || l.Broken != 0 {
		t.Errorf("scan, lengthwise: %+v", l)
	}
	if a.Value > 1e-12 || !a.Cells || a.Lines != 37*3 {
		t.Errorf("scan, across: %+v", a)
	}
	if len(l.Warnings) != 1 || !strings.Contains(l.Warnings[0], "means over cells of 25 mm") {
		t.Errorf("scan: warnings %q", l.Warnings)
	}
}

// A twisted bed is perfect along every line in both directions.
func TestTwistHidesFromLines(t *testing.T) {
	l, a := lines(t, threePieces(func(x, y float64, _ int) float64 { return x * y * 1e-6 }))
	if l.Value > 1e-12 || a.Value > 1e-12 {
		t.Errorf("lengthwise %g, across %g", l.Value, a.Value)
	}
}

// One line is bent: which, how much, and by which readings.
func TestLinesNameTheWorst(t *testing.T) {
	const bend = 0.2
	p := threePieces(func(x, y float64, _ int) float64 {
		if y == 140 && x == 0 {
			return -bend
		}
		return 0
	})
	l, a := lines(t, p)
	// A dent between straight ends: two contacts above it, itself below.
	if math.Abs(l.Value-bend) > 1e-12 || l.At != 140 || l.Contacts[2] != [3]float64{0, 140, -bend} {
		t.Errorf("lengthwise: %+v", l)
	}
	if math.Abs(a.Value-bend) > 1e-12 || a.At != 0 || a.Contacts[2] != [3]float64{0, 140, -bend} {
		t.Errorf("across: %+v", a)
	}
	for _, c := range []flatness.Course{l, a} {
		for k, i := range c.Index {
			if c.Contacts[k] != [3]float64{p.X[i], p.Y[i], p.Z[i]} {
				t.Errorf("contact %d is %v, point %d is not", k, c.Contacts[k], i)
			}
		}
	}
}

// Every line by hand: stations within a tenth of a millimetre, in any order, each line by a slow search.
func TestLinesAreTheLargestOfTheirLines(t *testing.T) {
	r := rand.New(rand.NewPCG(42, 42))
	for range 50 {
		p := threePieces(func(x, y float64, _ int) float64 { return 0.1 * r.NormFloat64() })
		for i := range p.X {
			p.X[i] += 0.1 * r.Float64()
			p.Y[i] += 0.1 * r.Float64()
		}
		p = pick(p, r.Perm(p.Len()))
		rows, columns := map[int][]int{}, map[int][]int{}
		for i := range p.X {
			row, column := int(math.Floor(p.Y[i]/10)), int(math.Floor(p.X[i]/10))
			rows[row], columns[column] = append(rows[row], i), append(columns[column], i)
		}
		largest := func(groups map[int][]int, s []float64) (worst float64) {
			for _, g := range groups {
				var ls, lz []float64
				for _, i := range g {
					ls, lz = append(ls, s[i]), append(lz, p.Z[i])
				}
				worst = max(worst, slowStraightness(ls, lz))
			}
			return worst
		}
		l, a := lines(t, p)
		if want := largest(rows, p.X); math.Abs(l.Value-want) > 1e-12 || l.Lines != len(rows) {
			t.Fatalf("lengthwise %.17g of %d lines, want %.17g of %d", l.Value, l.Lines, want, len(rows))
		}
		if want := largest(columns, p.Y); math.Abs(a.Value-want) > 1e-12 || a.Lines != len(columns) {
			t.Fatalf("across %.17g of %d lines, want %.17g of %d", a.Value, a.Lines, want, len(columns))
		}
	}
}

// Cells take noise out, keep a slow shape, and are never laid across a joint.
func TestCellsAverage(t *testing.T) {
	r := rand.New(rand.NewPCG(43, 43))
	p := scanned(r, 400_000, func(x, y float64, _ int) float64 {
		u, v := x/1371, y/736
		return 0.3*(1-u*u) + 0.1*(1-v*v) + 0.01*r.NormFloat64()
	})
	l, a := lines(t, p)
	// Noise of 10 µm over about 60 readings a cell, the largest of many cells on both sides.
	if math.Abs(l.Value-0.3) > 0.012 || math.Abs(a.Value-0.1) > 0.012 || !l.Cells || !a.Cells {
		t.Errorf("lengthwise %g, across %g", l.Value, a.Value)
	}
	if l.Index != [3]int{-1, -1, -1} {
		t.Errorf("cells have no reading numbers: %v", l.Index)
	}
	moved, _, err := flatness.Lines(scanned(rand.New(rand.NewPCG(44, 44)), 60_000, step), []float64{-450, 460})
	if err != nil || math.Abs(moved.Value-0.1) > 0.01 {
		t.Errorf("joints a little off: %g (%v)", moved.Value, err)
	}
}

func TestLinesThatCannotTell(t *testing.T) {
	r := rand.New(rand.NewPCG(45, 45))
	l, a := lines(t, scanned(r, 30, step))
	if l.Lines > 3 || a.Lines > 3 {
		t.Errorf("30 scattered readings: %d and %d lines", l.Lines, a.Lines)
	}
	l, a = lines(t, flatness.Points{X: []float64{0, 500}, Y: []float64{0, 0}, Z: []float64{0, 1}})
	for _, c := range []flatness.Course{l, a} {
		if c.Lines != 0 || len(c.Warnings) != 1 || !strings.Contains(c.Warnings[0], "cannot be told") {
			t.Errorf("two readings: %+v", c)
		}
	}

	p := threePieces(step)
	p = with(p, 3, 333, 9)
	l, a = lines(t, p)
	if l.Short != 1 || a.Short != 1 || math.Abs(l.Value-0.1) > 1e-9 || !strings.Contains(l.Warnings[0], "1 of 7 stations in y") {
		t.Errorf("one reading beside the grid: %+v, %+v", l, a)
	}

	// The head was read at other stations than the rest.
	p = threePieces(step)
	for i := range p.X {
		if p.X[i] < joints[0] {
			p.Y[i] += 11
		}
	}
	l, _ = lines(t, p)
	if l.Lines != 12 || l.Broken != 12 || !strings.Contains(strings.Join(l.Warnings, " "), "12 of 12 lines do not run over all pieces") {
		t.Errorf("stations that do not match: %+v", l)
	}
}

// A raster of 27 mm is read along its lines; one of 9 mm is a scan, though its readings lie on lines too: what single readings
// show there is roughness (package stations).
func TestRasters(t *testing.T) {
	for pitch, cells := range map[float64]bool{27: false, 9: true} {
		var p flatness.Points
		for x := -1345.0; x <= 1345.5; x += pitch {
			for y := -693.0; y <= 693; y += 27 {
				p = with(p, x, y, 0.2*(1-x*x/1371/1371))
			}
		}
		l, a := lines(t, p)
		if l.Cells != cells || a.Cells != cells || l.Broken != 0 {
			t.Errorf("pitch %g: lengthwise %+v, across %+v", pitch, l, a)
		}
		if !cells && (l.Lines != 52 || a.Lines != 100) {
			t.Errorf("pitch %g: %d and %d lines", pitch, l.Lines, a.Lines)
		}
		// A parabola rises above its chord by the square of half the chord; cells take the mean of a few readings.
		if want := 0.2 * 1345.0 * 1345 / 1371 / 1371; math.Abs(l.Value-want) > 0.005 || a.Value > 1e-12 {
			t.Errorf("pitch %g: lengthwise %g, want %g; across %g", pitch, l.Value, want, a.Value)
		}
	}
}

// One rule for the whole bed: a piece that was scanned makes the lines of all three strips of cells.
func TestAScannedPieceMakesCells(t *testing.T) {
	p := threePieces(step)
	r := rand.New(rand.NewPCG(46, 46))
	for range 20_000 {
		p = with(p, 914*(r.Float64()-0.5), 1400*(r.Float64()-0.5), 0.1)
	}
	l, a := lines(t, p)
	if !l.Cells || !a.Cells || math.Abs(l.Value-0.1) > 1e-9 {
		t.Errorf("lengthwise %+v, across %+v", l, a)
	}
}

// A high spot that was looked at more closely does not make a grid a scan: its readings lie on short lines.
func TestReadingsBesideAGrid(t *testing.T) {
	p := threePieces(step)
	for k := range 5 {
		p = with(p, 30+7*float64(k), 50+9*float64(k*k), 0.1)
	}
	l, a := lines(t, p)
	if l.Cells || a.Cells || l.Lines != 6 || a.Lines != 27 || l.Short != 5 || math.Abs(l.Value-0.1) > 1e-9 {
		t.Errorf("lengthwise %+v, across %+v", l, a)
	}
}

// TestScatteredReadingsAreNoLines: fifty readings anywhere make strips of two or three cells, which would read far too straight.
func TestScatteredReadingsAreNoLines(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	var p flatness.Points
	for range 54 {
		x, y := 874*(r.Float64()-0.5), 1433*(r.Float64()-0.5)
		p.X, p.Y, p.Z = append(p.X, x), append(p.Y, y), append(p.Z, 0.3*(1-4*y*y/1433/1433))
	}
	lengthwise, across, err := flatness.Lines(p, nil)
	if err != nil || lengthwise.Lines != 0 || across.Lines != 0 {
		t.Errorf("%v: judged %d lines along and %d across, straight to %v and %v", err, lengthwise.Lines, across.Lines, lengthwise.Value, across.Value)
	}
	if len(across.Warnings) == 0 {
		t.Error("no word of it")
	}
}

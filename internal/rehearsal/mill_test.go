package rehearsal

import (
	"math"
	"testing"

	"slatewright/bed"
)

// deviation returns mean and standard deviation.
func deviation(v []float64) (mean, sd float64) {
	for _, x := range v {
		mean += x / float64(len(v))
	}
	for _, x := range v {
		sd += (x - mean) * (x - mean) / float64(len(v)-1)
	}
	return mean, math.Sqrt(sd)
}

// within fails unless got is within the given number of standard errors of want.
func within(t *testing.T, what string, got, want, se, errors float64) {
	t.Helper()
	if !(math.Abs(got-want) <= errors*se) {
		t.Errorf("%s is %v, want %v within %v", what, got, want, errors*se)
	}
}

// What the layers promise is what the pieces show: means and spreads over a thousand pieces a layer, within four
// standard errors (σ/√n of a mean, σ/√(2n) of a standard deviation).
func TestLayersHaveTheirTendencies(t *testing.T) {
	if testing.Short() {
		t.Skip("many pieces")
	}
	const n = 3000
	m := New(11, n)
	for _, l := range layers {
		var along, across, twist []float64
		for _, p := range m.Pieces {
			if p.Layer == l.name {
				along, across, twist = append(along, p.BowAlong), append(across, p.BowAcross), append(twist, p.Twist)
			}
		}
		if len(along) != n/len(layers) {
			t.Fatalf("layer %s has %d pieces", l.name, len(along))
		}
		for _, c := range []struct {
			what string
			got  []float64
			want spread
		}{{"bow along", along, l.bowAlong}, {"bow across", across, l.bowAcross}, {"twist", twist, l.twist}} {
			mean, sd := deviation(c.got)
			root := math.Sqrt(float64(len(c.got)))
			within(t, l.name+" mean "+c.what, mean, c.want.mean, c.want.sigma/root, 4)
			within(t, l.name+" spread of "+c.what, sd, c.want.sigma, c.want.sigma/root/math.Sqrt2, 4)
		}
	}
}

// Bow and twist of the dense truth, by least squares over the whole face, are the piece's: what is laid over them
// (tracks, roughness, edges, blemishes) shifts the bows by some hundredths of a millimetre at most, and the twist, the
// difference of four corners, by up to three times that.
func TestTrueFaceHasTheStatedShape(t *testing.T) {
	m := New(5, 60)
	var bows, twists []float64
	for _, p := range m.Pieces {
		along, across, twist := shapeOf(p)
		bows = append(bows, along-p.BowAlong, across-p.BowAcross)
		twists = append(twists, twist-p.Twist)
	}
	for what, c := range map[string]struct {
		shifts     []float64
		mean, most float64
	}{"bows": {bows, 0.006, 0.012}, "twists": {twists, 0.015, 0.036}} {
		mean, sd := deviation(c.shifts)
		if math.Abs(mean) > c.mean || sd > c.most || sd == 0 {
			t.Errorf("the %s of the dense truth differ from the stated ones by %v on average, s.d. %v", what, mean, sd)
		}
	}
}

// shapeOf projects the dense truth on the terms of the design's formula. On a symmetric grid x², y² and xy, each made free
// of its mean, are orthogonal to one another and to the plane.
func shapeOf(p *Piece) (along, across, twist float64) {
	f := p.Scan(12)
	var uu, vv float64
	n := float64(len(f.X))
	for i := range f.X {
		u, v := 2*f.X[i]/SizeX, 2*f.Y[i]/SizeY
		uu, vv = uu+u*u/n, vv+v*v/n
	}
	var a, b, c, aa, bb, cc float64
	for i, z := range f.Z {
		u, v := 2*f.X[i]/SizeX, 2*f.Y[i]/SizeY
		s, q := uu-u*u, vv-v*v
		a, b, c = a+s*z, b+q*z, c+u*v*z
		aa, bb, cc = aa+s*s, bb+q*q, cc+u*u*v*v
	}
	return a / aa, b / bb, 4 * c / cc
}

func TestConditions(t *testing.T) {
	for n, each := range map[int]int{0: 0, 1: 0, 7: 0, 8: 1, 15: 1, 22: 1, 23: 2, 30: 2, 300: 20} {
		wet, warm, both := 0, 0, 0
		for _, p := range New(3, n).Pieces {
			if p.Wet {
				wet++
			}
			if p.Warm {
				warm++
			}
			if p.Wet && p.Warm {
				both++
			}
		}
		if wet != each || warm != each || both != 0 {
			t.Errorf("of %d pieces %d are wet, %d warm, %d both; want %d, %d, 0", n, wet, warm, both, each, each)
		}
	}
}

// The pieces that are spoiled are picked evenly, not always from one end of the stock.
func TestConditionsFallOnAllPieces(t *testing.T) {
	if testing.Short() {
		t.Skip("many pieces")
	}
	const n, seeds = 15, 1500
	wet := make([]float64, n)
	for seed := range seeds {
		for i, p := range New(uint64(seed), n).Pieces {
			if p.Wet {
				wet[i]++
			}
		}
	}
	for i, count := range wet { // binomial, p = 1/15
		within(t, New(0, n).Pieces[i].Serial+": seeds in which it is wet", count, seeds/n, math.Sqrt(seeds/n*(1-1.0/n)), 4)
	}
}

func TestAPieceDependsOnSeedAndSerialAlone(t *testing.T) {
	few, many, other := New(2, 3), New(2, 40), New(3, 3)
	for i, p := range few.Pieces {
		q := many.Pieces[i]
		if p.Serial != q.Serial || p.True(100, 200) != q.True(100, 200) || p.Thickness(3, 4) != q.Thickness(3, 4) {
			t.Errorf("%s differs between a small and a large stock", p.Serial)
		}
		if p.True(100, 200) == other.Pieces[i].True(100, 200) {
			t.Errorf("%s is the same piece for another seed", p.Serial)
		}
	}
	if few.Pieces[0].Serial != "QH-0101" || many.Pieces[39].Serial != "QH-0140" {
		t.Errorf("serials from %s to %s", few.Pieces[0].Serial, many.Pieces[39].Serial)
	}
}

func TestTrueEndsAtTheEdge(t *testing.T) {
	p := New(1, 1).Pieces[0]
	if z := p.True(SizeX/2, -SizeY/2); math.IsNaN(z) {
		t.Error("the corner is not on the piece")
	}
	for _, at := range [][2]float64{{SizeX/2 + 0.1, 0}, {0, -SizeY/2 - 0.1}, {math.NaN(), 0}} {
		if z := p.True(at[0], at[1]); !math.IsNaN(z) {
			t.Errorf("at %v, off the piece, the face is %v", at, z)
		}
	}
}

// Stone is never thinner than the specification asks, the lining lies under it, and the wedge of the thickness is the
// lean of the face on the bench.
func TestThickness(t *testing.T) {
	least := bed.NineFoot().ThicknessMin
	var middles, boards []float64
	for _, p := range New(9, 400).Pieces {
		middles = append(middles, p.Thickness(0, 0)-0.4*p.face.at(0, 0))
		boards = append(boards, p.Lined(0, 0)-p.Thickness(0, 0))
		for _, at := range caliperPlaces() {
			if p.Thickness(at[0], at[1]) < least {
				t.Errorf("%s is %v mm thick at %v", p.Serial, p.Thickness(at[0], at[1]), at)
			}
		}
		lean := p.True(200, 300) - p.face.at(200, 300) - (p.True(0, 0) - p.face.at(0, 0))
		wedge := p.Thickness(200, 300) - 0.4*p.face.at(200, 300) - (p.Thickness(0, 0) - 0.4*p.face.at(0, 0))
		if math.Abs(lean-wedge) > 1e-12 {
			t.Errorf("%s leans by %v, its thickness changes by %v", p.Serial, lean, wedge)
		}
	}
	mean, sd := deviation(middles)
	within(t, "mean thickness", mean, 25.95, 0.10/20, 4)
	within(t, "spread of thickness", sd, 0.10, 0.10/math.Sqrt(800), 4)
	mean, sd = deviation(boards)
	within(t, "mean lining", mean, 19, 0.10/20, 4)
	within(t, "spread of lining", sd, 0.10, 0.10/math.Sqrt(800), 4)
}

func TestNewRefusesAbsurdStocks(t *testing.T) {
	for _, n := range []int{-1, 9001} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("a stock of %d pieces was made", n)
				}
			}()
			New(1, n)
		}()
	}
}

// A piece that is taken from a layer depends on seed, serial and layer alone, in whatever order pieces are taken, and each occasion has
// readings of its own of the same face.
func TestTake(t *testing.T) {
	one, other := Open(9), Open(9)
	a := one.Take("QH-1001", "QH-L1")
	other.Take("QH-1002", "QH-L2")
	b := other.Take("QH-1001", "QH-L1")
	if csv(t, one.Readings(a)) != csv(t, other.Readings(b)) || len(other.Pieces) != 2 {
		t.Error("the same piece reads otherwise when another was taken before it")
	}
	if p := Open(9).Take("QH-1001", "QH-L2"); p.BowAlong == a.BowAlong {
		t.Error("the layer makes no difference")
	}
	first, again := one.ReadingsOn(a, "raw"), one.ReadingsOn(a, "lined")
	var apart []float64
	for i := range first.Z {
		apart = append(apart, first.Z[i]-again.Z[i])
	}
	if _, sd := deviation(apart); sd < readingSigma || sd > 2*readingSigma { // √2 of one reading's
		t.Errorf("two occasions differ by %v mm", sd)
	}
	if len(Layers()) != 3 || Layers()[0] != "QH-L1" {
		t.Errorf("layers %v", Layers())
	}
}

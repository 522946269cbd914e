package stations_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"slatewright/stations"
)

// crossing is a grid of 6 columns and 9 rows on the reference piece of 914 x 1473 mm, 20 mm inside its edges.
func crossing() (x, y []float64) {
	for j := range 9 {
		for i := range 6 {
			x = append(x, -437+174.8*float64(i))
			y = append(y, -716.5+179.125*float64(j))
		}
	}
	return x, y
}

// found says what is found, in a word.
func found(x, y []float64) string {
	g, ok := stations.Find(x, y)
	if !ok {
		return "scan"
	}
	beside := 0
	for _, at := range g.At {
		if at < 0 {
			beside++
		}
	}
	return fmt.Sprintf("%d x %d, %d beside", len(g.X), len(g.Y), beside)
}

// ways are ways to read a face, as changes of the reference grid, and what is found of them.
var ways = []struct {
	name   string
	change func(x, y []float64) ([]float64, []float64)
	want   string
}{
	{"every crossing", func(x, y []float64) ([]float64, []float64) { return x, y }, "6 x 9, 0 beside"},
	{"placed by hand", func(x, y []float64) ([]float64, []float64) {
		for i := range x {
			x[i] += 0.5 * float64(i%3-1)
			y[i] += 0.25 * float64(i%4-2)
		}
		return x, y
	}, "6 x 9, 0 beside"},
	{"pockets unread", func(x, y []float64) ([]float64, []float64) {
		return where(x, y, func(i, j int) bool { return (i > 0 && i < 5) || (j > 0 && j < 8) })
	}, "6 x 9, 0 beside"},
	{"staggered", func(x, y []float64) ([]float64, []float64) {
		return where(x, y, func(i, j int) bool { return (i+j)%2 == 0 })
	}, "6 x 9, 0 beside"},
	{"four corners and the middle", func(_, _ []float64) ([]float64, []float64) {
		return []float64{-437, 437, 0, -437, 437}, []float64{-716.5, -716.5, 0, 716.5, 716.5}
	}, "3 x 3, 0 beside"},
	{"four corners", func(_, _ []float64) ([]float64, []float64) { return []float64{0, 9, 0, 9}, []float64{0, 0, 9, 9} }, "2 x 2, 0 beside"},
	{"a high spot looked at", func(x, y []float64) ([]float64, []float64) {
		return append(x, 30, 35, 41, 30, 40), append(y, 50, 50, 53, 62, 64)
	}, "6 x 9, 5 beside"},
	{"one place read fifty times", func(x, y []float64) ([]float64, []float64) {
		for range 50 {
			x, y = append(x, x[20]), append(y, y[20])
		}
		return x, y
	}, "6 x 9, 0 beside"},
	{"one reading gone astray", func(x, y []float64) ([]float64, []float64) { x[20] += 5; return x, y }, "6 x 9, 1 beside"},
	{"lines too wide", func(x, y []float64) ([]float64, []float64) {
		for i := range x {
			x[i] += 0.6 * float64(i/6%3-1)
		}
		return x, y
	}, "scan"},
	{"a third of the crossings", func(x, y []float64) ([]float64, []float64) {
		return where(x, y, func(i, j int) bool { return (i+j)%3 == 0 })
	}, "scan"},
	{"more beside than on it", func(x, y []float64) ([]float64, []float64) {
		for i := range 60 { // on a diagonal
			x, y = append(x, -400+13.1*float64(i)), append(y, -700+17.3*float64(i))
		}
		return x, y
	}, "scan"},
	{"one row", func(x, y []float64) ([]float64, []float64) { return x[:6], y[:6] }, "scan"},
	{"one column", func(x, y []float64) ([]float64, []float64) {
		return where(x, y, func(i, _ int) bool { return i == 2 })
	}, "scan"},
	{"nothing", func(_, _ []float64) ([]float64, []float64) { return nil, nil }, "scan"},
	{"no number", func(x, y []float64) ([]float64, []float64) { x[3] = math.NaN(); return x, y }, "scan"},
	{"far out", func(x, y []float64) ([]float64, []float64) { y[3] = math.Inf(-1); return x, y }, "scan"},
}

func TestWhatIsAGrid(t *testing.T) {
	for _, c := range ways {
		x, y := c.change(crossing())
		if got := found(x, y); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}

// where takes the readings of some columns i and rows j.
func where(x, y []float64, take func(i, j int) bool) (u, v []float64) {
	for k := range x {
		if take(k%6, k/6) {
			u, v = append(u, x[k]), append(v, y[k])
		}
	}
	return u, v
}

// raster is n by n lines, the pitch apart.
func raster(n int, pitch float64) (x, y []float64) {
	for i := range n {
		for j := range n {
			x, y = append(x, float64(i)*pitch), append(y, float64(j)*pitch)
		}
	}
	return x, y
}

func TestDenseRastersAndScatteredReadingsAreScans(t *testing.T) {
	if got := found(raster(64, 14)); got != "64 x 64, 0 beside" {
		t.Errorf("64 lines each way: %s", got)
	}
	for what, places := range map[string]func() ([]float64, []float64){
		"65 lines each way": func() ([]float64, []float64) { return raster(65, 14) },
		"a pitch of 1 mm":   func() ([]float64, []float64) { return raster(20, 1) },
		"30 scattered":      func() ([]float64, []float64) { return scattered(30) },
		"500 scattered":     func() ([]float64, []float64) { return scattered(500) },
		"200,000 scattered": func() ([]float64, []float64) { return scattered(200_000) },
	} {
		if got := found(places()); got != "scan" {
			t.Errorf("%s: %s", what, got)
		}
	}
}

func scattered(n int) (x, y []float64) {
	r := rand.New(rand.NewPCG(71, uint64(n)))
	for range n {
		x, y = append(x, 900*r.Float64()), append(y, 1470*r.Float64())
	}
	return x, y
}

// Stations are the coordinates themselves where all readings of a line have the same one, and each reading stands where At
// says: within half a millimetre of the middle of its lines.
func TestReadingsStandAtTheirCrossings(t *testing.T) {
	x, y := crossing()
	g, ok := stations.Find(x, y)
	if !ok {
		t.Fatal("no grid")
	}
	for i, at := range g.At {
		if at != i%6*9+i/6 || g.X[at/9] != x[i] || g.Y[at%9] != y[i] {
			t.Fatalf("reading %d stands at crossing %d of %v %v", i, at, g.X, g.Y)
		}
	}
}

// Whatever the grid: the order of the readings, a half turn and a move of the piece change nothing. A line that is just 1 mm
// wide stays one line, though the move rounds its coordinates.
func TestTheSameGridWhereverThePieceLies(t *testing.T) {
	r := rand.New(rand.NewPCG(72, 72))
	grids := 0
	for range 400 {
		columns, rows := 2+r.IntN(12), 2+r.IntN(12)
		var x, y []float64
		for i := range columns {
			for j := range rows {
				if r.IntN(4) > 0 {
					x = append(x, float64(701*i+10*r.IntN(2))/10)
					y = append(y, 120*float64(j)+0.5*float64(r.IntN(3)))
				}
			}
		}
		for range r.IntN(4) {
			x, y = append(x, 900*r.Float64()), append(y, 1400*r.Float64())
		}
		g, ok := stations.Find(x, y)
		if ok {
			grids++
		}
		byX, byY, order := 1e3*r.Float64(), 1e3*r.Float64(), r.Perm(len(x))
		u, v := make([]float64, len(x)), make([]float64, len(x))
		for i, k := range order {
			u[i], v[i] = byX-x[k], byY-y[k]
		}
		h, still := stations.Find(u, v)
		if still != ok || len(g.X) != len(h.X) || len(g.Y) != len(h.Y) {
			t.Fatalf("%v %v: %d x %d, then %d x %d", x, y, len(g.X), len(g.Y), len(h.X), len(h.Y))
		}
		for i, k := range order {
			want := -1
			if ok && g.At[k] >= 0 {
				want = len(g.X)*len(g.Y) - 1 - g.At[k]
			}
			if ok && h.At[i] != want {
				t.Fatalf("reading %d stood at %d and stands at %d", k, g.At[k], h.At[i])
			}
		}
	}
	if grids < 200 {
		t.Errorf("only %d grids: the test says little", grids)
	}
}

// Against the plain way to part numbers: sort them and look at the gaps.
func TestLinesAgainstSorting(t *testing.T) {
	r := rand.New(rand.NewPCG(73, 73))
	parted, wide := 0, 0
	for range 3000 {
		var x, y []float64
		for range 2 + r.IntN(6) {
			at := math.Floor(12*r.Float64()) - 6
			for range 2 {
				x = append(x, at+0.25*float64(r.IntN(5)))
			}
		}
		for i := range x { // two rows, both full
			y = append(y, 100*float64(i%2))
		}
		want, ok := bySorting(x)
		g, isGrid := stations.Find(x, y)
		if !ok {
			wide++
			if isGrid {
				t.Fatalf("%v is a grid of %v, and has a line that is too wide", x, g.X)
			}
			continue
		}
		if !isGrid {
			continue // one column, or too few crossings
		}
		parted++
		for _, c := range g.X {
			if !slices.Contains(want, c) {
				t.Fatalf("%v: lines at %v, by sorting at %v", x, g.X, want)
			}
		}
	}
	if parted < 500 || wide < 500 {
		t.Errorf("%d parted, %d too wide: the test says little", parted, wide)
	}
}

func bySorting(v []float64) (middles []float64, ok bool) {
	v = slices.Sorted(slices.Values(v))
	for from, to := 0, 1; to <= len(v); to++ {
		if to < len(v) && v[to]-v[to-1] <= 1 {
			continue
		}
		if v[to-1]-v[from] > 1 {
			return nil, false
		}
		middles = append(middles, (v[from]+v[to-1])/2)
		from = to
	}
	return middles, true
}

func TestSame(t *testing.T) {
	for _, c := range []struct {
		a, b float64
		want bool
	}{{0, 0, true}, {3, 4, true}, {4, 3, true}, {-0.5, 0.5, true}, {3, 4.001, false}, {-1, 0.001, false}, {math.NaN(), 0, false}} {
		if got := stations.Same(c.a, c.b); got != c.want {
			t.Errorf("%v and %v: %v", c.a, c.b, got)
		}
	}
	if !stations.Same(62.3-70.1, 63.3-70.1) || !stations.Same(561.1-70.1, 562.1-70.1) || !stations.Same(70.1, 71.1) || !stations.Same(33.3, 34.3) {
		t.Error("a millimetre is none after a move")
	}
}

func TestAScanIsKnownWithoutSortingIt(t *testing.T) {
	x, y := scattered(1_000_000)
	if n := testing.AllocsPerRun(3, func() { stations.Find(x, y) }); n > 50 {
		t.Errorf("%v allocations for a scan", n)
	}
}

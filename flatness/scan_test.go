package flatness

import (
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"
)

// A scan against a plain loop: the highest point above and the lowest below in each cell, the first of equals.
func TestScan(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for trial := range 60 {
		n := 1 + r.IntN(3*block)
		p := Points{X: make([]float64, n), Y: make([]float64, n), Z: make([]float64, n)}
		for i := range n {
			p.X[i], p.Y[i], p.Z[i] = float64(r.IntN(100)), float64(r.IntN(100)), float64(r.IntN(20))
		}
		s, err := newSample(p)
		if err != nil {
			t.Fatal(err)
		}
		b := s.bandAlong(vector{0.2 * r.NormFloat64(), 0.2 * r.NormFloat64(), 1 - 2*float64(trial%2)}.unit())
		b.low, b.high = b.low+2, b.high-2
		e := b.scan(p)
		high, low := map[int]int{}, map[int]int{}
		residual := func(i int) float64 { return p.Z[i] - float64(b.a*p.X[i]) - float64(b.b*p.Y[i]) }
		above, below := 0.0, 0.0
		for i := range n {
			cell := along((p.X[i]-b.x0)*b.dx)*cells + along((p.Y[i]-b.y0)*b.dy)
			v := residual(i)
			if best, ok := high[cell]; v > b.high && (!ok || v > residual(best)) {
				high[cell] = i
			}
			if best, ok := low[cell]; v < b.low && (!ok || v < residual(best)) {
				low[cell] = i
			}
			above, below = max(above, v-b.high), max(below, b.low-v)
		}
		for cell := range e.high {
			if i, ok := high[cell]; ok && e.high[cell] != i || !ok && e.high[cell] != -1 {
				t.Fatalf("trial %d: cell %d shows %d as its highest, want %d", trial, cell, e.high[cell], i)
			}
			if i, ok := low[cell]; ok && e.low[cell] != i || !ok && e.low[cell] != -1 {
				t.Fatalf("trial %d: cell %d shows %d as its lowest, want %d", trial, cell, e.low[cell], i)
			}
		}
		if e.above != above*b.stretch || e.below != below*b.stretch || e.broken != -1 {
			t.Fatalf("trial %d: %g above, %g below, want %g, %g", trial, e.above, e.below, above*b.stretch, below*b.stretch)
		}
	}
}

func TestScanNamesTheFirstBrokenPoint(t *testing.T) {
	for _, at := range [][]int{{0}, {3}, {block + 1, block + 2}, {17, 2*block + 3}, {2*block + 6}} {
		n := 2*block + 7
		p := Points{X: make([]float64, n), Y: make([]float64, n), Z: make([]float64, n)}
		for i := range n {
			p.X[i], p.Y[i] = float64(i%100), float64(i/100)
		}
		s, err := newSample(p)
		if err != nil {
			t.Fatal(err)
		}
		b := s.bandAlong(vector{0, 0, 1})
		for _, i := range at {
			p.Z[i] = math.NaN()
		}
		if e := b.scan(p); e.broken != at[0] {
			t.Errorf("NaN at %v: point %d is named", at, e.broken)
		}
	}
}

// Points beside the sample's extent, or anywhere at all, still belong to a cell.
func TestAlong(t *testing.T) {
	for q, want := range map[float64]int{-5: 0, 0: 0, 0.99: 0, 1: 1, cells - 0.01: cells - 1, cells: cells - 1, 1e300: cells - 1, math.Inf(1): cells - 1, math.Inf(-1): 0} {
		if got := along(q); got != want {
			t.Errorf("%g: cell %d, want %d", q, got, want)
		}
	}
	if got := along(math.NaN()); got != 0 {
		t.Errorf("NaN: cell %d", got)
	}
}

func TestShareCoversEachPointOnce(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(3))
	for _, n := range []int{1, block - 1, block, block + 1, 10*block + 5} {
		seen := make([]int, n)
		share(n, func(lo, hi int) {
			if lo%block != 0 {
				t.Errorf("%d points: a range begins at %d", n, lo)
			}
			for i := lo; i < hi; i++ {
				seen[i]++
			}
		})
		if slices.Min(seen) != 1 || slices.Max(seen) != 1 {
			t.Errorf("%d points: seen %d to %d times", n, slices.Min(seen), slices.Max(seen))
		}
	}
}

// A face of 50,000 readings needs two scans: one that brings out what holds the planes, and one that finds nothing beyond.
func TestTwoScansAreUsual(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	scans := map[int]int{}
	for range 20 {
		var p Points
		for range 50_000 {
			u, v := 2*r.Float64()-1, 2*r.Float64()-1
			p.X, p.Y = append(p.X, 457*u), append(p.Y, 736.5*v)
			p.Z = append(p.Z, 0.1*(1-u*u)-0.05*(1-v*v)+0.03*u*v+0.005*r.NormFloat64())
		}
		_, b, err := search(p)
		if err != nil {
			t.Fatal(err)
		}
		scans[b.scans]++
	}
	if scans[2] < 15 {
		t.Errorf("scans: %v", scans)
	}
}

// A panic on one of the cores is the caller's: the program turns it into words and an exit status.
func TestPanicReachesTheCaller(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(2))
	defer func() {
		if recover() == nil {
			t.Error("no panic reached the caller")
		}
	}()
	share(4*block, func(lo, _ int) {
		if lo > 0 {
			panic("broken")
		}
	})
}

// What cores bring together does not depend on which of them was first, ties included.
func TestMergingInAnyOrder(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	for trial := range 200 {
		var parts []*extremes
		band := band{low: -1, high: 1}
		for part := range 4 {
			e := band.nothing()
			if r.IntN(4) == 0 {
				e.broken = 100*part + r.IntN(100)
			}
			for k := range 5 {
				if r.IntN(2) == 0 {
					e.high[k], e.most[k] = 100*part+k, float64(2+r.IntN(3))
					e.low[k], e.least[k] = 100*part+k, -float64(2+r.IntN(3))
				}
			}
			parts = append(parts, e)
		}
		merged := func(order []int) *extremes {
			all := band.nothing()
			for _, i := range order {
				all.merge(parts[i])
			}
			return all
		}
		if *merged([]int{0, 1, 2, 3}) != *merged(r.Perm(4)) {
			t.Fatalf("trial %d: another order gives other points", trial)
		}
	}
}

// The contract of the answer knows these kinds and no other, however many points are found to touch.
func TestKindsOfContact(t *testing.T) {
	for _, c := range []struct {
		above, below int
		want         string
	}{{3, 1, "3-1"}, {1, 3, "3-1"}, {2, 2, "2-2"}, {2, 1, "2-2"}, {1, 2, "2-2"}, {1, 1, "2-2"}} {
		if got := kind(c.above, c.below); got != c.want {
			t.Errorf("%d above and %d below: %s, want %s", c.above, c.below, got, c.want)
		}
	}
}

// The sample is spread: one point of each stretch, none twice, and no place in the stretch is preferred.
func TestSample(t *testing.T) {
	const n = sampleSize * 100
	p := Points{X: make([]float64, n), Y: make([]float64, n), Z: make([]float64, n)}
	s, err := newSample(p)
	if err != nil {
		t.Fatal(err)
	}
	place := 0.0
	for k, i := range s.index {
		if i/100 != k {
			t.Fatalf("point %d stands for stretch %d", i, k)
		}
		place += float64(i % 100)
	}
	if mean := place / sampleSize; math.Abs(mean-49.5) > 1 {
		t.Errorf("mean place in the stretch is %g, want 49.5", mean)
	}
	if len(s.index) != sampleSize {
		t.Errorf("%d points", len(s.index))
	}
}

// The width is a lower bound, and for a rectangle it is its short side.
func TestWidth(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	f := frame{e1: vector{1, 0, 0}, e2: vector{0, 1, 0}, n: vector{0, 0, 1}}
	for trial := range 200 {
		n := 4 + r.IntN(200)
		p := Points{X: make([]float64, n), Y: make([]float64, n), Z: make([]float64, n)}
		for i := range n {
			p.X[i], p.Y[i] = 914*r.Float64(), 100*r.Float64()
		}
		if trial == 0 {
			copy(p.X, []float64{0, 914, 914, 0})
			copy(p.Y, []float64{0, 0, 100, 100})
		}
		s, err := newSample(p)
		if err != nil {
			t.Fatal(err)
		}
		w := s.width(f)
		if trial == 0 && math.Abs(w-100) > 1e-9 {
			t.Errorf("rectangle of 914 by 100: width %g", w)
		}
		for a := range 180 {
			c, d := math.Cos(float64(a)*math.Pi/180), math.Sin(float64(a)*math.Pi/180)
			lo, hi := math.Inf(1), math.Inf(-1)
			for i := range n {
				x := c*p.X[i] + d*p.Y[i]
				lo, hi = min(lo, x), max(hi, x)
			}
			if hi-lo < w-1e-9 {
				t.Fatalf("trial %d: width %g at %d°, the bound says %g", trial, hi-lo, a, w)
			}
		}
	}
}

package leaves_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"slatewright/chance"
	"slatewright/cutting/leaves"
)

const grain = 1e-6 // mm, below the thousandth in which lengths are taken

// faults is what is wrong with a plan, looked at from outside: places, order, kerf, skin, planes, numbers, value.
func faults(b leaves.Block, wants []leaves.Want, allowance float64, p *leaves.Plan) (list []string) {
	below := b.Top
	counts := make([]int, len(wants))
	var value float64
	for _, l := range p.Leaves {
		w := wants[l.Want]
		counts[l.Want]++
		value += w.Value
		if l.From < below-grain {
			list = append(list, "a leaf begins in the kerf above it, or in the skin")
		}
		if math.Abs(l.To-l.From-w.Finished-allowance) > 2e-3 {
			list = append(list, "a leaf has not its thickness")
		}
		for _, pl := range b.Planes {
			if l.From < pl.At+pl.Clear-2e-3 && pl.At-pl.Clear+2e-3 < l.To {
				list = append(list, "a leaf holds a plane of weakness")
			}
		}
		below = l.To + b.Kerf
	}
	if len(p.Leaves) > 0 && p.Leaves[len(p.Leaves)-1].To > b.Thickness-b.Bottom+grain {
		list = append(list, "the last leaf ends in the skin")
	}
	for j, w := range wants {
		if w.Most > 0 && counts[j] > w.Most {
			list = append(list, "more leaves than are wanted")
		}
	}
	if !slices.Equal(counts, p.Counts) || math.Abs(value-p.Value) > 1e-9*(1+value) {
		list = append(list, "numbers and value are not those of the leaves")
	}
	return list
}

// slow tries every order of leaves at every millimetre.
func slow(b leaves.Block, wants []leaves.Want, allowance float64) float64 {
	left := make([]int, len(wants))
	for j, w := range wants {
		if left[j] = w.Most; w.Most == 0 {
			left[j] = 1000
		}
	}
	var from func(x int) float64
	from = func(x int) float64 {
		best := 0.0
		for ; float64(x) < b.Thickness; x++ {
			for j, w := range wants {
				end := float64(x) + w.Finished + allowance
				clear := left[j] > 0 && end <= b.Thickness-b.Bottom
				for _, pl := range b.Planes {
					clear = clear && (end <= pl.At-pl.Clear || float64(x) >= pl.At+pl.Clear)
				}
				if clear {
					left[j]--
					best = max(best, w.Value+from(int(end+b.Kerf)))
					left[j]++
				}
			}
		}
		return best
	}
	return from(int(b.Top))
}

func draw(t *rapid.T, thickest int) (leaves.Block, []leaves.Want, float64) {
	length := func(name string, least, most int) float64 {
		return float64(rapid.IntRange(least, most).Draw(t, name))
	}
	b := leaves.Block{Thickness: length("thickness", 0, thickest), Top: length("top", 0, 3), Bottom: length("bottom", 0, 3), Kerf: length("kerf", 0, 3)}
	for range rapid.IntRange(0, 2).Draw(t, "planes") {
		if b.Thickness > 0 {
			b.Planes = append(b.Planes, leaves.Plane{At: length("at", 0, int(b.Thickness)), Clear: length("clear", 0, 2)})
		}
	}
	for _, pl := range b.Planes { // a plane without a width still parts: slow has none
		if pl.Clear == 0 {
			b.Planes = nil
			break
		}
	}
	var wants []leaves.Want
	for range rapid.IntRange(1, 3).Draw(t, "wants") {
		wants = append(wants, leaves.Want{Finished: length("finished", 3, 9), Value: length("value", 1, 9), Most: rapid.IntRange(0, 2).Draw(t, "most")})
	}
	return b, wants, length("allowance", 0, 2)
}

func TestBestOfTinyBlocks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, wants, allowance := draw(t, 26)
		p, err := leaves.Cut(b, wants, allowance)
		if err != nil {
			t.Fatal(err)
		}
		if f := faults(b, wants, allowance, p); f != nil {
			t.Fatal(f)
		}
		if best := slow(b, wants, allowance); p.Value != best {
			t.Fatalf("value %v, trying everything gives %v", p.Value, best)
		}
	})
}

// n = floor((T − skin + kerf)/(rough + kerf)) where nothing is in the way.
func TestWholeLeaves(t *testing.T) {
	for _, c := range []struct {
		thick, rough, kerf float64
		n                  int
		share              float64 // of the thickness that becomes 25.4 mm
	}{{100, 34, 5, 2, 0.51}, {120, 34, 5, 3, 0.63}, {150, 34, 5, 3, 0.51}, {150, 32, 4, 4, 0.68}} { // worked by hand
		b := leaves.Block{Thickness: c.thick, Top: 3, Bottom: 3, Kerf: c.kerf}
		p, err := leaves.Cut(b, []leaves.Want{{Finished: 25.4, Value: 1}}, c.rough-25.4)
		if err != nil || len(p.Leaves) != c.n || math.Abs(float64(c.n)*25.4/c.thick-c.share) > 0.01 {
			t.Errorf("%v: %+v, %v", c, p, err)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		b, wants, allowance := draw(t, 400)
		b.Planes, wants = nil, wants[:1]
		wants[0].Most = 0
		n := math.Floor((b.Thickness - b.Top - b.Bottom + b.Kerf) / (wants[0].Finished + allowance + b.Kerf))
		p, err := leaves.Cut(b, wants, allowance)
		if err != nil || len(p.Leaves) != int(max(0, n)) || p.Left < 0 {
			t.Fatalf("%v leaves, %+v, %v", n, p, err)
		}
	})
}

// A plane of no width still parts the stone.
func TestPlaneWithoutWidth(t *testing.T) {
	b := leaves.Block{Thickness: 60, Planes: []leaves.Plane{{At: 30}}}
	p, err := leaves.Cut(b, []leaves.Want{{Finished: 20, Value: 1}}, 0)
	if err != nil || len(p.Leaves) != 2 || p.Leaves[1].From != 30 {
		t.Errorf("%+v, %v", p, err)
	}
}

func TestAFaultIsSeen(t *testing.T) {
	b := leaves.Block{Thickness: 60, Kerf: 2, Planes: []leaves.Plane{{At: 30, Clear: 1}}}
	wants := []leaves.Want{{Finished: 20, Value: 1, Most: 2}}
	for _, p := range []leaves.Plan{
		{Leaves: []leaves.Leaf{{From: 0, To: 20}, {From: 20, To: 40}}, Counts: []int{2}, Value: 2},
		{Leaves: []leaves.Leaf{{From: 0, To: 20}, {From: 45, To: 65}}, Counts: []int{2}, Value: 2},
		{Leaves: []leaves.Leaf{{From: 0, To: 21}}, Counts: []int{1}, Value: 1},
		{Leaves: []leaves.Leaf{{From: 0, To: 20}}, Counts: []int{1}, Value: 2},
	} {
		if faults(b, wants, 0, &p) == nil {
			t.Errorf("%+v passes", p)
		}
	}
}

// The value never falls when a millimetre is saved, and the next step is where it changes.
func TestWorthOfAMillimetre(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, wants, allowance := draw(t, 120)
		stock, kerf, err := leaves.OneMillimetre(b, wants, allowance)
		if err != nil || stock.Value < 0 || kerf.Value < 0 {
			t.Fatal(stock, kerf, err)
		}
		now, _ := leaves.Cut(b, wants, allowance)
		next, err := leaves.NextStep(b, wants, allowance)
		if err != nil {
			t.Fatal(err)
		}
		if next == nil {
			if none, _ := leaves.Cut(b, wants, 0); none.Value > now.Value {
				t.Fatal("a step was missed")
			}
			return
		}
		at, _ := leaves.Cut(b, wants, next.At)
		over, _ := leaves.Cut(b, wants, next.At+0.01)
		if at.Value != next.Value || !(at.Value > now.Value) || over.Value != now.Value {
			t.Fatalf("%+v: %v now, %v there, %v above", next, now.Value, at.Value, over.Value)
		}
	})
}

func TestRefused(t *testing.T) {
	good := []leaves.Want{{Finished: 25, Value: 1}}
	for name, c := range map[string]struct {
		b     leaves.Block
		wants []leaves.Want
		allow float64
	}{
		"nothing wanted": {leaves.Block{Thickness: 100}, nil, 0},
		"no number":      {leaves.Block{Thickness: math.NaN()}, good, 0},
		"below nothing":  {leaves.Block{Thickness: 100}, good, -1},
		"plane outside":  {leaves.Block{Thickness: 100, Planes: []leaves.Plane{{At: 101}}}, good, 0},
		"no value":       {leaves.Block{Thickness: 100}, []leaves.Want{{Finished: 25}}, 0},
		"too many":       {leaves.Block{Thickness: 9000}, []leaves.Want{{Finished: 2, Value: 1}, {Finished: 3, Value: 1}, {Finished: 4, Value: 1}}, 0},
	} {
		if p, err := leaves.Cut(c.b, c.wants, c.allow); err == nil {
			t.Errorf("%s: %+v", name, p)
		}
	}
}

// 59 pieces bound the 95 % quantile, 29 the 90 % one, 299 the 99 % one: the well-known sizes of samples without a failure.
func TestPiecesThatBoundAQuantile(t *testing.T) {
	for q, n := range map[float64]int{0.9: 29, 0.95: 59, 0.99: 299} {
		if leaves.PiecesFor(q) != n {
			t.Errorf("%v: %d", q, leaves.PiecesFor(q))
		}
		needs := make([]float64, n)
		for i := range needs {
			needs[i] = float64(i)
		}
		full, err := leaves.FromHistory(needs, q)
		short, err2 := leaves.FromHistory(needs[1:], q)
		if err != nil || err2 != nil || !full.Told() || short.Told() || *full.High != float64(n-1) {
			t.Errorf("%v: %+v, %+v", q, full, short)
		}
	}
	// The median of ten: from the second to the ninth, each end wrong with 11/1024 (H. A. David and H. N. Nagaraja, 2003, §7.1).
	ten, err := leaves.FromHistory([]float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10}, 0.5)
	if err != nil || *ten.Low != 2 || *ten.High != 9 || ten.At != 5 {
		t.Errorf("%+v, %v", ten, err)
	}
}

// The ends hold as often as they say, for a skewed distribution.
func TestIntervalHolds(t *testing.T) {
	const q, n, runs = 0.9, 60, 4000
	s := chance.NewStream(8)
	truth := -math.Log(1 - q)
	low, high := 0, 0
	for range runs {
		needs := make([]float64, n)
		for i := range needs {
			needs[i] = -math.Log(1 - s.Float64())
		}
		got, err := leaves.FromHistory(needs, q)
		if err != nil || got.Low == nil || got.High == nil {
			t.Fatal(got, err)
		}
		if *got.Low <= truth {
			low++
		}
		if *got.High >= truth {
			high++
		}
	}
	for _, held := range []int{low, high} { // at least 95 %, less three standard deviations of the count
		if share := float64(held) / runs; share < 0.95-3*math.Sqrt(0.95*0.05/runs) || share > 0.99 {
			t.Errorf("held in %.4f", share)
		}
	}
}

func TestPaid(t *testing.T) {
	// One block of 100 mm: three leaves of 25 fit with an allowance of 6 and a kerf of 3, two above.
	b := leaves.Block{Thickness: 99, Kerf: 3}
	wants := []leaves.Want{{Finished: 25, Value: 1}}
	needs := []float64{2, 3, 4, 5, 6, 6, 6, 6, 20, 20}
	got, expected, err := leaves.Paid(b, wants, needs)
	if err != nil || got != 6 || math.Abs(expected-3*0.8) > 1e-12 { // 3 leaves, 8 of 10 clean up; 2 × 1 at 20 is less
		t.Errorf("%v, %v, %v", got, expected, err)
	}
	if _, err := leaves.FromHistory([]float64{1, -2}, 0.95); err == nil {
		t.Error("less than nothing passes")
	}
}

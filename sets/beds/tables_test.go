package beds_test

import (
	"cmp"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/sets/beds"
)

func stock(t testing.TB, list []beds.Piece, classes []beds.Limits, w beds.Weights) *beds.Stock {
	t.Helper()
	s, err := beds.New(list, bed.NineFoot(), classes, w)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestThinnedReadingsHoldAll looks for the highest and the lowest reading at random tilts: those that were kept have it.
func TestThinnedReadingsHoldAll(t *testing.T) {
	most := 0
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 3))
		n := 4 + r.IntN(2000)
		u, v, z := make([]float64, n), make([]float64, n), make([]float64, n)
		for i := range z {
			u[i], v[i] = 2*r.Float64()-1, 2*r.Float64()-1
			z[i] = 0.1*(1-u[i]*u[i]) + 0.05*u[i]*v[i] + 0.01*r.NormFloat64()
			if i%50 == 49 {
				u[i], v[i], z[i] = u[i-1], v[i-1], z[i-1] // read twice
			}
		}
		const reach = 0.5
		sign := float64(2*r.IntN(2) - 1)
		kept := beds.Thin(u, v, z, sign, reach)
		if n > 1000 {
			most = max(most, len(kept))
		}
		for range 50 {
			s, d := reach*(2*r.Float64()-1), reach*(2*r.Float64()-1)
			at := func(i int) float64 { return sign * (z[i] + s*u[i] + d*v[i]) }
			all, best := math.Inf(-1), math.Inf(-1)
			for i := range z {
				all = max(all, at(i))
			}
			for _, i := range kept {
				best = max(best, at(i))
			}
			if best < all-1e-15 {
				t.Fatalf("%d of %d kept reach %v, all reach %v", len(kept), n, best, all)
			}
		}
	})
	if most == 0 || most > 400 {
		t.Errorf("up to %d of up to 2000 readings were kept", most)
	}
}

// TestJointsOfTwo holds the lines of a pair against the program of the pair at any zone, from the wider piece's own up.
func TestJointsOfTwo(t *testing.T) {
	compared := 0
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 4))
		list := []beds.Piece{{Face: drawn(r, anyKind(r)), Ways: beds.AnyWay()}, {Face: drawn(r, anyKind(r)), Ways: beds.AnyWay()}}
		s, err := beds.New(list, bed.NineFoot(), []beds.Limits{{MaxStep: 5, Zone: 1, Lengthwise: 1, Across: 1}}, weights())
		if err != nil {
			t.Fatal(err)
		}
		from := max(own(s, 0), own(s, 1))
		for range 5 {
			zone := from + r.Float64()*r.Float64()*(1-from)
			ei, ej := r.IntN(2), r.IntN(2)
			floor, exact := s.Joint(0, ei, 1, ej, zone)
			if math.IsNaN(exact) {
				continue
			}
			compared++
			if floor > exact+1e-10 || floor < exact-1e-9-0.01*exact {
				t.Fatalf("zone %v: floor %v, step %v", zone, floor, exact)
			}
			if half := s.Needs(0, ei, 1, ej, exact+1e-9); 2*half > zone+1e-9 {
				t.Fatalf("a step of %v is said to need a zone of %v, and %v is enough", exact, 2*half, zone)
			}
		}
	})
	if compared < 100 {
		t.Errorf("only %d were compared", compared)
	}
}

// TestFloorsKeptAndNot asks the same floors of the table and one at a time.
func TestFloorsKeptAndNot(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 5))
	list := anyStock(r, 24)
	s := stock(t, list, anyClasses(r), anyWeights(r, len(list)))
	u := s.Unkept()
	finite := 0
	for i := range list {
		for j := i + 1; j < len(list); j++ {
			a, b := make([]float64, len(list)-1-j), make([]float64, len(list)-1-j)
			s.Floors(i, j, a)
			u.Floors(i, j, b)
			for k := range a {
				if math.IsInf(a[k], 1) != math.IsInf(b[k], 1) || a[k] > b[k] || a[k] < b[k]-1e-6 {
					t.Errorf("%d %d %d: %v kept, %v not", i, j, j+1+k, a[k], b[k])
				}
				if !math.IsInf(a[k], 1) {
					finite++
				}
			}
		}
	}
	if finite < 100 {
		t.Errorf("only %d floors", finite)
	}
}

// TestCrownsAcross has a closed form. Faces z = a(1 − v²) have a zone of |a|, laid level about one plane; two of them leave a step of half the
// difference of their crowns, ± alike at the middle and at the ends, and no plane takes any of it away (Chebyshev's parabola). So the zone is that of the
// most crowned, the one between the other two lies in the centre, and the larger step is half the larger difference.
func TestCrownsAcross(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 7))
		list := make([]beds.Piece, 3)
		crowns := make([]float64, 3)
		for i := range list {
			f := drawn(r, kind{nx: 4, ny: 9, rows: true})
			crowns[i] = 0.1 * (2*r.Float64() - 1)
			for k := range f.Z {
				v := f.Y[k] / (sizeY/2 - 21)
				f.Z[k] = crowns[i]*(1-v*v) + 1e-3*f.X[k] + float64(i)
			}
			list[i] = beds.Piece{Face: f, Ways: beds.AnyWay()}
		}
		s, err := beds.New(list, bed.NineFoot(), usual(), weights())
		if err != nil {
			t.Fatal(err)
		}
		order := []int{0, 1, 2}
		slices.SortFunc(order, func(i, j int) int { return cmp.Compare(crowns[i], crowns[j]) })
		low, middle, high := crowns[order[0]], crowns[order[1]], crowns[order[2]]
		want := beds.Bed{Index: [3]int{min(order[0], order[2]), order[1], max(order[0], order[2])},
			Zone: max(-low, high), Step: max(middle-low, high-middle) / 2}
		b := s.Price(0, 1, 2)
		if b.Index != want.Index || b.Turned != [3]bool{} || !close(b.Zone, want.Zone, 1e-9) || !close(b.Step, want.Step, 1e-8) {
			t.Fatalf("crowns %v: %+v, want %+v", crowns, b, want)
		}
		if !close(b.Cost, want.Zone/0.508+want.Step/0.127, 1e-7) || b.Serves != 1 || !close(b.Across, want.Zone, 1e-9) {
			t.Fatalf("crowns %v: %+v", crowns, b)
		}
	})
}

// TestCoresDoNotShow makes a stock ready on one core and on several, and asks the same.
func TestCoresDoNotShow(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	r := rand.New(rand.NewPCG(9, 5))
	list := anyStock(r, 16)
	classes, w := anyClasses(r), anyWeights(r, len(list))
	var first, again []float64
	for _, procs := range []int{1, 3} {
		runtime.GOMAXPROCS(procs)
		s := stock(t, list, classes, w)
		again = nil
		for i := range list {
			for j := i + 1; j < len(list); j++ {
				row := make([]float64, len(list)-1-j)
				s.Floors(i, j, row)
				again = append(again, row...)
				for k := j + 1; k < len(list); k++ {
					b := s.Price(i, j, k)
					again = append(again, b.Cost, b.Step, b.Zone, float64(b.Serves))
				}
			}
		}
		if first == nil {
			first = again
		}
	}
	if !slices.Equal(first, again) || len(again) != 5*560 {
		t.Errorf("%d and %d numbers, not all the same", len(first), len(again))
	}
}

// TestStats counts a small stock.
func TestStats(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 6))
	list := []beds.Piece{{Ways: beds.AnyWay()}, {Ways: beds.AnyWay()}, {Ways: beds.AnyWay(), Face: drawn(r, kind{nx: 4, ny: 5})}}
	got := stock(t, list, usual(), weights()).Stats()
	if want := (beds.Stats{Pieces: 3, Known: 1, Joints: 12, Close: 12, Triples: 1}); got != want {
		t.Errorf("%+v, want %+v", got, want)
	}
	crowned := func(a float64) *face.Face {
		f := drawn(r, kind{nx: 4, ny: 5, rows: true})
		for i := range f.Z {
			v := 2 * f.Y[i] / sizeY
			f.Z[i] = a * (1 - v*v)
		}
		return f
	}
	list[0].Face, list[1].Face = crowned(0.2), crowned(-0.2) // their edges leave a step of 0.2 mm; with a third they may close or not
	list[2].Face = nil
	if got := stock(t, list, usual(), weights()).Stats(); got.Close != 8 || got.Joints != 12 || got.Known != 2 {
		t.Errorf("%+v", got)
	}
}

// TestArrangements: six orders and eight turns, each once, fewest turned first, and every one with the mirror image that half a turn makes.
func TestArrangements(t *testing.T) {
	places, turned, mirror := beds.Arrangements()
	type one struct {
		place  [3]int8
		turned [3]bool
	}
	seen := map[one]int{}
	turns := func(k int) (n int) {
		for _, t := range turned[k] {
			if t {
				n++
			}
		}
		return n
	}
	for k := range places {
		seen[one{places[k], turned[k]}] = k
		if k > 0 && turns(k) < turns(k-1) {
			t.Errorf("%d has fewer turned pieces than the one before", k)
		}
		m := mirror[k]
		for p := range 3 {
			if places[m][p] != places[k][2-p] || turned[m][p] == turned[k][2-p] {
				t.Errorf("%d is no mirror image of %d", m, k)
			}
		}
	}
	if len(seen) != 48 {
		t.Errorf("%d arrangements", len(seen))
	}
}

// TestWays: what pockets allow (common practice, no source).
func TestWays(t *testing.T) {
	for _, c := range []struct {
		name string
		ways beds.Ways
		want string // h H c C f F: head, head turned …
	}{
		{"any", beds.AnyWay(), "hHcCfF"},
		{"in the centre", beds.In(bed.Centre), "cC"},
		{"cut as head", beds.CutAs(bed.Head), "hF"},
		{"cut as centre", beds.CutAs(bed.Centre), "cC"},
		{"cut as foot", beds.CutAs(bed.Foot), "Hf"},
		{"cut as foot, fixed", beds.CutAs(bed.Foot).Unturned(), "f"},
		{"any, fixed", beds.AnyWay().Unturned(), "hcf"},
	} {
		got := ""
		for _, p := range bed.Places() {
			if c.ways.Has(p, false) {
				got += string("hcf"[p])
			}
			if c.ways.Has(p, true) {
				got += string("HCF"[p])
			}
			if c.ways.Stands(p) != (c.ways.Has(p, false) || c.ways.Has(p, true)) {
				t.Errorf("%s: whether it stands in the %v", c.name, p)
			}
		}
		if got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}

// TestWithoutFaces: the joints' costs alone decide, and what is known of the others still rules beds out.
func TestWithoutFaces(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 6))
	joint := func(a, b int) float64 { return float64((a*7 + b*7) % 5) }
	list := []beds.Piece{{Ways: beds.AnyWay()}, {Ways: beds.In(bed.Head)}, {Ways: beds.AnyWay()}, {Ways: beds.AnyWay(), Face: drawn(r, kind{nx: 4, ny: 5})}}
	w := weights()
	w.Joint = joint
	classes := []beds.Limits{{MaxStep: 0.1, Zone: 0.02, Lengthwise: 1, Across: 1}, {MaxStep: 0.1, Zone: 1, Lengthwise: 1, Across: 1}}
	s := stock(t, list, classes, w)
	for _, c := range []struct {
		three  [3]int
		want   [3]int
		cost   float64
		serves uint32
	}{
		// 1 must be the head; 0|2 costs 4, 0|1 costs 2, 1|2 costs 1: 1 0 2 costs 6, 1 2 0 costs 5
		{[3]int{0, 1, 2}, [3]int{1, 2, 0}, 5, 3},
		// 2|3 costs 0, 1|2 costs 1: 1 2 3; the face of 3 has a zone of more than 0.02 mm
		{[3]int{1, 2, 3}, [3]int{1, 2, 3}, 1, 2},
	} {
		b := s.Price(c.three[0], c.three[1], c.three[2])
		if b.Seated || b.Index != c.want || b.Turned != [3]bool{} || b.Cost != c.cost || b.Serves != c.serves {
			t.Errorf("%v: %+v", c.three, b)
		}
		if b.Step != 0 || b.Zone != 0 || b.Across != 0 || b.Lengthwise != 0 {
			t.Errorf("lengths of a bed that is not seated: %+v", b)
		}
		floors := make([]float64, 4)
		s.Floors(c.three[0], c.three[1], floors)
		if f := floors[c.three[2]-c.three[1]-1]; f > c.cost || f < c.cost-1e-6 {
			t.Errorf("floor %v", f)
		}
		if err := s.Lay(&b); err != nil || b.Step != 0 {
			t.Errorf("%v, %+v", err, b)
		}
	}
}

func TestQuestionsThatMakeNoSense(t *testing.T) {
	good := beds.Limits{MaxStep: 0.1, Zone: 1, Lengthwise: 1, Across: 1}
	tighter := good
	tighter.MaxStep = 0.05
	for name, try := range map[string]func() error{
		"no class": func() error { _, err := beds.New(nil, bed.NineFoot(), nil, weights()); return err },
		"falling steps": func() error {
			_, err := beds.New(nil, bed.NineFoot(), []beds.Limits{good, tighter}, weights())
			return err
		},
		"negative weight": func() error {
			_, err := beds.New(nil, bed.NineFoot(), []beds.Limits{good}, beds.Weights{Step: -1})
			return err
		},
		"limit not number": func() error {
			_, err := beds.New(nil, bed.NineFoot(), []beds.Limits{{MaxStep: math.NaN()}}, weights())
			return err
		},
	} {
		if try() == nil {
			t.Errorf("%s: no error", name)
		}
	}
	if s := stock(t, nil, []beds.Limits{good}, weights()); s.Len() != 0 {
		t.Error("an empty stock has pieces")
	}
}

// TestSlowWayIsTheSame asks for the same beds once more as if the quick way had been lost.
func TestSlowWayIsTheSame(t *testing.T) {
	s := stock(t, milled(5, 7), usual(), weights())
	all := func() (list []beds.Bed) {
		for i := range 7 {
			for j := i + 1; j < 7; j++ {
				for k := j + 1; k < 7; k++ {
					list = append(list, s.Price(i, j, k))
				}
			}
		}
		return list
	}
	quick := all()
	for i := range 7 {
		s.Roughen(i)
	}
	served := 0
	for n, slow := range all() {
		if b := quick[n]; b.Serves != slow.Serves || b.Serves != 0 && (b.Index != slow.Index || b.Turned != slow.Turned || !close(b.Cost, slow.Cost, 1e-8)) {
			t.Errorf("%+v, slowly %+v", b, slow)
		}
		served += int(slow.Serves)
	}
	if served < 10 {
		t.Errorf("%d beds", served)
	}
}

package sets_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/seating"
	"slatewright/sets"
)

// enumerate finds the best plan by trying every one.
func enumerate(trials []seating.Trial, good func(seating.Trial) bool, cost func(seating.Trial) float64) (bestGood, bestSets int, bestCost float64) {
	var walk func(from, used, g, s int, c float64)
	walk = func(from, used, g, s int, c float64) {
		if g > bestGood || g == bestGood && (s > bestSets || s == bestSets && c < bestCost) {
			bestGood, bestSets, bestCost = g, s, c
		}
		for t := from; t < len(trials); t++ {
			mask := 0
			for _, i := range trials[t].Index {
				mask |= 1 << i
			}
			if used&mask != 0 || cost(trials[t]) < 0 {
				continue
			}
			more := 0
			if good(trials[t]) {
				more = 1
			}
			walk(t+1, used|mask, g+more, s+1, c+cost(trials[t]))
		}
	}
	walk(0, 0, 0, 0, 0)
	return bestGood, bestSets, bestCost
}

// TestPackAgainstEnumeration compares with every plan on random triples of up to nine pieces.
func TestPackAgainstEnumeration(t *testing.T) {
	for seed := range uint64(150) {
		r := rand.New(rand.NewPCG(seed, 3))
		n := 3 + r.IntN(7)
		var trials []seating.Trial
		for i := range n {
			for j := i + 1; j < n; j++ {
				for k := j + 1; k < n; k++ {
					if r.IntN(3) > 0 {
						trials = append(trials, seating.Trial{Index: [3]int{k, i, j}, Figures: seating.Figures{Zone: r.Float64()}, Feasible: r.IntN(2) == 0})
					}
				}
			}
		}
		good := func(x seating.Trial) bool { return x.Feasible }
		cost := func(x seating.Trial) float64 { return x.Zone - 0.1 }
		plan, err := sets.Pack(n, trials, good, cost)
		if err != nil {
			t.Fatal(err)
		}
		g, s, c := enumerate(trials, good, cost)
		if plan.Good != g || len(plan.Sets) != s || math.Abs(plan.Cost-c) > 1e-12 {
			t.Fatalf("seed %d: got %d good of %d, cost %v; want %d of %d, %v", seed, plan.Good, len(plan.Sets), plan.Cost, g, s, c)
		}
		var used []int
		sum := 0.0
		for _, x := range plan.Sets {
			used = append(used, x.Index[:]...)
			sum += cost(x)
		}
		used = append(used, plan.Unused...)
		slices.Sort(used)
		if len(slices.Compact(used)) != n || math.Abs(sum-plan.Cost) > 1e-12 {
			t.Fatalf("seed %d: %v used, cost %v of %v", seed, used, sum, plan.Cost)
		}
	}
}

// TestTryAgreesWithSeat: the trial of a triple is what Seat finds for it when the pieces may change places.
func TestTryAgreesWithSeat(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var faces []*face.Face
	for range 4 {
		f := &face.Face{Header: face.Header{Name: "p", SizeX: 900, SizeY: 1400, Side: face.Top}}
		a, b, c := 0.1*r.NormFloat64(), 0.1*r.NormFloat64(), 0.1*r.NormFloat64()
		for i := range 5 {
			for j := range 9 {
				u, v := float64(i)/2-1, float64(j)/4-1
				f.X, f.Y = append(f.X, 440*u), append(f.Y, 690*v)
				f.Z = append(f.Z, a*u*u+b*v*v+c*u*v+0.01*r.NormFloat64())
			}
		}
		faces = append(faces, f)
	}
	spec := bed.NineFoot()
	spec.EdgeBand = 0
	stock, err := seating.NewStock(faces, spec)
	if err != nil {
		t.Fatal(err)
	}
	count := 0
	trials, err := sets.Try(stock, 0.127, func(int) { count++ })
	if err != nil || len(trials) != sets.Triples(4) || count != 4 {
		t.Fatalf("%d trials, told of %d, %v", len(trials), count, err)
	}
	want := [][3]int{{0, 1, 2}, {0, 1, 3}, {0, 2, 3}, {1, 2, 3}}
	for n, x := range trials {
		members := slices.Sorted(slices.Values(x.Index[:]))
		if !slices.Equal(members, want[n][:]) {
			t.Errorf("trial %d is of %v", n, x.Index)
		}
		q := seating.Question{Spec: spec, MaxStep: 0.127, AnyPlace: true}
		for k, i := range want[n] {
			q.Faces[k] = faces[i]
		}
		s, err := seating.Seat(q)
		if err != nil {
			t.Fatal(err)
		}
		if x.Feasible != s.Feasible || x.Feasible && math.Abs(x.Zone-s.Zone) > 3e-9 {
			t.Errorf("trial %d: %v %v, seat %v %v", n, x.Feasible, x.Zone, s.Feasible, s.Zone)
		}
	}
}

func TestStockSize(t *testing.T) {
	stock, err := seating.NewStock(nil, bed.NineFoot())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := sets.Try(stock, 0.1, nil); err == nil {
		t.Error("an empty stock was tried")
	}
	if _, err := sets.Pack(sets.MostPieces+1, nil, nil, nil); err == nil {
		t.Error("too large a stock was packed")
	}
}

package beds_test

import (
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"slatewright/bed"
	"slatewright/sets/beds"
)

// TestClassesThatAreNotNested: a tight step with a wide zone stands before a loose step with a tight zone. What three pieces serve is what they serve
// when each class is asked for alone, and every bed is the one that package seating finds.
func TestClassesThatAreNotNested(t *testing.T) {
	two, either := 0, 0
	rapid.Check(t, func(draw *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(draw, "seed"), 7))
		list := anyStock(r, 4)
		classes := []beds.Limits{
			{MaxStep: 0.012 + 0.03*r.Float64(), Zone: 0.6, Lengthwise: 0.6, Across: 0.5},
			{MaxStep: 0.1, Zone: 0.12 + 0.3*r.Float64(), Lengthwise: 0.2 + 0.4*r.Float64(), Across: 0.2 + 0.3*r.Float64()},
			{MaxStep: 0.1 + 0.1*r.Float64(), Zone: 0.2 + 0.3*r.Float64(), Lengthwise: 0.5, Across: 0.3},
		}
		w := anyWeights(r, len(list))
		s := stock(t, list, classes, w)
		var alone []*beds.Stock
		for _, c := range classes {
			alone = append(alone, stock(t, list, []beds.Limits{c}, w))
		}
		for i := range list {
			for j := i + 1; j < len(list); j++ {
				floors := make([]float64, len(list)-1-j)
				s.Floors(i, j, floors)
				for k := j + 1; k < len(list); k++ {
					served := serving(draw, s.Beds(i, j, k), floors[k-j-1])
					for c, a := range alone {
						// a bed with tighter steps may keep the lines of a class that its own bed does not: one way only
						if got := a.Price(i, j, k).Serves == 1; got && served>>c&1 == 0 {
							draw.Fatalf("%d %d %d: class %d is served alone and not among others: %b", i, j, k, c, served)
						}
					}
					if list[i].Face == nil || list[j].Face == nil || list[k].Face == nil {
						continue
					}
					quick, slow := s.Beds(i, j, k), s.BedsSlowly(i, j, k)
					if len(quick) != len(slow) {
						draw.Fatalf("%d beds, slowly %d", len(quick), len(slow))
					}
					for n, b := range quick {
						same(draw, b, slow[n], floors[k-j-1], w)
					}
					if len(quick) > 1 {
						two++
					}
					either += len(quick)
				}
			}
		}
	})
	if two < 2 || either < 20 {
		t.Errorf("%d beds, %d threes with more than one", either, two)
	}
}

// serving are the classes that beds serve: each serves one that none before it does, and all can be the price of their three.
func serving(t *rapid.T, list []beds.Bed, floor float64) (served uint32) {
	for n, b := range list {
		if b.Serves&^served == 0 || b.Serves>>b.Class&1 == 0 && b.Seated || floor > b.Cost {
			t.Fatalf("bed %d, floor %v: %+v behind %b", n, floor, b, served)
		}
		served |= b.Serves
	}
	return served
}

// TestBedsWiderThanRows: pieces so crooked, or so far apart at their joints, that a bed is wider than a centimetre are seated all the same.
func TestBedsWiderThanRows(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 7))
	wide, crooked := 0, 0
	for n := range 60 {
		by := 1 + 2*float64(n%4) // mm of bow along and twist
		var list []beds.Piece
		for range 4 {
			g := drawn(r, kind{nx: 4, ny: 5, rows: true})
			bow, dish, twist := by*r.Float64(), 0.02*r.Float64(), by*r.NormFloat64()
			for i := range g.Z {
				u, v := 2*g.X[i]/sizeX, 2*g.Y[i]/sizeY
				g.Z[i] = bow*(1-u*u) + dish*(1-v*v) + twist*u*v
			}
			list = append(list, beds.Piece{Face: g, Ways: beds.In(bed.Place(len(list) % 3))})
		}
		s := stock(t, list, []beds.Limits{{MaxStep: 0.02 + 0.3*r.Float64(), Zone: 1e9, Lengthwise: 1e9, Across: 1e9}}, weights())
		for _, three := range [][3]int{{0, 1, 2}, {1, 2, 3}} {
			got, want := s.Price(three[0], three[1], three[2]), s.Slowly(three[0], three[1], three[2])
			if got.Serves != want.Serves || got.Index != want.Index || !close(got.Zone, want.Zone, 1e-7) || !close(got.Step, want.Step, 1e-7) {
				t.Errorf("%v by %v: %+v, slowly %+v", three, by, got, want)
			}
			floors := make([]float64, 4)
			s.Floors(three[0], three[1], floors)
			if f := floors[three[2]-three[1]-1]; got.Serves == 0 || f > got.Cost {
				t.Errorf("%v by %v: floor %v, %+v", three, by, f, got)
			}
			if alone := max(own(s, three[0]), own(s, three[1]), own(s, three[2])); alone > 10 {
				crooked++
			} else if got.Zone > 10 {
				wide++
			}
		}
	}
	if wide < 3 || crooked < 3 {
		t.Errorf("%d beds wider than a centimetre, and %d with a piece so wide alone", wide, crooked)
	}
}
